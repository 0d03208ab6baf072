"""Where an open line ends: the marks at which traces of it stop because it stops."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.curve import Curve
from buckwright.capture.feet import Feet, picture_at
from buckwright.capture.views import Marks, Views

__all__ = ["Ends", "ends_of"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_LEAST_VIEWS = 3
"""Two could always be made to agree by bending the end of the curve aside."""
_NEAR_PX, _ACROSS_PX, _LIMIT_PX = 5.0, 6.0, 4.0
_LEAST_PACE = 0.3
"""Of the best view's px to a mm: views that see the end nearly end on do not count."""
_USUAL_VARIANCE, _BELIEF = 4.0, 4.0
"""px^2 of where a hand stops, along the line, and how many stops that is worth."""


@dataclass(frozen=True, eq=False, slots=True)
class Ends:
    """Last marks of traces, m of them, that stop where the line does."""

    mark: Index
    """(m,) number of the mark."""
    last: NDArray[np.bool_]
    """(m,) whether it is at the line's last end, not its first."""
    weight: float
    """Of each, where a mark weighs 1 across the line."""
    known: NDArray[np.bool_]
    """(2,) first, last: whether the views tell where the line ends."""

    def at(self, length: float) -> Array:
        """(m,) parameters of a curve of that length."""
        return np.where(self.last, length, 0.0)

    def stops(self, curve: Curve, views: Views, marks: Marks) -> tuple[Array, Array, Array]:
        """How far the marks lie past the curve's ends, along its pictures.

        Returns (m,) px, (m, 3) px per mm of the end's motion, (m,) weights.
        """
        own = marks.taken(self.mark)
        place, slope, along = picture_at(curve, self.at(curve.length), views, own)
        along = along / np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12)
        focal = views.focal[own.view]
        gap = focal * np.einsum("ij,ij->i", own.flat - place, along)
        push = focal[:, None] * np.einsum("ij,ijk->ik", along, slope)
        sure = self.weight * np.minimum(1.0, _LIMIT_PX / np.maximum(np.abs(gap), 1e-9))
        return gap, push, sure


def ends_of(curve: Curve, feet: Feet, views: Views, marks: Marks, *, noise: float) -> Ends | None:
    """The traces' ends at the ends of an open curve; None of a closed one or where none is told.

    `noise` px^2 is what a mark counts with across the line. An end is told by the traces that
    stop within 5 px of the curve's end in three views at least; a trace that stops elsewhere is
    hidden by something. How well hands stop is judged by how well the views agree.
    """
    if curve.closed:
        return None
    outer = _outer_marks(marks)
    found: list[tuple[Index, bool]] = []
    for last in (False, True):
        chosen = _stopping(curve, feet, marks, outer, last=last)
        if len(chosen) >= _LEAST_VIEWS:
            found.append((chosen, last))
    if not found:
        return None
    ends = Ends(
        mark=np.concatenate([chosen for chosen, _ in found]),
        last=np.concatenate([np.full(len(chosen), last) for chosen, last in found]),
        weight=1.0,
        known=np.array([any(last == which for _, last in found) for which in (False, True)]),
    )
    gap, _, _ = ends.stops(curve, views, marks)
    spread = sum(
        float(np.sum((g - g.mean()) ** 2)) for g in (gap[~ends.last], gap[ends.last]) if len(g)
    )
    freedom = len(gap) - int(ends.known.sum())
    variance = (_BELIEF * _USUAL_VARIANCE + spread) / (_BELIEF + freedom)
    return replace(ends, weight=noise / variance)


def _outer_marks(marks: Marks) -> Index:
    """First and last marks of all pieces."""
    change = np.flatnonzero(np.diff(marks.piece) != 0)
    return np.unique(np.concatenate([[0], change, change + 1, [len(marks.piece) - 1]]))


def _stopping(curve: Curve, feet: Feet, marks: Marks, outer: Index, *, last: bool) -> Index:
    """Of the outer marks those that stop at one end of the curve, the nearest of each view."""
    reach = feet.at[outer] + feet.past[outer] - (curve.length if last else 0.0)
    pace = feet.pace[outer]
    gap = np.abs(reach) * pace
    good = (gap < _NEAR_PX) & (np.abs(feet.gap[outer]) < _ACROSS_PX)
    rows = outer[good]
    if len(rows) == 0:
        return rows
    order = np.argsort(gap[good])
    _, first = np.unique(marks.view[rows[order]], return_index=True)
    nearest = rows[order[first]]
    return np.asarray(nearest[feet.pace[nearest] > _LEAST_PACE * feet.pace[nearest].max()])
