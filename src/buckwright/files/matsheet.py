"""Mats on paper at full size: a page for each board, as PDF or SVG.

Page scaling is switched off in the PDF, but viewers may scale all the same: the check bar shows
it, and the measured lengths of the two bars make up for it.
"""

from collections.abc import Iterable
from io import BytesIO
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from buckwright.files.matmarks import Words, margin_lines, margin_words
from buckwright.files.pdfbook import FONT, embed_font
from buckwright.files.writing import write_atomically
from buckwright.geometry.board import board_rings
from buckwright.model.mats import MAT_KINDS, PAPER_MM
from buckwright.model.pictures import Mat

__all__ = ["mat_svg", "write_mat_pdf", "write_mat_svg"]

Array = NDArray[np.float64]

LEFT, TOP, FOOT = 12.0, 14.0, 16.0
"""mm round the board: room for the bars, and for the words at the foot."""
_LINE = 0.25


class _Page(NamedTuple):
    """One board on its paper: mm from the lower left corner."""

    size: tuple[float, float]
    rings: list[Array]
    lines: list[Array]
    words: list[Words]


def write_mat_pdf(mat: Mat, path: Path) -> None:
    """Write the mat, a page for each board, with two bars to measure and a check bar."""
    embed_font()
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1, initialFontName=FONT)
    canvas.setTitle(_title(mat))
    canvas.setViewerPreference("PrintScaling", "None")
    for page in _pages(mat):
        canvas.setPageSize((page.size[0] * mm, page.size[1] * mm))
        shape = canvas.beginPath()
        for ring in page.rings:
            shape.moveTo(*(ring[0] * mm))
            for point in ring[1:]:
                shape.lineTo(*(point * mm))
            shape.close()
        canvas.drawPath(shape, stroke=0, fill=1, fillMode=0)
        canvas.setLineWidth(_LINE * mm)
        for line in page.lines:
            canvas.line(*(line.ravel() * mm))
        for words in page.words:
            canvas.saveState()
            canvas.translate(words.at[0] * mm, words.at[1] * mm)
            canvas.rotate(words.turned)
            canvas.setFont(FONT, words.height / 0.729 * mm)
            canvas.drawString(0, 0, words.text)
            canvas.restoreState()
        canvas.showPage()
    canvas.save()
    write_atomically(path, buffer.getvalue())


def write_mat_svg(mat: Mat, path: Path) -> tuple[Path, ...]:
    """Write the mat as SVG, one user unit to a millimetre; a set goes into numbered files."""
    if mat.cards == 1:
        paths: tuple[Path, ...] = (path,)
    else:
        paths = tuple(path.with_stem(f"{path.stem}-{k + 1}") for k in range(mat.cards))
    for one, card in zip(paths, range(mat.cards), strict=True):
        write_atomically(one, mat_svg(mat, card))
    return paths


def mat_svg(mat: Mat, card: int = 0) -> str:
    """One board of the mat as an SVG document at true size."""
    page = _page(mat, card)
    width, height = page.size
    shape = " ".join(f"M{_places(ring, height)}Z" for ring in page.rings)
    lines = " ".join(f"M{_places(line, height)}" for line in page.lines)
    words = "\n".join(_svg_words(one, height) for one in page.words)
    size = f'width="{width:g}mm" height="{height:g}mm" viewBox="0 0 {width:g} {height:g}"'
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size}>\n'
        f"<title>{_title(mat)}</title>\n"
        f'<path class="board" fill="#000" fill-rule="evenodd" d="{shape}"/>\n'
        f'<path class="bars" fill="none" stroke="#000" stroke-width="{_LINE}" d="{lines}"/>\n'
        f"<g font-family=\"Verdana,'DejaVu Sans',sans-serif\">\n{words}\n</g>\n</svg>\n"
    )


def _svg_words(words: Words, height: float) -> str:
    x, y = words.at[0], height - words.at[1]
    turn = f' transform="rotate({-words.turned:g} {x:.3f} {y:.3f})"' if words.turned else ""
    size = words.height / 0.729
    return f'<text x="{x:.3f}" y="{y:.3f}" font-size="{size:.3f}"{turn}>{words.text}</text>'


def _places(points: Array, height: float) -> str:
    return " ".join(f"{x:.4f},{height - y:.4f}" for x, y in points.tolist())


def _title(mat: Mat) -> str:
    columns, rows = mat.squares
    boards = f"{mat.cards} cards" if mat.cards > 1 else "Mat"
    return f"{boards}, {columns} x {rows} squares of {mat.square_mm:g} mm"


def _pages(mat: Mat) -> Iterable[_Page]:
    for card in range(mat.cards):
        yield _page(mat, card)


def _page(mat: Mat, card: int) -> _Page:
    columns, rows = mat.squares
    width, height = columns * mat.square_mm, rows * mat.square_mm
    size = _paper(mat) or (width + 2.0 * LEFT, height + TOP + FOOT)
    low = FOOT + 0.5 * (size[1] - height - TOP - FOOT)
    origin = np.array([0.5 * (size[0] - width), low + height])
    rings = board_rings(
        mat.squares,
        square=mat.square_mm,
        marker=mat.marker_mm,
        dictionary=mat.dictionary,
        first=card * mat.marks_each,
    )
    return _Page(
        size=size,
        rings=[ring + origin for ring in rings],
        lines=[line + origin for line in margin_lines(mat)],
        words=[w._replace(at=tuple((origin + w.at).tolist())) for w in margin_words(mat, card)],
    )


def _paper(mat: Mat) -> tuple[float, float] | None:
    """The paper of a usual kind; None for another mat, whose page is as large as it needs."""
    for kind in MAT_KINDS.values():
        if (kind.squares, kind.square_mm) == (mat.squares, mat.square_mm):
            return PAPER_MM[kind.paper]
    return None
