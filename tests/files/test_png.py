from io import BytesIO

import numpy as np
from PIL import Image

from buckwright.files.png import sheet_png
from buckwright.model.drawings import Label, Sheet, Stroke

BOX = np.array([[0.0, 0.0], [400.0, 0.0], [400.0, 200.0], [0.0, 200.0]])
SHEET = Sheet(
    name="plate",
    title="plate",
    strokes=(
        Stroke(ink="cut", points=BOX, closed=True),
        Stroke(ink="shrink", points=BOX[[0, 2]]),
    ),
    labels=(Label(at=(10.0, 180.0), text="plate"),),
)
PATCH = np.array([[[300.0, 20.0], [390.0, 20.0], [390.0, 110.0], [300.0, 110.0]]])


def picture(longest: int = 800) -> Image.Image:
    data = sheet_png(SHEET, PATCH, np.array([[1.0, 0.5, 0.0]]), longest=longest)
    return Image.open(BytesIO(data))


def test_the_longer_side_has_the_dots_that_were_asked_for() -> None:
    for longest in (600, 800):
        assert max(picture(longest).size) == longest


def test_a_patch_stands_at_its_place_in_its_colour() -> None:
    shown = np.asarray(picture().convert("RGB")).astype(int)
    orange = np.all(np.abs(shown - [255, 128, 0]) <= 2, axis=2)
    rows, columns = np.nonzero(orange)
    assert len(rows) > 1000
    dark = np.nonzero((shown.sum(axis=2) < 100).any(axis=0))[0]
    # Between the outline's left and right edges the patch takes the last quarter.
    share = (columns - dark.min()) / np.ptp(dark)
    assert 0.73 < share.min() < 0.77
    assert 0.95 < share.max() < 0.99
    # y runs up on the sheet, down in the picture: from 20 to 110 of 200 is 0.45 to 0.9 down.
    outline = np.nonzero((shown.sum(axis=2) < 100).sum(axis=1) > 0.5 * np.ptp(dark))[0]
    down = (rows - outline.min()) / np.ptp(outline)
    assert 0.43 < down.min() < 0.47
    assert 0.88 < down.max() < 0.92


def test_the_same_sheet_gives_the_same_bytes() -> None:
    colours = np.array([[1.0, 0.5, 0.0]])
    assert sheet_png(SHEET, PATCH, colours) == sheet_png(SHEET, PATCH, colours)
