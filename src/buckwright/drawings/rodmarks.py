"""Marks along a rod: a tick across it, its distance from the start and what meets it there.

On the inside of the bend stand the numbers of the pieces of the bend table.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import FIGURE, line, words, words_outward
from buckwright.drawings.placing import spread_apart
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.drawings import Label, Stroke

__all__ = ["piece_marks", "rod_marks", "ticks"]

Array = NDArray[np.float64]

LEAD = 34.0
"""mm from the rod's axis to where the words begin."""


def rod_marks(
    flat: Array,
    along: Array,
    marks: Sequence[tuple[float, str]],
    *,
    diameter: float,
    closed: bool = False,
) -> tuple[list[Stroke], list[Label]]:
    """Ticks with words on the outside of the bend.

    Parameters: flat (n, 2) the axis on paper, in order, a closed one ending where it begins;
    along (n,) true distance along the rod at those points; marks (distance, words) in any order.
    """
    strokes, labels = [], []
    round_trip = float(along[-1]) if closed else 0.0
    ordered = _from_the_widest_gap(sorted(marks), round_trip)
    side = _outside(flat)
    spread = spread_apart(np.array([at for at, _ in ordered]), 2.1 * FIGURE)
    for (at, text), place in zip(ordered, spread, strict=True):
        here, there = (v % round_trip if closed else v for v in (at, float(place)))
        point, normal = _frame(flat, along, here, side)
        away, lean = _frame(flat, along, there, side)
        strokes.append(_tick(point, normal, diameter))
        strokes.append(
            line("thin", point + (0.5 * diameter + 6.0) * normal, away + (LEAD - 3.0) * lean)
        )
        labels.append(words_outward(away + LEAD * lean, lean, f"{here:.1f} {text}"))
    return strokes, labels


def piece_marks(
    flat: Array, along: Array, pieces: Sequence[tuple[float, float]], *, diameter: float
) -> tuple[list[Stroke], list[Label]]:
    """A fine line where one piece (start, length) goes over into the next, and their numbers."""
    side = -_outside(flat)
    strokes, labels = [], []
    for number, (start, length) in enumerate(pieces, 1):
        middle, inward = _frame(flat, along, start + 0.5 * length, side)
        at = middle + (0.5 * diameter + 1.6 * FIGURE) * inward - np.array([0.0, 0.5 * FIGURE])
        labels.append(words(at, str(number), FIGURE, centred=True))
        if number > 1:
            point, normal = _frame(flat, along, start, side)
            strokes.append(line("thin", point, point + (0.5 * diameter + 3.0 * FIGURE) * normal))
    return strokes, labels


def _from_the_widest_gap(
    marks: list[tuple[float, str]], round_trip: float
) -> list[tuple[float, str]]:
    """Marks of a closed rod from the widest gap on, once round; of an open one as they are."""
    if not round_trip or len(marks) < 2:
        return marks
    places = np.array([at for at, _ in marks])
    gaps = np.diff(np.append(places, places[0] + round_trip))
    first = (int(np.argmax(gaps)) + 1) % len(marks)
    return [*marks[first:], *((at + round_trip, text) for at, text in marks[:first])]


def ticks(flat: Array, along: Array, places: Sequence[float], *, diameter: float) -> list[Stroke]:
    """Only the ticks, for a second view of the same rod."""
    framed = (_frame(flat, along, at, 1.0) for at in places)
    return [_tick(point, normal, diameter) for point, normal in framed]


def _tick(point: Array, normal: Array, diameter: float) -> Stroke:
    reach = 0.5 * diameter + 6.0
    return line("mark", point - reach * normal, point + reach * normal)


def _outside(flat: Array) -> float:
    """+1 where the bend's outside is on the left of the run, -1 on the right."""
    sides = np.diff(flat, axis=0)
    turn = sides[:-1, 0] * sides[1:, 1] - sides[:-1, 1] * sides[1:, 0]
    return -1.0 if turn.sum() > 0.0 else 1.0


def _frame(flat: Array, along: Array, at: float, side: float) -> tuple[Array, Array]:
    """Point of the axis at that distance, and the unit normal there on that side.

    Beyond the ends the axis runs on straight.
    """
    on_paper = arc_lengths(flat)
    inside = float(np.clip(at, along[0], along[-1]))
    here = float(np.interp(inside, along, on_paper))
    reach = min(5.0, 0.25 * on_paper[-1])
    ends = np.clip([here - reach, here + reach], 0.0, on_paper[-1])
    before, after, point = (
        np.array([np.interp(s, on_paper, flat[:, k]) for k in range(2)]) for s in (*ends, here)
    )
    tangent = (after - before) / max(float(np.linalg.norm(after - before)), 1e-12)
    return point + (at - inside) * tangent, side * np.array([-tangent[1], tangent[0]])
