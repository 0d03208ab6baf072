"""What is printed round a mat's board: bars to measure, names of its sides, what to do."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckwright.model.pictures import Mat

__all__ = ["Words", "margin_lines", "margin_words"]

Array = NDArray[np.float64]

CHECK = 100.0
"""mm of the check bar."""
_OFF, _TICK = 4.0, 2.5
"""mm from the board to a bar's line, and half a tick."""


class Words(NamedTuple):
    """Words on the paper: left end of the base line, mm from the board's top-left corner."""

    at: tuple[float, float]
    text: str
    height: float = 2.6
    """mm of capitals."""
    turned: float = 0.0
    """degrees, counter-clockwise."""


def margin_lines(mat: Mat) -> list[Array]:
    """Lines (2, 2), mm from the board's top-left corner, y up: both bars, the check bar."""
    columns, rows = mat.squares
    square = mat.square_mm
    low = -rows * square
    bars = [
        _barred([square, _OFF], [(columns - 1) * square, _OFF]),
        _barred([-_OFF, -square], [-_OFF, -(rows - 1) * square]),
        _barred([0.0, low - 11.0], [CHECK, low - 11.0]),
    ]
    return [line for bar in bars for line in bar]


def _barred(start: list[float], end: list[float]) -> list[Array]:
    """A line with a tick across each end; the ticks point at the corners that are measured."""
    first, last = np.array(start), np.array(end)
    along = (last - first) / np.linalg.norm(last - first)
    across = np.array([-along[1], along[0]]) * _TICK
    return [np.array([first, last])] + [np.array([p - across, p + across]) for p in (first, last)]


def margin_words(mat: Mat, card: int) -> list[Words]:
    """The words on the page of one board."""
    columns, rows = mat.squares
    square = mat.square_mm
    wide, low = columns * square, -rows * square
    across, down = (columns - 2) * square, (rows - 2) * square
    first = card * mat.marks_each
    name = f"card {card + 1} of {mat.cards}, " if mat.cards > 1 else ""
    sides = [
        Words((wide - 6.0, low - 6.0), "A", 4.5),
        Words((wide + 2.5, low + 0.5 * square), "B", 4.5),
        Words((wide - 6.0, _OFF - 1.0), "C", 4.5),
        Words((-9.5, low + 0.5 * square), "D", 4.5),
    ]
    if mat.cards > 1:
        sides = [Words((wide - 24.0, low - 8.5), str(card + 1), 7.0)]
    return [
        *sides,
        Words((square + 2.0, _OFF + 1.5), _bar_words(1, across)),
        Words((-_OFF - 1.5, low + square + 2.0), _bar_words(2, down), turned=90.0),
        Words(
            (0.0, low - 4.2),
            f"{name}{columns} x {rows} squares of {square:g} mm, marks {first} to "
            f"{first + mat.marks_each - 1}. {_to_do(mat)}",
            2.2,
        ),
        Words((0.0, low - 7.8), _measure(mat), 2.2),
        Words((CHECK + 4.0, low - 12.0), "100 mm: print at 100 %", 2.2),
    ]


def _bar_words(number: int, drawn: float) -> str:
    return f"bar {number}, drawn {drawn:g}:  measured ____________ mm"


def _to_do(mat: Mat) -> str:
    if mat.cards > 1:
        return "Stiff and flat; tape it so that nothing moves."
    return "Glue it to something flat and stiff."


def _measure(mat: Mat) -> str:
    if mat.cards > 1:
        return "Measure the bars of one card at least, corner to corner, and type them in."
    return "Measure both bars, corner to corner of the squares at the ticks; type them in."
