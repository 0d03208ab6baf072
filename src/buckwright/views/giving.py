"""How far each view gives way so that all agree: least squares of scale, turn and shift."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.homography import apply_homography
from buckwright.model.views import VIEW_AXES, SquaredView, ViewShift, ViewSpec
from buckwright.views.piecing import similar

__all__ = ["Shared", "give_way", "move_of", "moved_view"]

Array = NDArray[np.float64]

_SCALE, _TURN, _SHIFT = 0.005, 0.006, 25.0
"""What is likely of a view put to scale by hand: half a per cent, a third of a degree, 25 mm."""


class Shared(NamedTuple):
    """One coordinate that two views both show."""

    line: str
    end: str
    axis: int
    views: tuple[int, int]
    places: tuple[Array, Array]
    """(2,) right and up in each view."""
    apart: float
    """mm, second minus first, in vehicle axes."""
    sigma: float


def give_way(
    views: Sequence[ViewSpec], shared: Sequence[Shared], given: Sequence[ViewShift]
) -> list[ViewShift]:
    """The likeliest scale, turn and shift of each view, about the origin of its axes.

    Parameters: shared, what is still apart after the views gave way by `given`. Returns the whole
    that each gives, `given` included.
    """
    now = np.array([[g.scale - 1.0, g.turn, *g.shift] for g in given]).ravel()
    rows, values = [], []
    for one in shared:
        row = np.zeros(4 * len(views))
        for sense, view, place in zip((-1.0, 1.0), one.views, one.places, strict=True):
            row[4 * view : 4 * view + 4] = sense * _slopes(views[view], one.axis, place)
        rows.append(row / one.sigma)
        values.append((row @ now - one.apart) / one.sigma)
    likely = np.tile([1.0 / _SCALE, 1.0 / _TURN, 1.0 / _SHIFT, 1.0 / _SHIFT], len(views))
    table = np.vstack([np.array(rows), np.diag(likely)])
    found = np.linalg.lstsq(table, np.append(values, np.zeros(len(likely))), rcond=None)[0]
    return [
        ViewShift(view=view.name, scale=1.0 + scale, turn=turn, shift=(right, up))
        for view, (scale, turn, right, up) in zip(views, found.reshape(-1, 4).tolist(), strict=True)
    ]


def move_of(shift: ViewShift) -> Array:
    """(3, 3) of the plane of the view."""
    a, b = shift.scale * float(np.cos(shift.turn)), shift.scale * float(np.sin(shift.turn))
    return similar(a, b, *shift.shift)


def _slopes(view: ViewSpec, axis: int, place: Array) -> Array:
    """(4,) of a vehicle coordinate by scale, turn and shift of its view."""
    axes = VIEW_AXES[view.seen_from]
    x, y = place
    if axes.right[0] == axis:
        return axes.right[1] * np.array([x, -y, 1.0, 0.0])
    return axes.up[1] * np.array([y, x, 0.0, 1.0])


def moved_view(squared: SquaredView, shift: ViewShift) -> SquaredView:
    """The view after it gave way."""
    move = move_of(shift)
    foot = apply_homography(move, np.array([squared.foot]))[0]
    return squared.model_copy(
        update={
            "to_plane": tuple((move @ m.reshape(3, 3)).ravel() for m in squared.to_plane),
            "foot": (float(foot[0]), float(foot[1])),
            "distance": shift.scale * squared.distance,
            "mm_per_px": shift.scale * squared.mm_per_px,
        }
    )
