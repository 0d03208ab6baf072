"""The whole skin in the formats that it is handed on in."""

from datetime import UTC, datetime

from buckwright.files.scene import glb_bytes, ply_bytes, stl_bytes
from buckwright.files.step import step_text
from buckwright.model.skin import Skin
from buckwright.skin.pressing import pressed_skin

__all__ = ["SKIN_FORMATS", "skin_bytes"]

SKIN_FORMATS = ("step", "stl", "glb", "ply")


def skin_bytes(skin: Skin, kind: str, *, name: str) -> bytes:
    """The skin as a file of that kind; a STEP file carries the name and the time of day.

    Turned edges go with it. Beads and louvres are pressed into the meshes; in STEP they are faces.
    Raises JobError for an empty skin, ValueError for a kind that is not in SKIN_FORMATS.
    """
    if kind == "step":
        stamp = datetime.now(UTC).isoformat(timespec="seconds")
        return step_text(skin, name=name, stamp=stamp).encode("ascii")
    if kind == "glb":
        return glb_bytes(pressed_skin(skin), ())
    if kind in SKIN_FORMATS:
        skin = pressed_skin(skin)
        return ply_bytes(skin) if kind == "ply" else stl_bytes(skin)
    message = f"no writer for '{kind}'"
    raise ValueError(message)
