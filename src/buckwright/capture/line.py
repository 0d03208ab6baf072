"""A line in space from its traces."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.firstfit import first_fit, share_outside
from buckwright.capture.fitting import Fit
from buckwright.capture.precision import Precision, precision_at
from buckwright.capture.refining import finished_fit, supported_range
from buckwright.capture.smoothing import smoothed_fit
from buckwright.capture.tracedoubts import line_findings
from buckwright.capture.views import Marks, Views, mm_to_a_pixel, see_traces
from buckwright.errors import JobError
from buckwright.model.pictures import Calibration, MeasuredLine, Trace

__all__ = ["line_from_traces"]

Array = NDArray[np.float64]

_SPACING_PX = 12.0
"""Between the points that are handed on."""
_FEWEST, _MOST = 40, 240
_LEAST_EXPLAINED = 0.2
_AGREES, _MOST_OUTSIDE = 0.5, 0.05
"""Share of a view's marks that speak for the curve where the view agrees with it; share of the
curve that may lie off the mat."""
_MOST_UNSEEN = {True: 0.15, False: 0.4}
"""Share of a closed and of an open line that fewer than two views show. Beyond it the views were
matched wrongly: a loop without its shape is no measurement, while a wheel may hide much of a sill.
"""


def line_from_traces(
    name: str, traces: Sequence[Trace], calibration: Calibration, *, closed: bool
) -> MeasuredLine:
    """The line whose pictures run along its traces, in millimetres of the mat.

    Traces may run in either direction, in several pieces to a picture, over parts of the line.
    They must follow marks on the model or true edges: an outline that moves with the camera is
    no line. Points are even along the line; `sigma` holds the hand's wobble as the traces show
    it, the cameras' doubt and the scale's (if it is measured).

    Raises JobError with fewer than two solved pictures and where the traces do not meet in space.
    """
    views, marks = see_traces(name, traces, calibration)
    box = _box(calibration)
    found = first_fit(views, marks, box, closed=closed)
    if found is None or len(np.unique(found[1].view[found[0].counts])) < 2:
        raise _do_not_meet(name)
    px = mm_to_a_pixel(views, found[0].curve.control)
    coarse = finished_fit(found[0], views, marks, px=px)
    if _led_astray(coarse, views, marks) or share_outside(coarse, box) > _MOST_OUTSIDE:
        raise _do_not_meet(name)
    fit = smoothed_fit(coarse, views, marks, px=px)
    at = _places(fit, views, marks, px=px)
    precise = precision_at(at, fit, views, marks, calibration)
    if fit.counts.mean() < _LEAST_EXPLAINED or np.mean(precise.views < 2) > _MOST_UNSEEN[closed]:
        raise _do_not_meet(name)
    return _answer(name, at, fit, precise, views=views, marks=marks, traces=traces)


def _led_astray(fit: Fit, views: Views, marks: Marks) -> bool:
    """Whether half of the views or more do not agree with the curve: then none is to be believed.

    Marks past the ends of the curve say nothing about it.
    """
    beside = fit.feet.past == 0.0
    strays = 0
    for view in range(len(views.names)):
        mine = (marks.view == view) & beside
        strays += bool(mine.any()) and float(np.mean(fit.counts[mine])) < _AGREES
    return 2 * strays >= len(views.names)


def _do_not_meet(name: str) -> JobError:
    return JobError(
        f"The traces of the line {name} do not meet in space.",
        "Check that they follow the same mark in every picture, and trace it in one more picture "
        "from another side or height.",
    )


def _box(calibration: Calibration) -> Array:
    """(2, 3) where the model can be: above the mat, and a little beside it."""
    low, high = calibration.mat_points.min(axis=0), calibration.mat_points.max(axis=0)
    size = float(np.linalg.norm((high - low)[:2]))
    beside = np.array([0.15, 0.15, 0.03]) * size
    return np.array([low - beside, high + beside + np.array([0.0, 0.0, 0.8 * size])])


def _places(fit: Fit, views: Views, marks: Marks, *, px: float) -> Array:
    """Parameters of the points that are handed on."""
    length = fit.curve.length
    if fit.curve.closed:
        count = int(np.clip(np.ceil(length / (_SPACING_PX * px)), _FEWEST, _MOST))
        return np.asarray(np.arange(count) * (length / count), dtype=np.float64)
    start, end = supported_range(fit, views, marks)
    start, end = max(start, 0.0), min(end, length)
    count = int(np.clip(np.ceil((end - start) / (_SPACING_PX * px)), _FEWEST, _MOST))
    return np.linspace(start, end, count, dtype=np.float64)


def _answer(
    name: str,
    at: Array,
    fit: Fit,
    precise: Precision,
    *,
    views: Views,
    marks: Marks,
    traces: Sequence[Trace],
) -> MeasuredLine:
    gaps = fit.feet.gap[fit.counts]
    return MeasuredLine(
        name=name,
        points=fit.curve.points(at),
        sigma=precise.sigma,
        closed=fit.curve.closed,
        pictures=views.names,
        residual_px=float(np.sqrt(np.mean(gaps**2))),
        conditioning=precise.conditioning,
        findings=line_findings(name, traces, fit, precise, at=at, views=views, marks=marks),
    )
