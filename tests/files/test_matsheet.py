"""Printed mats are found again by the finder, at their true size: PDF and SVG, mats and cards."""

import re

import cv2
import numpy as np
import pdfplumber
import pypdf
import pypdfium2
import pytest

from buckwright.capture import find_corners
from buckwright.files.matsheet import mat_svg, write_mat_pdf, write_mat_svg
from buckwright.geometry.board import board_rings, coded_board
from buckwright.model.mats import MAT_KINDS, PAPER_MM, printed_bars, printed_mat, typed_bar
from buckwright.model.pictures import Mat

POINT = 25.4 / 72.0
SMALL = {"A4": None, "A3": None, "A2": None, "sheets": 2, "cards": 3, "A3 cards": 2}


def drawn(mat, path):
    write_mat_pdf(mat, path)
    return path


def rendered(path, page, dots):
    """Grey values of a page, `dots` to a mm."""
    with pypdfium2.PdfDocument(path) as document:
        return np.array(document[page].render(scale=dots * POINT, grayscale=True).to_pil())


@pytest.mark.parametrize("kind", list(MAT_KINDS))
def test_pages_are_the_papers_size_and_are_not_scaled(kind, tmp_path):
    mat = printed_mat(kind, SMALL[kind])
    document = pypdf.PdfReader(drawn(mat, tmp_path / "mat.pdf"))
    assert len(document.pages) == mat.cards
    box = document.pages[-1].mediabox
    size = float(box.width) * POINT, float(box.height) * POINT
    assert size == pytest.approx(PAPER_MM[MAT_KINDS[kind].paper], abs=0.01)
    assert document.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


@pytest.mark.parametrize("kind", list(MAT_KINDS))
def test_rows_are_odd_and_no_two_boards_share_a_mark(kind):
    mat = printed_mat(kind)
    assert mat.squares[1] % 2 == 1
    numbers = [set(range(k * mat.marks_each, (k + 1) * mat.marks_each)) for k in range(mat.cards)]
    assert len(set().union(*numbers)) == mat.cards * mat.marks_each


@pytest.mark.parametrize(("kind", "page"), [("A4", 0), ("cards", 2)])
def test_every_corner_lies_on_the_paper_where_it_belongs(kind, page, tmp_path):
    mat = printed_mat(kind, SMALL[kind])
    grey = rendered(drawn(mat, tmp_path / "mat.pdf"), page, 5.0)
    found = find_corners(cv2.GaussianBlur(grey, (0, 0), 0.8), mat, picture="mat")
    assert np.unique(found.ids // mat.corners_each).tolist() == [page]
    assert len(found.ids) == mat.corners_each
    # Rasterisers round a page to whole pixels.
    mm = (found.px + 0.5) * np.array([297.0, 210.0]) / grey.shape[::-1]
    local, across = found.ids % mat.corners_each, mat.squares[0] - 1
    columns, rows = local % across, local // across
    np.testing.assert_allclose(
        mm - mm[0], mat.square_mm * np.column_stack([columns, rows]), atol=0.03
    )


def test_bars_end_at_the_corners_that_they_measure(tmp_path):
    mat = printed_mat("A4")
    with pdfplumber.open(drawn(mat, tmp_path / "mat.pdf")) as document:
        (page,) = document.pages
        lines = [POINT * np.array([[e["x0"], e["y0"]], [e["x1"], e["y1"]]]) for e in page.lines]
        words = page.extract_text()
    spans = sorted(float(np.linalg.norm(line[1] - line[0])) for line in lines)[-3:]
    drawn_long = sorted([100.0] + [bar.drawn for bar in printed_bars(mat)])
    assert spans == pytest.approx(drawn_long, abs=0.01)
    assert "bar 1, drawn 220" in words
    assert "marks 0 to 57" in words


def test_the_drawn_shape_is_the_librarys_board():
    mat = printed_mat("cards", 2)
    board = {"square": 36.0, "marker": 26.4, "dictionary": mat.dictionary, "first": 17}
    theirs = coded_board(mat.squares, **board).generateImage((7 * 60, 5 * 60))
    rings = [
        np.round((ring * [1.0, -1.0] / 36.0 * 60.0 - 0.5) * 256).astype(np.int32)
        for ring in board_rings(mat.squares, **board)
    ]
    ours = np.full_like(theirs, 255)
    cv2.fillPoly(ours, rings, 0, shift=8)
    # The library rounds its marks to whole dots: edges differ by one dot.
    assert np.mean(cv2.morphologyEx(ours ^ theirs, cv2.MORPH_OPEN, np.ones((3, 3)))) < 0.5


def test_an_svg_has_the_same_shape_and_size(tmp_path):
    mat = printed_mat("cards", 2)
    paths = write_mat_svg(mat, tmp_path / "cards.svg")
    assert [path.name for path in paths] == ["cards-1.svg", "cards-2.svg"]
    text = paths[1].read_text()
    assert 'width="297mm" height="210mm" viewBox="0 0 297 210"' in text
    shape = re.search(r'class="board"[^>]* d="([^"]+)"', text).group(1)
    rings = [
        np.array([p.split(",") for p in ring.strip(" MZ").split()], dtype=float)
        for ring in shape.split("Z")
        if ring.strip()
    ]
    grey = np.full((1050, 1485), 255, np.uint8)
    cv2.fillPoly(
        grey, [np.round((r * 5.0 - 0.5) * 256).astype(np.int32) for r in rings], 0, shift=8
    )
    found = find_corners(cv2.GaussianBlur(grey, (0, 0), 0.8), mat, picture="svg")
    assert found.ids.tolist() == list(range(24, 48))
    assert mat_svg(mat, 0) != text


def test_a_typed_length_takes_the_place_of_an_older_one():
    mat = printed_mat("sheets", 2)
    bar = printed_bars(mat)[3]
    assert (bar.name, bar.drawn) == ("bar 2 of card 2", 140.0)
    once = typed_bar(mat, bar, 140.2)
    twice = typed_bar(once, bar, 140.3)
    assert [(b.mm, b.start_card, b.end_card) for b in twice.bars] == [(140.3, 1, 1)]
    assert typed_bar(twice, bar, None).bars == ()


@pytest.mark.parametrize(("kind", "count"), [("A2", 2), ("cards", 0), ("cards", 59), ("A0", 1)])
def test_a_mat_that_cannot_be_printed_is_the_callers_fault(kind, count):
    with pytest.raises(ValueError, match="there"):
        printed_mat(kind, count)


def test_a_mat_of_another_size_gets_a_page_of_its_own(tmp_path):
    mat = Mat(squares=(5, 5), square_mm=50.0, marker_mm=36.0, dictionary="DICT_5X5_250")
    box = pypdf.PdfReader(drawn(mat, tmp_path / "mat.pdf")).pages[0].mediabox
    assert float(box.width) * POINT == pytest.approx(250.0 + 24.0)
