"""A squared plane put to scale and into vehicle axes by a length and by known places."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from buckwright.errors import JobError
from buckwright.model.views import VIEW_AXES, Pick, ViewSpec
from buckwright.views.piecing import similar

__all__ = ["Placed", "place_view"]

Array = NDArray[np.float64]

_NOWHERE = 1e-9


class Placed(NamedTuple):
    """From the squared plane to mm right and up in vehicle axes."""

    matrix: Array
    misses: Array
    """mm of each known figure, and of the length."""
    told: tuple[str, ...]
    """What each of them is."""
    anchored: bool
    """Whether a place is known, so that it lies in vehicle axes."""


def place_view(view: ViewSpec, at: dict[tuple[str, float, float], Array], *, true: bool) -> Placed:
    """Turn, scale and shift by least squares of what is known.

    Parameters: `at` gives a pick's place (2,) in the squared plane, by picture and pixel; `true`
    says whether the squared plane has true millimetres in vehicle axes already. Without anything
    to turn by, level stays level; with nothing known, the first end of the length is the origin.
    Raises JobError where nothing puts it to scale, or a length has none.
    """
    ends = None
    if view.length is not None:
        ends = np.array([at[_key(pick)] for pick in (view.length.first, view.length.second)])
        _check_length(view, ends)
    rows, values, told = _equations(view, at)
    if ends is None and len(values) == 0:
        if not true:
            raise _no_scale(view)
        return Placed(np.eye(3), np.zeros(0), (), anchored=True)
    size = None if ends is None or view.length is None else view.length.mm / _apart(ends)
    found = _free(view, rows, values) if size is None else _sized(rows, values, size, ends)
    misses = rows @ found - values if len(values) else np.zeros(0)
    if ends is not None and view.length is not None:
        miss = np.hypot(found[0], found[1]) * _apart(ends) - view.length.mm
        misses, told = np.append(misses, miss), (*told, "the length")
    return Placed(similar(*found), misses, told, anchored=bool(len(values)))


def _key(pick: Pick) -> tuple[str, float, float]:
    return pick.picture, *pick.px


def _apart(ends: Array) -> float:
    return float(np.linalg.norm(ends[1] - ends[0]))


def _check_length(view: ViewSpec, ends: Array) -> None:
    assert view.length is not None
    if not view.length.mm > 0.0:
        raise JobError(
            f"The length in the view '{view.name}' is nothing.", "Type what the tape says."
        )
    if _apart(ends) < _NOWHERE:
        raise JobError(
            f"Both ends of the length in the view '{view.name}' are in one place.",
            "Click its two ends.",
        )


def _no_scale(view: ViewSpec) -> JobError:
    return JobError(
        f"Nothing puts the view '{view.name}' to scale.",
        "Click the ends of a length and type it, or the two wheel centres and the wheelbase.",
    )


def _equations(
    view: ViewSpec, at: dict[tuple[str, float, float], Array]
) -> tuple[Array, Array, tuple[str, ...]]:
    """Rows and values for a, b and the shift; the view's axes may run against the vehicle's."""
    axes = VIEW_AXES[view.seen_from]
    rows, values, told = [], [], []
    for number, known in enumerate(view.known, 1):
        x, y = at[_key(known.pick)]
        if known.right is not None:
            rows.append([x, -y, 1.0, 0.0])
            values.append(axes.right[1] * known.right)
            told.append(f"known place {number}, {'xyz'[axes.right[0]]}")
        if known.up is not None:
            rows.append([y, x, 0.0, 1.0])
            values.append(axes.up[1] * known.up)
            told.append(f"known place {number}, {'xyz'[axes.up[0]]}")
    return np.array(rows).reshape(-1, 4), np.array(values), tuple(told)


def _free(view: ViewSpec, rows: Array, values: Array) -> Array:
    """By known places alone: two at least, or their figures say nothing of the scale."""
    centred = _scaled(rows)
    sizes = np.linalg.svd(centred, compute_uv=False)
    if len(values) < 2 or len(sizes) < 2:
        raise _no_scale(view)
    if len(values) >= 4 and sizes.min() > 1e-6 * sizes.max():
        found = np.linalg.lstsq(rows, values, rcond=None)[0]
        _check_upright(view, float(found[0]))
        return np.asarray(found)
    # Level stays level: only scale and shift are asked for.
    rows = rows[:, [0, 2, 3]]
    sizes = np.linalg.svd(_scaled(rows), compute_uv=False)
    used = int(np.any(rows[:, 1] != 0.0)) + int(np.any(rows[:, 2] != 0.0)) + 1
    if np.sum(sizes > 1e-6 * sizes.max()) < used:
        raise _no_scale(view)
    a, right, up = np.linalg.lstsq(rows, values, rcond=None)[0]
    _check_upright(view, float(a))
    return np.array([a, 0.0, right, up])


def _check_upright(view: ViewSpec, a: float) -> None:
    if not a > 0.0:
        raise JobError(
            f"The known places of the view '{view.name}' contradict the side that it is seen from.",
            "Say it is seen from the other side, change the places, or turn the picture upright.",
        )


def _scaled(rows: Array) -> Array:
    """Columns of like size, so that their rank can be told."""
    sizes = np.linalg.norm(rows, axis=0)
    return np.asarray(rows / np.where(sizes > 0.0, sizes, 1.0))


def _sized(rows: Array, values: Array, size: float, ends: Array | None) -> Array:
    """Of one scale: only turn and shift are asked for; what nothing says of stays."""
    assert ends is not None
    if len(values) == 0:
        return np.array([size, 0.0, *(-size * ends[0])])

    def whole(free: Array) -> Array:
        return np.array([size * np.cos(free[0]), size * np.sin(free[0]), free[1], free[2]])

    start = np.linalg.lstsq(rows[:, 2:], values - rows[:, 0] * size, rcond=None)[0]
    if len(values) < 3:
        return np.array([size, 0.0, *start])
    reach = max(float(np.ptp(ends, axis=0).max()) * size, 1.0)
    best = min(
        (
            least_squares(
                lambda free: rows @ whole(free) - values,
                np.array([turn, *start]),
                x_scale=[1.0, reach, reach],
            )
            for turn in (0.0, 2.0, -2.0)
        ),
        key=lambda found: found.cost,
    )
    return whole(best.x)
