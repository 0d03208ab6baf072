"""Photographs as they come in: bytes, identity, and the grey image as it was stored.

Rotation tags are not applied: pixel coordinates of traces and corners are those of the sensor,
whichever way the phone was held, and one lens serves them all.
"""

from hashlib import sha256
from io import BytesIO
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, UnidentifiedImageError

from buckwright.errors import FileError
from buckwright.model.pictures import PictureSource

__all__ = ["display_jpeg", "read_picture", "read_picture_bytes"]

_LEAST, _MOST = 400, 30_000
_MOST_PIXELS = 250_000_000
_JPEG_START, _JPEG_END = b"\xff\xd8", b"\xff\xd9"
_TAIL = 65_536
"""Some phones append data of their own; the end marker lies within so many bytes of the end."""

Image.MAX_IMAGE_PIXELS = _MOST_PIXELS


def read_picture(path: Path) -> tuple[PictureSource, NDArray[np.uint8]]:
    """The photograph at this path and its grey image (rows, columns).

    Raises FileError with a sentence for what is not a whole, usable photograph.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileError(
            f"The picture {path} cannot be read ({error.strerror}).", "Check its name and place."
        ) from error
    return read_picture_bytes(data, name=path.name)


def read_picture_bytes(data: bytes, *, name: str) -> tuple[PictureSource, NDArray[np.uint8]]:
    """The same from bytes; `name` is what messages call it."""
    size = _checked_size(data, name)
    grey = cv2.imdecode(
        np.frombuffer(data, dtype=np.uint8), cv2.IMREAD_GRAYSCALE | cv2.IMREAD_IGNORE_ORIENTATION
    )
    if grey is None or grey.shape != (size[1], size[0]):
        raise FileError(f"The picture {name} cannot be decoded.", "Save it again as a JPEG or PNG.")
    source = PictureSource(name=name, sha256=sha256(data).hexdigest(), size=size)
    return source, np.asarray(grey, dtype=np.uint8)


def display_jpeg(data: bytes, *, most: int) -> bytes:
    """A copy for the screen, its longer side at most `most` pixels, in colour, not turned."""
    image = cv2.imdecode(
        np.frombuffer(data, dtype=np.uint8), cv2.IMREAD_COLOR | cv2.IMREAD_IGNORE_ORIENTATION
    )
    if image is None:
        raise FileError("This picture cannot be decoded.", "Add the photograph to the job again.")
    rows, columns = image.shape[:2]
    share = min(1.0, most / max(rows, columns))
    small = cv2.resize(
        image,
        (max(1, round(columns * share)), max(1, round(rows * share))),
        interpolation=cv2.INTER_AREA,
    )
    _, coded = cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, 85])
    return bytes(coded.tobytes())


def _checked_size(data: bytes, name: str) -> tuple[int, int]:
    """(columns, rows) as stored; FileError unless the bytes are one whole photograph."""
    if not data:
        raise FileError(f"The picture {name} is empty.", "Copy it from the phone again.")
    try:
        with Image.open(BytesIO(data)) as image:
            columns, rows = image.size
            if getattr(image, "n_frames", 1) > 1:
                raise FileError(f"{name} is a moving picture.", "Use a single photograph.")
            _check_extent(columns, rows, name)
            if image.format == "JPEG" and not _ends_whole(data):
                raise _cut_short(name)
            image.draft("L", (columns // 8, rows // 8))
            image.load()
    except UnidentifiedImageError as error:
        raise FileError(
            f"{name} is not a picture that can be read.", "Use a JPEG or PNG from the phone."
        ) from error
    except Image.DecompressionBombError as error:
        raise FileError(
            f"The picture {name} is far too large.", "Use the phone's own size."
        ) from error
    except (OSError, SyntaxError, ValueError) as error:
        raise _cut_short(name) from error
    return columns, rows


def _check_extent(columns: int, rows: int, name: str) -> None:
    if min(columns, rows) < _LEAST:
        raise FileError(
            f"The picture {name} is only {columns} x {rows} pixels.",
            "Use the phone's full size, not a thumbnail.",
        )
    if max(columns, rows) > _MOST:
        raise FileError(
            f"The picture {name} is {columns} x {rows} pixels, too large.",
            "Use a plain photograph, not a panorama.",
        )


def _ends_whole(data: bytes) -> bool:
    # Decoders fill what is missing with grey and only warn, so the end marker is asked for.
    return data.startswith(_JPEG_START) and _JPEG_END in data[-_TAIL:]


def _cut_short(name: str) -> FileError:
    return FileError(
        f"The picture {name} is cut short or damaged.", "Copy it from the phone again."
    )
