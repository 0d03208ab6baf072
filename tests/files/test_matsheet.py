"""The printed mat is found again by the finder, at its true size."""

from pathlib import Path

import numpy as np
import pdfplumber
import pypdf
import pytest

from buckwright.capture import find_corners
from buckwright.files.matsheet import write_mat_pdf
from buckwright.model.pictures import Mat

MAT = Mat(squares=(19, 13), square_mm=30.0, marker_mm=22.0, dictionary="DICT_5X5_250")


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("mat") / "mat.pdf"
    write_mat_pdf(MAT, path)
    return path


def test_the_page_is_as_large_as_it_says_and_is_not_scaled(sheet: Path) -> None:
    document = pypdf.PdfReader(sheet)
    assert len(document.pages) == 1
    width = float(document.pages[0].mediabox.width) * 25.4 / 72.0
    assert width == pytest.approx(19 * 30.0 + 24.0)
    assert document.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_every_corner_lies_on_the_paper_where_it_belongs(sheet: Path) -> None:
    # The board's place on the page and its dots are read apart: rasterisers lay pictures on
    # whole pixels and so change their size.
    with pdfplumber.open(sheet) as document:
        (placed,) = document.pages[0].images
        width = float(placed["x1"] - placed["x0"]) * 25.4 / 72.0
    board = pypdf.PdfReader(sheet).pages[0].images[0].image
    grey = np.asarray(board.convert("L"), dtype=np.uint8)
    corners = find_corners(grey, MAT, picture="mat")
    assert len(corners.ids) == 18 * 12
    mm = (corners.px + 0.5) * width / grey.shape[1]
    columns, rows = corners.ids % 18 + 1, corners.ids // 18 + 1
    np.testing.assert_allclose(mm, 30.0 * np.column_stack([columns, rows]), atol=0.02)
