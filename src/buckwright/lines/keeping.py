"""What a batten keeps whatever pulls at it: straight runs, corners, the direction of its ends.

In a straight run the cubic is linear: one knot span whose second derivative is nothing. At a
corner the knots are threefold, so that the direction may break. At an end the first derivative is
given; a batten is travelled at unit speed, so it is the unit vector itself. All are linear
conditions on the control points, alike for the three coordinates: what is left to the batten is
`fixed + space @ free`, and every change of it lies in `space`. So fairing, band, crossings and the
hand keep them without knowing of them.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.spline import basis_matrix, even_knots

__all__ = ["DEGREE", "FREE", "SAME", "Kept", "batten_knots", "left_free"]

Array = NDArray[np.float64]

DEGREE = 3
"""Cubic: curvature is continuous and the third derivative constant in each span."""
CROWDED = 0.35
"""Of an even step: an even knot nearer than this to a corner or the end of a run is left out."""
SAME = 1e-6
"""mm."""


@dataclass(frozen=True, eq=False, slots=True)
class Kept:
    """What one batten keeps, in mm along it."""

    straights: Array
    """(k, 2) ends of each run, in order; -inf and inf where it reaches the line's own ends."""
    corners: Array
    """(c,) in order."""
    first: Array | None = None
    """Unit vector along the line at its first end."""
    last: Array | None = None

    @property
    def nothing(self) -> bool:
        """Whether the batten is left all its freedom."""
        return not len(self.straights) and not len(self.corners) and self.ends == ()

    @property
    def ends(self) -> tuple[tuple[int, Array], ...]:
        """(0 or 1, direction) for each end whose direction is given."""
        both = ((0, self.first), (1, self.last))
        return tuple((end, way) for end, way in both if way is not None)

    def measured(self, old: Array, new: Array) -> "Kept":
        """The same places where lengths are `new` (k,) instead of `old` (k,), rising."""
        runs = self.straights
        moved = np.where(np.isfinite(runs), np.interp(runs, old, new), runs)
        return replace(self, straights=moved, corners=np.interp(self.corners, old, new))

    def with_corner(self, corner: float, to: float) -> "Kept":
        """One corner elsewhere, with the runs that end at it."""

        def moved(places: Array) -> Array:
            return np.where(np.abs(places - corner) < SAME, to, places)

        return replace(self, straights=moved(self.straights), corners=moved(self.corners))


FREE = Kept(np.empty((0, 2)), np.empty(0))


def batten_knots(kept: Kept, count: int, start: float, end: float, *, closed: bool) -> Array:
    """Even knots for `count` free control points, made way for runs and corners."""
    if not len(kept.straights) and not len(kept.corners):
        return even_knots(count, DEGREE, start, end, closed=closed)
    spans = count if closed else count - DEGREE
    step = (end - start) / spans
    even = np.linspace(start, end, spans + 1)[1:-1]
    marks = _marks(kept, start, end)
    for low, high in kept.straights:
        even = even[(even <= low) | (even >= high)]
    clear = np.abs(even[:, None] - marks).min(axis=1, initial=np.inf) >= CROWDED * step
    inside = (kept.corners > start + SAME) & (kept.corners < end - SAME)
    more = np.repeat(kept.corners[inside], DEGREE - 1)
    inner = np.sort(np.concatenate([even[clear], marks, more]))
    if not closed:
        return np.concatenate([np.full(DEGREE + 1, start), inner, np.full(DEGREE + 1, end)])
    once = np.concatenate([[start], inner])
    whole = end - start
    return np.concatenate([once[-DEGREE:] - whole, once, once[: DEGREE + 1] + whole])


def left_free(kept: Kept, knots: Array, *, closed: bool) -> tuple[Array, Array | None]:
    """`fixed` (m, 3), and `space` (m, f) with columns at right angles; None if all is free."""
    start, end = float(knots[DEGREE]), float(knots[-DEGREE - 1])
    count = len(knots) - DEGREE - 1 - (DEGREE if closed else 0)
    rows, values = [np.empty((0, count))], [np.empty((0, 3))]
    for low, high in np.clip(kept.straights, start, end):
        if high - low < SAME:
            continue
        inside = low + (high - low) * np.array([0.25, 0.75])
        rows.append(basis_matrix(knots, DEGREE, inside, derivative=2, closed=closed))
        values.append(np.zeros((2, 3)))
    for which, way in kept.ends:
        at = np.array([end if which else start])
        rows.append(basis_matrix(knots, DEGREE, at, derivative=1, closed=closed))
        values.append(way[None, :])
    conditions, given = np.vstack(rows), np.vstack(values)
    if not len(conditions):
        return np.zeros((count, 3)), None
    size = np.linalg.norm(conditions, axis=1, keepdims=True)
    ways, triangle = np.linalg.qr((conditions / size).T, mode="complete")
    many = len(conditions)
    fixed = ways[:, :many] @ np.linalg.solve(triangle[:many].T, given / size)
    return fixed, ways[:, many:]


def _marks(kept: Kept, start: float, end: float) -> Array:
    """Corners and ends of runs inside the line, each once."""
    places = np.sort(np.concatenate([kept.corners, kept.straights.ravel()]))
    places = places[(places > start + SAME) & (places < end - SAME)]
    return places[np.concatenate([[True], np.diff(places) > SAME])] if len(places) else places
