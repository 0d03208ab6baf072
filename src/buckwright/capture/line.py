"""A line in space from its traces."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.candidates import TraceFinder
from buckwright.capture.chains import Stretch, followed_traces, rough_points
from buckwright.capture.fitting import Fit
from buckwright.capture.growing import grown_line
from buckwright.capture.precision import Precision, precision_at, views_near
from buckwright.capture.refining import refined_fit, supported_range
from buckwright.capture.smoothing import smoothed_fit
from buckwright.capture.threading import threaded
from buckwright.capture.tracedoubts import line_findings
from buckwright.capture.views import Marks, Views, see_traces
from buckwright.errors import JobError
from buckwright.model.pictures import Calibration, MeasuredLine, Trace

__all__ = ["line_from_traces"]

Array = NDArray[np.float64]

_SPACING_PX = 12.0
"""Between the points that are handed on."""
_FEWEST, _MOST = 40, 240
_LEAST_POINTS, _LEAST_EXPLAINED = 4, 0.2
_SUPPORTS, _GOOD_START = (0.0, 2.3), 0.97
"""Least support of the points that a start is made from; share of traces that settles it."""
_AGREES, _MOST_OUTSIDE = 0.5, 0.05
"""Share of a view's marks that speak for the curve where the view agrees with it; share of the
curve that may lie off the mat."""
_SEEDS, _WORTH_GROWING = 4, 0.97
"""Stretches that a line is grown from, unless so much is explained without."""
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
    coarse = _best_start(views, marks, calibration, closed=closed)
    if coarse is None or len(np.unique(marks.view[coarse.counts])) < 2:
        raise _do_not_meet(name)
    if _led_astray(coarse, views, marks) or _outside(coarse, _box(calibration)) > _MOST_OUTSIDE:
        raise _do_not_meet(name)
    px = _mm_to_a_pixel(views, coarse.curve.control)
    fit = smoothed_fit(coarse, views, marks, px=px)
    at = _places(fit, views, marks, px=px)
    precise = precision_at(at, fit, views, marks, calibration)
    if fit.counts.mean() < _LEAST_EXPLAINED or np.mean(precise.views < 2) > _MOST_UNSEEN[closed]:
        raise _do_not_meet(name)
    return _answer(name, at, fit, precise, views=views, marks=marks, traces=traces)


def _best_start(
    views: Views, marks: Marks, calibration: Calibration, *, closed: bool
) -> Fit | None:
    """The coarse fit that explains most of the traces; None where they do not meet.

    With few pictures, points that only two of them vouch for may lead astray, or may be all
    there is: where the first start leaves traces unexplained, others are tried too.
    """
    finder = TraceFinder(views, marks, closed=closed)
    box = _box(calibration)
    stretches = followed_traces(views, marks, finder=finder, box=box)
    best, most = None, -np.inf
    for rough, enough in chain(_threads(stretches), _grown(stretches, views, marks, closed=closed)):
        if most > enough:
            break
        line = rough()
        if len(line) < _LEAST_POINTS:
            continue
        px = _mm_to_a_pixel(views, line)
        fit = refined_fit(line, views, marks, closed=closed, px=px)
        explained = float(fit.counts.mean()) - _unseen(fit, views, marks) - _outside(fit, box)
        if explained > most:
            best, most = fit, explained
    return best


Start = tuple[Callable[[], Array], float]
"""What makes a rough polyline, and how much of the traces explained makes it needless."""


def _threads(stretches: tuple[Stretch, ...]) -> Iterator[Start]:
    """All points on one thread; then only those that more than two views vouch for."""
    points, support = rough_points(stretches)
    for least in _SUPPORTS:
        chosen = support > least
        if chosen.sum() >= _LEAST_POINTS:
            yield partial(threaded, points[chosen], support[chosen]), _GOOD_START


def _grown(
    stretches: tuple[Stretch, ...], views: Views, marks: Marks, *, closed: bool
) -> Iterator[Start]:
    """Grown from the surest stretches, one by one."""
    for stretch in sorted(stretches, key=lambda s: -float(s.support.sum()))[:_SEEDS]:
        if len(stretch.points) >= _LEAST_POINTS:
            px = _mm_to_a_pixel(views, stretch.points)
            make = partial(grown_line, stretch.points, views, marks, closed=closed, px=px)
            yield make, _WORTH_GROWING


def _unseen(fit: Fit, views: Views, marks: Marks) -> float:
    """Share of the curve that fewer than two views see."""
    at = np.linspace(0.0, fit.curve.length, 100, endpoint=not fit.curve.closed)
    return float(np.mean(views_near(at, fit, views, marks).sum(axis=1) < 2))


def _outside(fit: Fit, box: Array) -> float:
    """Share of the curve that lies where the model cannot be."""
    points = fit.curve.points(fit.curve.samples())
    return float(np.mean(np.any((points < box[0]) | (points > box[1]), axis=1)))


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


def _mm_to_a_pixel(views: Views, points: Array) -> float:
    """Typical size of a pixel at the line."""
    _, depth = views.flat(points)
    return float(np.median(depth / views.focal[:, None]))


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
