"""A line grown from a stretch that is sure, a little at a time, along the traces.

Where the pictures of a line overlap only two by two, as those of an arch over the whole width do,
no third picture tells a wrong match of its legs from a right one. From a stretch that is right the
next few marks are told by two views alone, because the line goes on from where it is.
"""

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.curve import Curve, curve_through, stretched
from buckwright.capture.fitting import Fit, fit_curve
from buckwright.capture.precision import views_near
from buckwright.capture.views import Marks, Views

__all__ = ["grown_line"]

Array = NDArray[np.float64]

_STEP_PX = 80.0
_GATE_PX = 10.0
_MOST_STEPS = 60
_ROUNDS = 4
_BEND_PX, _NOISE = 10.0, 10.0
"""Usual third difference of control points a step apart, and px^2 that a mark counts with."""


def grown_line(seed: Array, views: Views, marks: Marks, *, closed: bool, px: float) -> Array:
    """(m, 3) a polyline along the line, as far as two views show it in one piece with the seed.

    Parameters: seed (n, 3) ordered points of a stretch, px: mm in space to a pixel. Of a closed
    line it may run on over its own start; it is cut there.
    """
    step = _STEP_PX * px
    length = float(np.linalg.norm(np.diff(seed, axis=0), axis=1).sum())
    spans = max(round(length / step), 2)
    fit = _fitted(curve_through(seed, spans, closed=False), views, marks, px=px)
    alive = np.array([True, True])
    for _ in range(_MOST_STEPS):
        if not alive.any():
            break
        longer = _fitted(_lengthened(fit.curve, step, alive), views, marks, px=px)
        shown = _ends_shown(longer, views, marks, step=0.5 * step)
        if np.any(alive & ~shown):
            alive &= shown
            continue
        fit = longer
        if closed and _meets_itself(fit.curve, step):
            break
    return fit.curve.points(fit.curve.samples())


def _fitted(curve: Curve, views: Views, marks: Marks, *, px: float) -> Fit:
    stiff = np.eye(3) * (_NOISE / (_BEND_PX * px) ** 2)
    return fit_curve(curve, views, marks, gate=_GATE_PX, stiff=stiff, rounds=_ROUNDS)


def _lengthened(curve: Curve, step: float, alive: NDArray[np.bool_]) -> Curve:
    before, after = np.where(alive, step, 0.0)
    breaks = curve.breaks
    if alive[0]:
        breaks = np.concatenate([[-step], breaks])
    if alive[1]:
        breaks = np.concatenate([breaks, [curve.length + step]])
    return stretched(curve, breaks, before=float(before), after=float(after))


def _ends_shown(fit: Fit, views: Views, marks: Marks, *, step: float) -> NDArray[np.bool_]:
    """(2,) whether two views show the curve half a step before its start and its end."""
    at = np.array([step, fit.curve.length - step])
    return np.asarray(views_near(at, fit, views, marks).sum(axis=1) >= 2)


def _meets_itself(curve: Curve, step: float) -> bool:
    """Whether an end of the curve has come to its other part."""
    points = curve.points(curve.samples())
    along = curve.samples()
    for end, at in ((points[0], 0.0), (points[-1], curve.length)):
        far = np.abs(along - at) > 4.0 * step
        if far.any() and np.linalg.norm(points[far] - end, axis=1).min() < step:
            return True
    return False
