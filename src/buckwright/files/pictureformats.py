"""Opening photographs of every usual format, and turning them back as the sensor saw them."""

import importlib
import importlib.util
import io
import warnings
from functools import cache

from PIL import Image, UnidentifiedImageError

from buckwright.errors import FileError

__all__ = ["HEIC_ENDINGS", "is_heic", "open_image", "sensor_image"]

_FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "BMP")
"""JPEG stands for MPO too: phones' files that hold a second picture behind the first."""
HEIC_ENDINGS = (".heic", ".heif")
_HEIC_KINDS = (b"ftypheic", b"ftypheix", b"ftypmif1", b"ftypheif", b"ftypmsf1", b"ftyphevc")
_TURNS_BACK = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}
"""What undoes each way of showing a picture upright (EXIF 2.32, tag 0x0112)."""


def is_heic(data: bytes) -> bool:
    """Whether the bytes begin as a HEIC file does (ISO/IEC 23008-12)."""
    return data[4:12] in _HEIC_KINDS


def open_image(data: bytes, name: str) -> Image.Image:
    """The picture with its header read, not decoded. Raises FileError, absurd sizes included."""
    formats: tuple[str, ...] = _FORMATS
    if is_heic(data):
        _let_heic_in(name)
        formats = ("HEIF",)
    try:
        with warnings.catch_warnings():
            # Sizes are judged by the caller.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            return Image.open(io.BytesIO(data), formats=formats)
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, RuntimeError) as error:
        raise _no_picture(data, name) from error


def sensor_image(image: Image.Image) -> Image.Image:
    """The decoded picture as the sensor's rows and columns hold it.

    The HEIC library turns pictures upright by itself; all other formats are stored unturned.
    """
    back = _TURNS_BACK.get(int(image.info.get("original_orientation") or 1))
    return image if back is None or image.format != "HEIF" else image.transpose(back)


@cache
def _heic_reader() -> bool:
    if importlib.util.find_spec("pillow_heif") is None:
        return False
    importlib.import_module("pillow_heif").register_heif_opener()
    return True


def _let_heic_in(name: str) -> None:
    if not _heic_reader():
        raise FileError(
            f"The picture {name} is in HEIC format, and the library for it is not installed.",
            "Install it with 'pip install pillow-heif', or set the phone to 'most compatible' "
            "and save the picture as a JPEG.",
        )


def _no_picture(data: bytes, name: str) -> FileError:
    if is_heic(data):
        return FileError(
            f"The picture {name} is cut short or damaged.", "Copy it from the camera again."
        )
    return FileError(
        f"The file {name} is not a picture that can be read.",
        "Use the JPEG, PNG, HEIC or TIFF file that the camera made.",
    )
