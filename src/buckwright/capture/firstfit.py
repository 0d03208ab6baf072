"""The first fit of a line: of several rough starts the one that explains most of the traces."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.capture.candidates import TraceFinder
from buckwright.capture.chains import Stretch, followed_traces, rough_points
from buckwright.capture.fitting import Fit
from buckwright.capture.growing import grown_line
from buckwright.capture.precision import views_near
from buckwright.capture.refining import refined_fit
from buckwright.capture.threading import threaded
from buckwright.capture.views import Marks, Views, mm_to_a_pixel
from buckwright.geometry.polyline import closest_on_polyline, resample_polyline

__all__ = ["first_fit", "share_outside"]

Array = NDArray[np.float64]

_MANY, _MANY_SNAPPED = 300, 450
"""Marks that are enough to find out how the line runs: a hand's err alike over longer ways."""
_LEAST_POINTS = 4
_SUPPORTS, _ENOUGH = (0.0, 2.3), 0.97
"""Least support of the points that a start is made from; share of traces that settles it."""
_AGREES, _MOST_UNSEEN = 0.8, 0.02
"""Share of a view's marks that fit where it agrees; of the curve that two views need not see."""
_SEEDS = 4
"""Stretches that a line is grown from, unless so much is explained without."""
_NEARLY, _RESTARTS = 0.95, 2
_ALONG_PX, _ALONG_SHARE = 6.0, 0.95
"""A start that runs so near to a curve, over so much of it, would end in that curve again."""
_NEAR_PX, _FINE = 25.0, 400
"""Of a rough polyline's picture, looked at in so many places: marks beyond are not explained."""


def first_fit(views: Views, marks: Marks, box: Array, *, closed: bool) -> tuple[Fit, Marks] | None:
    """The coarse fit that explains most of the traces, with the marks that it is fitted to.

    With few pictures, points that only two of them vouch for may lead astray, or may be all
    there is: where the first start leaves traces unexplained, others are tried too, as far as
    they lead anywhere else. None where the traces do not meet inside `box` (2, 3).
    """
    finder = TraceFinder(views, marks, closed=closed)
    stretches = followed_traces(views, marks, finder=finder, box=box)
    some = marks.thinned(_MANY_SNAPPED if marks.snapped > 0.5 else _MANY)
    best: list[Fit] = []
    most = -np.inf
    for rough in _starts(stretches, views, some, closed=closed, best=best):
        px = mm_to_a_pixel(views, rough)
        if _nearly(best) and _explained_at_most(rough, views, some) < most:
            continue
        fit = refined_fit(rough, views, some, closed=closed, px=px)
        explained = _explained(fit, views, some, box)
        if explained > most:
            best[:], most = [fit], explained
        if most > _ENOUGH or _agreed(best[0], views, some):
            break
    if not best:
        return None
    return (best[0] if most > _NEARLY else _anew(best[0], most, views, some, box)), some


def _anew(fit: Fit, most: float, views: Views, marks: Marks, box: Array) -> Fit:
    """A fit that leaves much unexplained again from its own course, with even breaks.

    Where breaks heaped up beside traces that were led astray, the curve cannot come back.
    """
    for _ in range(_RESTARTS):
        rough = fit.curve.points(fit.curve.samples())
        px = mm_to_a_pixel(views, rough)
        again = refined_fit(rough, views, marks, closed=fit.curve.closed, px=px)
        explained = _explained(again, views, marks, box)
        if explained <= most:
            break
        fit, most = again, explained
    return fit


def _starts(
    stretches: tuple[Stretch, ...],
    views: Views,
    marks: Marks,
    *,
    closed: bool,
    best: Sequence[Fit],
) -> Iterator[Array]:
    """Rough polylines, one after the other, none that runs along one before it.

    First all points on one thread; then only those that more than two views vouch for; then
    polylines grown from the surest stretches. `best` holds the best fit once there is one.
    """
    points, support = rough_points(stretches)
    known: list[Array] = []
    for least in _SUPPORTS:
        chosen = support > least
        if chosen.sum() >= _LEAST_POINTS:
            rough = threaded(points[chosen], support[chosen])
            px = mm_to_a_pixel(views, rough)
            again = _nearly(best) and _goes_along(rough, known, px=px)
            if len(rough) >= _LEAST_POINTS and not again:
                known.append(rough)
                yield rough
    known = []
    for stretch in sorted(stretches, key=lambda s: -float(s.support.sum()))[:_SEEDS]:
        seed = stretch.points
        px = mm_to_a_pixel(views, seed)
        done = [fit.curve.points(fit.curve.samples()) for fit in best]
        nearly = _nearly(best)
        settled = any(float(np.mean(fit.counts)) > _ENOUGH for fit in best)
        again = nearly and _goes_along(seed, known + done * settled, px=px)
        if len(seed) < _LEAST_POINTS or again:
            continue
        rough = grown_line(seed, views, marks, closed=closed, px=px)
        again = nearly and _goes_along(rough, known + done, px=px)
        known.append(rough)
        if not again:
            yield rough


def _nearly(best: Sequence[Fit]) -> bool:
    """Whether so much is explained that a start which looks alike is not worth its time."""
    return any(float(np.mean(fit.counts)) > _NEARLY for fit in best)


def _goes_along(points: Array, known: Sequence[Array], *, px: float) -> bool:
    """Whether the points lie along one of the polylines."""
    for path in known:
        gap, _, _ = closest_on_polyline(points, path)
        if np.mean(gap < _ALONG_PX * px) > _ALONG_SHARE:
            return True
    return False


def _explained(fit: Fit, views: Views, marks: Marks, box: Array) -> float:
    """Share of the marks that fit, less the shares of the curve that are unseen or outside."""
    return float(fit.counts.mean()) - _unseen(fit, views, marks) - share_outside(fit, box)


def _explained_at_most(rough: Array, views: Views, marks: Marks) -> float:
    """Share of the marks that lie near the picture of a polyline."""
    path = resample_polyline(rough, _FINE)
    seen, _ = views.flat(path)
    near = np.zeros(len(marks.view), dtype=bool)
    for view in range(len(views.names)):
        mine = marks.view == view
        reach = _NEAR_PX / views.focal[view]
        gap, _ = cKDTree(seen[view]).query(marks.flat[mine], distance_upper_bound=reach)
        near[mine] = np.isfinite(gap)
    return float(near.mean())


def _agreed(fit: Fit, views: Views, marks: Marks) -> bool:
    """Whether two views see the curve everywhere and every view agrees with it."""
    shares = [np.mean(fit.counts[marks.view == view]) for view in np.unique(marks.view)]
    return min(shares) > _AGREES and _unseen(fit, views, marks) < _MOST_UNSEEN


def _unseen(fit: Fit, views: Views, marks: Marks) -> float:
    """Share of the curve that fewer than two views see."""
    at = np.linspace(0.0, fit.curve.length, 100, endpoint=not fit.curve.closed)
    return float(np.mean(views_near(at, fit, views, marks).sum(axis=1) < 2))


def share_outside(fit: Fit, box: Array) -> float:
    """Share of the curve that lies where the model cannot be."""
    points = fit.curve.points(fit.curve.samples())
    return float(np.mean(np.any((points < box[0]) | (points > box[1]), axis=1)))
