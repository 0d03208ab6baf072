"""The picture of the chapter 'One picture only': the example's side, squared, with bands.

The corners that square it are those that `tests/views/test_wren_views.py` uses.
"""

import sys
from io import BytesIO
from pathlib import Path

from PIL import Image

from buckwright.flow.views import shown_view

__all__ = ["draw_views"]

ROOT = Path(__file__).parents[2]


def draw_views(out: Path) -> None:
    """Write view-side.jpg and view-plan.jpg."""
    sys.path.insert(0, str(ROOT / "tests" / "views"))
    from test_wren_views import plan, side

    views = (
        side("belt left", "sill left", "window left", "door left", "cantrail left"),
        plan("roof centre line", "cantrail left", "screen edge"),
    )
    for view in views:
        picture = view.pictures[0].source.name
        data = (ROOT / "examples" / "wren" / "pictures" / picture).read_bytes()
        png, _, _ = shown_view(
            view, {view.pictures[0].source.sha256: data}.__getitem__, longest=1200
        )
        image = Image.open(BytesIO(png)).convert("RGB")
        image.save(out / f"view-{view.name}.jpg", quality=80)


if __name__ == "__main__":
    draw_views(ROOT / "docs" / "guide" / "pictures")
