"""Photographs as they come from a camera: checked, hashed, decoded as stored.

The rotation tag is not applied: a lens is calibrated on the sensor's own rows and columns, and
pictures that were taken upright and flat must not become two cameras.
"""

import io
import warnings
from hashlib import sha256
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from buckwright.errors import FileError
from buckwright.files.exif import what_is_told
from buckwright.files.jpegscan import jpeg_is_whole
from buckwright.files.pictureformats import open_image, sensor_image
from buckwright.model.pictures import PictureSource

__all__ = ["display_jpeg", "read_colours", "read_picture", "read_picture_bytes"]

LEAST_SIDE, MOST_SIDE, MOST_PIXELS = 240, 20_000, 150_000_000
MOST_BYTES = 200_000_000
_QUALITY = 85


def read_picture(path: Path) -> tuple[PictureSource, NDArray[np.uint8]]:
    """The picture in a file: what it is, and its grey values (rows, columns) as stored.

    Raises FileError where the file cannot be read, and where `read_picture_bytes` does.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise _too_large(path.name)
        data = path.read_bytes()
    except OSError as error:
        raise FileError(
            f"The picture {path} cannot be read.", "Check that it is there and may be opened."
        ) from error
    return read_picture_bytes(data, name=path.name)


def read_picture_bytes(data: bytes, *, name: str) -> tuple[PictureSource, NDArray[np.uint8]]:
    """The same from bytes; `name` is what the picture is called.

    Raises FileError for what is empty, cut short, no picture, one of several in a file that
    moves, smaller than 240 pixels or absurdly large.
    """
    with _opened(data, name) as image:
        told = what_is_told(image)
        # A JPEG holds brightness by itself: no way through red, green and blue.
        image.draft("L", image.size)
        grey = _decoded(image, data, name, mode="L")
    size = (grey.shape[1], grey.shape[0])
    source = PictureSource(
        name=name,
        sha256=sha256(data).hexdigest(),
        size=size,
        camera=told.camera,
        focal_mm=told.focal_mm,
        zoom=told.zoom,
        turned=told.turned,
        taken_size=None if told.size in (size, size[::-1]) else told.size,
    )
    return source, grey


def display_jpeg(data: bytes, *, most: int) -> bytes:
    """A JPEG of the picture, its longer side no more than `most` pixels, rotation not applied.

    Raises FileError as `read_picture_bytes` does.
    """
    name = "to be shown"
    with _opened(data, name) as image:
        image.draft("RGB", (most, most))
        colour = Image.fromarray(_decoded(image, data, name, mode="RGB"))
    colour.thumbnail((most, most), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    colour.save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()


def read_colours(data: bytes, *, name: str) -> NDArray[np.uint8]:
    """Red, green and blue (rows, columns, 3) of the picture as stored, at full size.

    Raises FileError as `read_picture_bytes` does.
    """
    with _opened(data, name) as image:
        return _decoded(image, data, name, mode="RGB")


def _opened(data: bytes, name: str) -> Image.Image:
    """The picture with its header read and checked, not yet decoded."""
    if not data:
        raise FileError(f"The picture {name} is empty.", "Copy it from the camera again.")
    if len(data) > MOST_BYTES:
        raise _too_large(name)
    try:
        image = open_image(data, name)
    except Image.DecompressionBombError as error:
        raise _too_large(name) from error
    columns, rows = image.size
    if max(image.size) > MOST_SIDE or columns * rows > MOST_PIXELS:
        raise _too_large(name)
    if min(image.size) < LEAST_SIDE:
        raise FileError(
            f"The picture {name} has only {columns} x {rows} pixels.",
            "Use the picture as the camera took it, not a reduced copy.",
        )
    if image.format not in ("MPO", "HEIF") and getattr(image, "n_frames", 1) > 1:
        raise FileError(
            f"The file {name} holds several pictures or moves.", "Save one of them as a JPEG."
        )
    return image


def _decoded(image: Image.Image, data: bytes, name: str, *, mode: str) -> NDArray[np.uint8]:
    cut = FileError(
        f"The picture {name} is cut short or damaged.", "Copy it from the camera again."
    )
    # The JPEG library only warns where the end is missing, and paints the rest grey.
    if image.format in ("JPEG", "MPO") and not jpeg_is_whole(data):
        raise cut
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            image.load()
            if image.mode.startswith("I;16"):
                wide = np.asarray(image, dtype=np.float64) / 257.0
                image = Image.fromarray(np.round(wide).astype(np.uint8))
            return np.array(_opaque(sensor_image(image)).convert(mode), dtype=np.uint8)
    except (OSError, ValueError, SyntaxError, EOFError, RuntimeError) as error:
        raise cut from error


def _opaque(image: Image.Image) -> Image.Image:
    """What is transparent shows white, as on paper."""
    if image.mode not in ("RGBA", "LA", "PA"):
        return image
    whole = image.convert("RGBA")
    ground = Image.new("RGBA", whole.size, "white")
    ground.alpha_composite(whole)
    return ground


def _too_large(name: str) -> FileError:
    return FileError(
        f"The picture {name} is absurdly large.",
        f"Use one with no more than {MOST_PIXELS // 1_000_000} million pixels.",
    )
