"""The mat on paper, at full size."""

from io import BytesIO
from pathlib import Path

import cv2
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from buckwright.files.pdfbook import FONT, embed_font
from buckwright.files.writing import write_atomically
from buckwright.geometry.board import coded_board
from buckwright.model.pictures import Mat

__all__ = ["write_mat_pdf"]

_MARGIN, _FOOT = 12.0, 14.0
_DOTS_PER_SQUARE = 240
"""Eight dots to a millimetre: sharper than a shop's printer."""


def write_mat_pdf(mat: Mat, path: Path) -> None:
    """Write the mat as one page with a check bar and what to measure.

    Page scaling is switched off in the file, but viewers may scale all the same: the check bar
    shows it, and the calipered length of the bar makes up for it.
    """
    columns, rows = mat.squares
    width, height = columns * mat.square_mm, rows * mat.square_mm
    embed_font()
    buffer = BytesIO()
    canvas = Canvas(
        buffer,
        pagesize=((width + 2 * _MARGIN) * mm, (height + 2 * _MARGIN + _FOOT) * mm),
        invariant=1,
        initialFontName=FONT,
    )
    canvas.setTitle(f"Mat, {columns} x {rows} squares of {mat.square_mm:g} mm")
    canvas.setViewerPreference("PrintScaling", "None")
    board = ImageReader(BytesIO(_board_png(mat)))
    canvas.drawImage(
        board, _MARGIN * mm, (_MARGIN + _FOOT) * mm, width * mm, height * mm, mask=None
    )
    _draw_foot(canvas, mat)
    canvas.showPage()
    canvas.save()
    write_atomically(path, buffer.getvalue())


def _board_png(mat: Mat) -> bytes:
    board = coded_board(
        mat.squares, square=mat.square_mm, marker=mat.marker_mm, dictionary=mat.dictionary
    )
    dots = (mat.squares[0] * _DOTS_PER_SQUARE, mat.squares[1] * _DOTS_PER_SQUARE)
    _, coded = cv2.imencode(".png", board.generateImage(dots))
    return bytes(coded.tobytes())


def _draw_foot(canvas: Canvas, mat: Mat) -> None:
    low, start = 9.0 * mm, _MARGIN * mm
    canvas.setLineWidth(0.5)
    canvas.line(start, low, start + 100.0 * mm, low)
    for end in (start, start + 100.0 * mm):
        canvas.line(end, low - 2.0 * mm, end, low + 2.0 * mm)
    canvas.setFont(FONT, 11)
    last = mat.squares[0] - 1
    canvas.drawString(
        start + 104.0 * mm,
        low - 1.4 * mm,
        "100 mm. Print at 100 %, glue down flat. Then measure with calipers from the first to the "
        f"last inner corner of the top row: corner (1, 1) to ({last}, 1).",
    )
