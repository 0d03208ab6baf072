"""How fine a curve has to be: a break is added where it brings the curve nearer to its traces by
more than the hand's wobble would.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.curve import Curve, curve_through, stretched
from buckwright.capture.feet import Feet
from buckwright.capture.fitting import Fit, fit_curve
from buckwright.capture.views import Marks, Views
from buckwright.capture.wobble import wobble_of
from buckwright.geometry.polyline import closest_on_polyline

__all__ = ["finished_fit", "refined_fit", "supported_range"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_BIN_PX, _LEAST_SPAN_PX = 40.0, 25.0
_WORTH, _PLAINLY = 5.0, 10.0
"""Fall of chi-squared that pays for a break; its two free numbers alone make it fall by two."""
_GATE_PX, _ROUGH_PX = 25.0, 8.0
_ROUNDS, _LAST_ROUNDS = 7, 2
_STEPS, _SETTLED = 4, 0.02
"""Steps from one set of breaks to the next, and the mm at which that is near enough."""
_ABOUT_PX = 50.0
"""Views that stop within this of each other stop at the same place."""
_FIRST_SPANS = {False: (2, 3, 4, 6, 8, 12), True: (4, 6, 8, 12)}


def refined_fit(rough: Array, views: Views, marks: Marks, *, closed: bool, px: float) -> Fit:
    """The fitted curve with as few spans as its traces allow.

    Parameters: rough polyline (m, 3), px: mm in space to a pixel.
    """
    first = _first_curve(rough, closed=closed, px=px)
    return _finer(
        fit_curve(first, views, marks, gate=_GATE_PX), views, marks, px=px, rounds=_ROUNDS
    )


def finished_fit(fit: Fit, views: Views, marks: Marks, *, px: float) -> Fit:
    """The fit to some of the marks again, to all of them, finer where they ask for it."""
    if len(marks.view) == len(fit.counts):
        return fit
    fit = fit_curve(fit.curve, views, marks, gate=max(6.0 * fit.sigma_px, 6.0), rounds=_STEPS)
    return _finer(fit, views, marks, px=px, rounds=_LAST_ROUNDS)


def _finer(fit: Fit, views: Views, marks: Marks, *, px: float, rounds: int) -> Fit:
    for _ in range(rounds):
        closed, length = fit.curve.closed, fit.curve.length
        start, end = (0.0, length) if closed else supported_range(fit, views, marks)
        split = _spans_to_split(fit, marks, px=px)
        if not split.any() and max(abs(start), abs(end - length)) < 2.0 * px:
            break
        breaks = _split(fit.curve.breaks, split)
        curve = stretched(fit.curve, breaks, before=-start, after=end - length)
        gate = max(6.0 * fit.sigma_px, 6.0)
        fit = fit_curve(curve, views, marks, gate=gate, rounds=_STEPS, settled=_SETTLED)
    return fit


def _first_curve(rough: Array, *, closed: bool, px: float) -> Curve:
    """The coarsest even curve that follows the rough polyline within a few pixels."""
    for spans in _FIRST_SPANS[closed]:
        curve = curve_through(rough, spans, closed=closed)
        path = curve.points(curve.samples())
        gap, _, _ = closest_on_polyline(rough, path, closed=closed)
        if np.quantile(gap, 0.9) < _ROUGH_PX * px:
            break
    return curve


def _split(breaks: Array, chosen: NDArray[np.bool_]) -> Array:
    middle = 0.5 * (breaks[1:] + breaks[:-1])
    return np.sort(np.concatenate([breaks, middle[chosen]]))


def supported_range(fit: Fit, views: Views, marks: Marks) -> tuple[float, float]:
    """First and last parameter to which two views reach, past the curve's ends where they do.

    A view that sees the end of the line nearly end on does not tell where it stops: views with
    less than half of the best one's pixels to a millimetre do not count.
    """
    feet = fit.feet
    near = (np.abs(feet.gap) < 6.0 * max(fit.sigma_px, 1.0)) & (feet.usable | (feet.past != 0.0))
    reach = feet.at + feet.past
    low, high = [], []
    for view in np.unique(marks.view):
        mine = np.flatnonzero(near & (marks.view == view))
        if len(mine):
            first, last = mine[np.argmin(reach[mine])], mine[np.argmax(reach[mine])]
            low.append((float(reach[first]), float(feet.pace[first])))
            high.append((-float(reach[last]), float(feet.pace[last])))
    if len(low) < 2:
        return 0.0, fit.curve.length
    start, end = _second(low), -_second(high)
    # Views that share next to nothing do not say where the line ends.
    return (start, end) if end - start > 0.2 * fit.curve.length else (0.0, fit.curve.length)


def _second(reaches: list[tuple[float, float]]) -> float:
    """The second lowest reach, of those near it that are seen well where that leaves two."""
    lowest = sorted(reaches)
    second, pace = lowest[1]
    near = [r for r in lowest if r[0] - second < _ABOUT_PX / max(pace, 1e-9)]
    best = max(pace for _, pace in near)
    well = [reach for reach, pace in near if pace > 0.5 * best]
    return well[1] if len(well) > 1 else second


def _spans_to_split(fit: Fit, marks: Marks, *, px: float) -> NDArray[np.bool_]:
    """(spans,) whether a break in the middle of each pays; of two neighbours only the better,
    unless it pays many times over for both.
    """
    curve = fit.curve
    count = len(curve.breaks) - 1
    binned = _binned(fit, marks)
    # The bins stand for that many marks each.
    noise = wobble_of(fit, marks).to_a_mark
    before = _chi_squared(curve, binned)
    gain = np.zeros(count)
    for span in np.flatnonzero(np.diff(curve.breaks) > 2.0 * _LEAST_SPAN_PX * px):
        chosen = np.arange(count) == span
        finer = _split(curve.breaks, chosen)
        control = np.zeros((len(curve.control) + 1, 3))
        gain[span] = (before - _chi_squared(Curve(finer, control, curve.closed), binned)) / noise
    beside = np.maximum(np.roll(gain, 1), np.roll(gain, -1))
    return np.asarray((gain > _WORTH) & ((gain >= beside) | (gain > _PLAINLY * _WORTH)))


def _binned(fit: Fit, marks: Marks) -> Feet:
    """Feet of bins of some marks each: mean place, gap and pull, grown by number and trust."""
    used = np.flatnonzero(fit.counts)
    size = max(round(_BIN_PX / marks.pitch), 1)
    order = np.arange(len(marks.piece))
    starts = np.concatenate([[True], np.diff(marks.piece) != 0])
    place = order - np.maximum.accumulate(np.where(starts, order, 0))
    _, cell = np.unique(marks.piece[used] * 100_000 + place[used] // size, return_inverse=True)
    number = np.bincount(cell)
    root = np.sqrt(np.bincount(cell, marks.trust[used])) / number
    feet = fit.feet
    # The middle mark stands for the place: a mean would break round the end of a loop.
    middle = used[np.searchsorted(np.sort(cell), np.arange(len(number))) + number // 2]
    return replace(
        feet,
        at=feet.at[middle],
        past=feet.past[middle],
        pace=feet.pace[middle],
        gap=np.bincount(cell, feet.gap[used]) * root,
        pull=np.column_stack([np.bincount(cell, feet.pull[used, k]) * root for k in range(3)]),
        usable=np.ones(len(number), dtype=bool),
    )


def _chi_squared(curve: Curve, feet: Feet) -> float:
    """Sum of squares that is left of the gaps when the control points are free to move."""
    basis = curve.basis(feet.at)
    rows = (basis[:, :, None] * feet.pull[:, None, :]).reshape(len(basis), -1)
    normal = rows.T @ rows
    normal += 1e-6 * np.trace(normal) / len(normal) * np.eye(len(normal))
    right = rows.T @ feet.gap
    return float(feet.gap @ feet.gap - right @ np.linalg.solve(normal, right))
