"""The printed mat is found again by the finder, at its true size."""

import subprocess
from pathlib import Path

import cv2
import numpy as np
import pypdf
import pytest

from buckwright.capture import find_corners
from buckwright.files.matsheet import write_mat_pdf
from buckwright.model.pictures import Mat

MAT = Mat(squares=(19, 13), square_mm=30.0, marker_mm=22.0, dictionary="DICT_5X5_250")
DPI = 300
PIXEL = 25.4 / DPI
"""mm; the rasteriser lays images on whole pixels, so no length is better than that."""


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


def test_every_corner_is_found_on_the_rasterised_page_where_it_belongs(sheet: Path) -> None:
    subprocess.run(
        ["pdftoppm", "-gray", "-singlefile", "-r", str(DPI), "-png", sheet, sheet.with_suffix("")],
        check=True,
    )
    grey = cv2.imread(str(sheet.with_suffix(".png")), cv2.IMREAD_GRAYSCALE)
    corners = find_corners(grey, MAT, picture="mat")
    assert len(corners.ids) == 18 * 12
    first, last = corners.px[0], corners.px[17]
    assert np.linalg.norm(last - first) * PIXEL == pytest.approx(17 * 30.0, abs=PIXEL)
