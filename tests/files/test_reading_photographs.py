"""Photographs are read whole, as stored, or refused with a sentence."""

import io
import warnings
from hashlib import sha256

import cv2
import numpy as np
import pytest
from PIL import Image

from buckwright.errors import FileError
from buckwright.files.photographs import display_jpeg, read_picture, read_picture_bytes


def drawn(width=640, height=480):
    """Grey ramps and a white square at the top left, in colour."""
    x, y = np.meshgrid(np.linspace(0, 255, width), np.linspace(0, 255, height))
    colour = np.stack([x, y, 0.5 * (x + y)], axis=-1).astype(np.uint8)
    colour[20:120, 20:160] = 255
    return Image.fromarray(colour)


def saved(image, kind="JPEG", **choices):
    out = io.BytesIO()
    image.save(out, kind, **choices)
    return out.getvalue()


def test_the_same_grey_values_as_opencv_reads():
    data = saved(drawn(), quality=92)
    source, grey = read_picture_bytes(data, name="a.jpg")
    theirs = cv2.imdecode(
        np.frombuffer(data, np.uint8), cv2.IMREAD_GRAYSCALE | cv2.IMREAD_IGNORE_ORIENTATION
    )
    assert np.abs(grey.astype(int) - theirs).max() <= 1
    assert source.sha256 == sha256(data).hexdigest()
    assert (source.name, source.size) == ("a.jpg", (640, 480))


def test_a_rotation_tag_is_not_applied():
    tag = Image.Exif()
    tag[0x0112] = 6
    source, grey = read_picture_bytes(saved(drawn(), exif=tag.tobytes()), name="a.jpg")
    assert source.size == (640, 480)
    assert grey[60, 80] > 240
    shown = Image.open(io.BytesIO(display_jpeg(saved(drawn(), exif=tag.tobytes()), most=320)))
    assert shown.size == (320, 240)
    assert not shown.getexif()


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "BMP", "WEBP"])
def test_other_formats_are_read(kind):
    _, grey = read_picture_bytes(saved(drawn(), kind), name="a")
    assert grey.shape == (480, 640)


def test_sixteen_bits_grey_palette_and_cmyk_are_read_as_grey():
    wide = np.linspace(0, 65535, 640 * 480).reshape(480, 640).astype(np.uint16)
    _, grey = read_picture_bytes(saved(Image.fromarray(wide), "PNG"), name="a.png")
    np.testing.assert_array_equal(grey, np.round(wide / 257.0))
    for image, kind in ((drawn().convert("P"), "PNG"), (drawn().convert("CMYK"), "JPEG")):
        _, grey = read_picture_bytes(saved(image, kind), name="a")
        assert grey[60, 80] > 240


@pytest.mark.parametrize("share", [0.999, 0.9, 0.5, 0.1])
@pytest.mark.parametrize("progressive", [False, True])
def test_a_jpeg_that_was_cut_short_is_refused(share, progressive):
    data = saved(drawn(), quality=92, progressive=progressive)
    with pytest.raises(FileError, match=r"half\.jpg is (cut short|not)"):
        read_picture_bytes(data[: int(share * len(data))], name="half.jpg")


@pytest.mark.parametrize("lost", [1, 2])
def test_a_jpeg_without_its_end_mark_is_refused(lost):
    # The decoder would not say a word: all rows are there.
    with pytest.raises(FileError, match="cut short"):
        read_picture_bytes(saved(drawn())[:-lost], name="half.jpg")


def test_a_jpeg_filled_up_with_zeros_is_refused():
    data = saved(drawn(), quality=92)
    half = len(data) // 2
    with pytest.raises(FileError, match="cut short"):
        read_picture_bytes(data[:half] + bytes(half), name="half.jpg")


def test_what_a_phone_appends_behind_the_end_does_not_matter():
    data = saved(drawn())
    _, grey = read_picture_bytes(data + b"depth map" * 1000, name="a.jpg")
    assert grey.shape == (480, 640)


def test_a_png_that_was_cut_short_is_refused():
    data = saved(drawn(), "PNG")
    with pytest.raises(FileError, match="cut short"):
        read_picture_bytes(data[: len(data) // 2], name="half.png")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (b"no picture at all", "not a picture"),
        (b"\x00\x00\x00\x18ftypheic" + bytes(40), "damaged"),
        (saved(drawn(100, 80), "PNG"), "only 100 x 80"),
        (saved(drawn(1, 1), "PNG"), "only 1 x 1"),
        (saved(Image.new("1", (30_000, 300)), "PNG"), "absurdly large"),
        (saved(Image.new("1", (15_000, 15_000)), "PNG"), "absurdly large"),
    ],
)
def test_what_is_no_photograph_is_refused_with_a_sentence(data, words):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with pytest.raises(FileError, match=words):
            read_picture_bytes(data, name="odd")


def test_a_picture_that_moves_is_refused():
    frames = [drawn(), drawn().rotate(90)]
    data = saved(frames[0], "WEBP", save_all=True, append_images=frames[1:], lossless=True)
    with pytest.raises(FileError, match="moves"):
        read_picture_bytes(data, name="odd.webp")


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(FileError, match="cannot be read"):
        read_picture(tmp_path / "none.jpg")


def test_a_copy_for_the_page_is_no_larger_than_asked_and_never_enlarged():
    for most, size in ((200, (200, 150)), (4000, (640, 480))):
        assert Image.open(io.BytesIO(display_jpeg(saved(drawn()), most=most))).size == size
