"""What a photograph's file tells of the camera: its name, focal length, zoom, and way up.

Reference: CIPA DC-008 (EXIF 2.32).
"""

from typing import Any, NamedTuple

from PIL import Image

__all__ = ["Told", "what_is_told"]

_TURNS = {1: 0, 2: 0, 3: 2, 4: 2, 5: 1, 6: 1, 7: 3, 8: 3}
_MAKER, _MODEL, _WAY_UP, _MORE = 0x010F, 0x0110, 0x0112, 0x8769
_FOCAL, _ZOOM, _LENS, _COLUMNS, _ROWS = 0x920A, 0xA404, 0xA434, 0xA002, 0xA003
_LONGEST_NAME = 120


class Told(NamedTuple):
    """What the file tells; nothing where it is silent."""

    camera: str
    focal_mm: float
    zoom: float
    """Digital zoom, 0 for none."""
    turned: int
    """Quarter turns clockwise that show it upright."""
    size: tuple[int, int] | None
    """Columns and rows that the camera wrote down."""


def what_is_told(image: Image.Image) -> Told:
    """Read the tags; what cannot be read counts as not told."""
    try:
        tags = image.getexif()
        more = tags.get_ifd(_MORE)
    except (OSError, ValueError, SyntaxError, KeyError, TypeError):
        return Told("", 0.0, 0.0, 0, None)
    names = [_text(tags.get(_MAKER)), _text(tags.get(_MODEL)), _text(more.get(_LENS))]
    zoom = _number(more.get(_ZOOM))
    size = (int(_number(more.get(_COLUMNS))), int(_number(more.get(_ROWS))))
    way = image.info.get("original_orientation") or tags.get(_WAY_UP)
    return Told(
        camera=", ".join(name for name in names if name)[:_LONGEST_NAME],
        focal_mm=_number(more.get(_FOCAL)),
        zoom=0.0 if abs(zoom - 1.0) < 1e-6 else zoom,
        turned=_TURNS.get(int(_number(way)), 0),
        size=size if min(size) > 0 else None,
    )


def _text(value: Any) -> str:
    kept = "".join(c for c in str(value or "") if c.isprintable())
    return " ".join(kept.split())


def _number(value: Any) -> float:
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError):
        return 0.0
    return round(number, 3) if 0.0 < number < 1e6 else 0.0
