"""A trace that runs from click to click along the tape, edge or outline it was set on."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, median_filter

from buckwright.capture.band import Band, straighten, through_clicks
from buckwright.capture.profiles import Fitted, Kind, fit_profiles, responses
from buckwright.geometry.cheapest_path import cheapest_path, cheapest_through
from buckwright.model.finding import Finding

__all__ = ["Snapped", "snap_line", "snap_stretches", "touched_stretches"]

Array = NDArray[np.float64]
Grey = NDArray[np.uint8]

STEP_PX = 3.0
"""Between the points that are handed on."""
HALF_PX = 14.0
"""The line is looked for this far to either side of what the clicks say."""
FREE_PX = 150.0
"""Clicks farther apart are joined by a free run, which looks farther to the side."""
_FREE_SHARE, _WIDE_SHARE, _MOST_HALF = 0.22, 0.45, 160.0
"""Of the way between two clicks: how far to the side a free run looks, and one round a corner."""
_CORNER_REACH = 9
_OVERLAP_PX = 24.0
_PATH_STEP, _ACROSS_STEP = 2.0, 0.5
_FINE_HALF, _COARSE_CELLS = 13.0, 14.0
_REACH, _BEND, _TETHER = 4, 0.05, 0.5
_CLICK_DOUBT, _BETWEEN_DOUBT = 3.0, 14.0
"""px: how far off the feature a click, and the curve between clicks, is taken to be."""
_LEAST_CONTRAST, _NOISE_TIMES = 2.5, 3.0
_UNSEEN_SHARE, _LOST_SHARE, _MOST_SIGMA = 0.15, 0.3, 0.8
_STRAY_PX = 1.0
_OTHER_PX, _ALIKE, _FADES = 3.0, 0.6, 0.17
"""Another way runs so far off; costing no more than this more, it may as well be the right one, as
errors on the example's edges show; beyond, the doubt fades over so much.
"""
SIGMA_FLOOR = 0.03
"""px, of points found as well as can be: interpolation and rounding of grey values."""
LOST_SIGMA = 3.0
"""px, where the feature is not seen and the trace follows the clicks."""


@dataclass(frozen=True, eq=False, slots=True)
class Snapped:
    """A snapped trace, or one stretch of it."""

    points: Array
    """(n, 2) px."""
    sigma: Array
    """(n,) px, standard error of each point across the trace."""
    seen: NDArray[np.bool_]
    """(n,) whether the feature is seen there; where not, the point follows the clicks."""
    findings: tuple[Finding, ...] = ()


def snap_line(grey: Grey, clicks: Array, *, kind: Kind, closed: bool = False) -> Snapped:
    """The trace along the feature nearest to the clicks (n, 2) of one picture (rows, columns).

    Pixels have their centres at integers. Clicks may be 3 px off; 90 px apart is good, farther
    ones are joined by a free run. A closed trace comes back to its first click and does not
    repeat it. Where the feature is lost, a finding says between which clicks.
    Raises ValueError for fewer than two clicks (closed: three), equal neighbours, clicks outside
    the picture, or a picture that is not grey.
    """
    count = len(clicks) if closed else len(clicks) - 1
    pieces = snap_stretches(grey, clicks, range(max(count, 0)), kind=kind, closed=closed)
    return joined(pieces, closed=closed)


def joined(pieces: Sequence[Snapped], *, closed: bool) -> Snapped:
    """Stretches that follow each other as one trace; the click between two is there once."""
    last = len(pieces) - 1
    ends = [None if k == last and not closed else -1 for k in range(len(pieces))]
    return Snapped(
        points=np.vstack([p.points[:e] for p, e in zip(pieces, ends, strict=True)]),
        sigma=np.concatenate([p.sigma[:e] for p, e in zip(pieces, ends, strict=True)]),
        seen=np.concatenate([p.seen[:e] for p, e in zip(pieces, ends, strict=True)]),
        findings=tuple(f for p in pieces for f in p.findings),
    )


def touched_stretches(click: int, count: int, *, closed: bool) -> tuple[int, ...]:
    """The stretches whose course depends on that click of `count`: two before it, two after."""
    stretches = count if closed else count - 1
    near = range(click - 2, click + 2)
    if closed:
        return tuple(sorted({k % stretches for k in near}))
    return tuple(k for k in near if 0 <= k < stretches)


def snap_stretches(
    grey: Grey, clicks: Array, stretches: Sequence[int], *, kind: Kind, closed: bool = False
) -> list[Snapped]:
    """Only those stretches of `snap_line`, each from click k to click k + 1, both included.

    A stretch depends on the picture and on four clicks, so that moving one costs four stretches.
    Raises ValueError as `snap_line`.
    """
    clicks = np.asarray(clicks, dtype=np.float64)
    _check(grey, clicks, closed=closed)
    guides = through_clicks(clicks, closed=closed, step=_PATH_STEP)
    return [_snap(grey, guides, k, kind=kind, closed=closed) for k in stretches]


def _check(grey: Grey, clicks: Array, *, closed: bool) -> None:
    message = ""
    if grey.ndim != 2 or grey.dtype != np.uint8 or min(grey.shape) < 8:
        message = "expected a grey picture of 8 x 8 pixels or more, 8 bits deep"
    elif clicks.ndim != 2 or clicks.shape[1:] != (2,) or len(clicks) < (3 if closed else 2):
        message = "a trace needs two clicks, a closed one three"
    elif not np.all(np.isfinite(clicks)):
        message = "every click must be finite"
    elif np.any(clicks < -0.5) or np.any(clicks > np.array(grey.shape[::-1]) - 0.5):
        message = "a click lies outside of the picture"
    elif np.any(np.linalg.norm(np.diff(_round(clicks, closed), axis=0), axis=1) < 1e-6):
        message = "two neighbouring clicks are at one place"
    if message:
        raise ValueError(message)


def _round(clicks: Array, closed: bool) -> Array:
    return np.vstack([clicks, clicks[:1]]) if closed else clicks


def _snap(grey: Grey, guides: list[Array], k: int, *, kind: Kind, closed: bool) -> Snapped:
    path = _with_overlap(guides, k, closed=closed)
    length = _PATH_STEP * (len(guides[k]) - 1)
    if length > FREE_PX:
        path = _free_run(grey, path, _FREE_SHARE * length, kind=kind, reach=_REACH)
    found = _found(grey, path, guides[k], kind=kind)
    if np.mean(~found.seen) > _UNSEEN_SHARE:
        # The way may turn a corner that the clicks do not show.
        wide = _free_run(grey, guides[k], _WIDE_SHARE * length, kind=kind, reach=_CORNER_REACH)
        again = _found(grey, wide, guides[k], kind=kind)
        found = again if np.mean(again.seen) > np.mean(found.seen) else found
    return _fit(grey, found, kind=kind, stretch=k, count=len(guides), closed=closed)


@dataclass(frozen=True, eq=False, slots=True)
class _Found:
    """A path on the feature to within a pixel or so, from one click to the other."""

    path: Array
    seen: NDArray[np.bool_]
    doubt: Array
    """px, where another way beside it is nearly as good."""


def _found(grey: Grey, path: Array, guide: Array, *, kind: Kind) -> _Found:
    anchors = _nearest(path, guide[0]), _nearest(path, guide[-1])
    way = _follow(grey, path, half=HALF_PX, step=_ACROSS_STEP, kind=kind, anchors=anchors)
    inside = slice(anchors[0], max(anchors[1], anchors[0] + 1) + 1)
    seen = way.strength > max(_LEAST_CONTRAST, _NOISE_TIMES * way.noise)
    return _Found(way.path[inside], seen[inside], way.doubt()[inside])


def _nearest(path: Array, click: Array) -> int:
    return int(np.linalg.norm(path - click, axis=1).argmin())


def _with_overlap(guides: list[Array], k: int, *, closed: bool) -> Array:
    """The guide of a stretch, straight on over clicks behind which the trace goes on."""
    guide = guides[k]
    far = _PATH_STEP * np.arange(1, int(_OVERLAP_PX / _PATH_STEP) + 1)[:, None]
    before = guide[0] - far[::-1] * _unit(guide[1] - guide[0])
    after = guide[-1] + far * _unit(guide[-1] - guide[-2])
    parts = [guide]
    if closed or k > 0:
        parts.insert(0, before)
    if closed or k + 1 < len(guides):
        parts.append(after)
    return np.vstack(parts)


def _unit(way: Array) -> Array:
    return np.asarray(way / max(float(np.linalg.norm(way)), 1e-9))


def _free_run(grey: Grey, path: Array, half: float, *, kind: Kind, reach: int) -> Array:
    """The path drawn to the feature from coarse to fine, looked for far to the side at first."""
    half = min(half, _MOST_HALF)
    while half > HALF_PX:
        step = half / _COARSE_CELLS
        even = _even(path, 2.0 * step)
        path = _follow(
            grey, even, half=half, step=0.5 * step, kind=kind, anchors=None, reach=reach
        ).path
        half *= 0.4
    return _even(path, _PATH_STEP)


def _even(path: Array, step: float) -> Array:
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    at = np.linspace(0.0, along[-1], max(4, round(along[-1] / step) + 1))
    return np.column_stack([np.interp(at, along, path[:, 0]), np.interp(at, along, path[:, 1])])


@dataclass(frozen=True, eq=False, slots=True)
class _Way:
    """The cheapest way along a band, and what it was chosen from."""

    path: Array
    """(n, 2) px."""
    strength: Array
    """(n,) grey values of the feature there."""
    noise: float
    """Grey values, beside it."""
    cost: Array
    """(n, m)."""
    column: NDArray[np.int64]
    """(n,)."""
    step: float
    """px between columns."""

    def doubt(self) -> Array:
        """(n,) px, standard error by the ways that run elsewhere and cost little more.

        That the other way is the right one falls off as the exponent of what it costs more.
        """
        through = cheapest_through(self.cost, reach=_REACH, bend=_BEND)
        gap = np.abs(np.arange(through.shape[1]) - self.column[:, None]) * self.step
        more = np.where(gap >= _OTHER_PX, through, np.inf).min(axis=1) - through.min()
        return np.asarray(LOST_SIGMA * np.exp(-np.maximum(more - _ALIKE, 0.0) / _FADES))


def _follow(
    grey: Grey,
    path: Array,
    *,
    half: float,
    step: float,
    kind: Kind,
    anchors: tuple[int, int] | None,
    reach: int = _REACH,
) -> _Way:
    """The path moved onto the feature.

    `anchors` are the rows of the two clicks; None for the ends of a free run, which stay put.
    """
    band = straighten(grey, path, half=half, step=step)
    tether = _tether(band, half, anchors)
    table = _likelier(responses(band.grey, kind=kind, step=step), band.across, half=0.6 * half)
    typical = float(np.median(table[:, np.abs(band.across) <= 0.6 * half].max(axis=1)))
    cost = 1.0 / (1.0 + table / max(0.35 * typical, 1.0)) + tether
    way, _ = cheapest_path(cost, reach=reach, bend=_BEND)
    noise = float(np.median(np.abs(np.diff(band.grey, axis=1)))) * 1.5
    by = gaussian_filter1d(band.across[way], 1.5, mode="nearest")
    strength = table[np.arange(len(way)), way]
    return _Way(band.moved(by), strength, noise, cost=cost, column=way, step=step)


def _likelier(tables: list[Array], across: Array, *, half: float) -> Array:
    """Of the tables for dark and for light tape the one that answers more near the path."""
    near = np.abs(across) <= half
    return max(tables, key=lambda table: float(table[:, near].max(axis=1).sum()))


def _tether(band: Band, half: float, anchors: tuple[int, int] | None) -> Array:
    """(n, m) what it costs to leave the guide: more at clicks than between them."""
    row = np.arange(len(band.path))
    if anchors is None:
        at_ends = np.minimum(row, row[::-1]) < 2
        doubt = np.where(at_ends, 0.1 * half, 2.0 * half)
    else:
        gap = np.min([np.abs(row - a) for a in anchors], axis=0) * _PATH_STEP
        share = np.exp(-0.5 * (gap / 20.0) ** 2)
        doubt = share * _CLICK_DOUBT + (1.0 - share) * _BETWEEN_DOUBT
    return np.asarray(_TETHER * (band.across[None, :] / doubt[:, None]) ** 2)


def _fit(
    grey: Grey, found: _Found, *, kind: Kind, stretch: int, count: int, closed: bool
) -> Snapped:
    """The points from click to click, fitted to a fraction of a pixel."""
    guide = _even(found.path, STEP_PX)
    band = straighten(grey, guide, half=_FINE_HALF, step=_ACROSS_STEP, light=True)
    rows = gaussian_filter1d(band.grey.astype(np.float64), 0.6, axis=0, mode="nearest")
    fit = fit_profiles(rows, band.across, kind=kind, start=_peaks(band.across, rows, kind))
    row = np.linspace(0.0, len(found.seen) - 1.0, len(guide)).round().astype(int)
    seen = found.seen[row] & (fit.sigma < _MOST_SIGMA)
    by, sigma = _settled(fit, seen)
    sigma = np.minimum(np.hypot(sigma, found.doubt[row]), LOST_SIGMA)
    findings = _lost(seen, stretch, count + (0 if closed else 1), kind=kind)
    return Snapped(points=band.moved(by), sigma=sigma, seen=seen, findings=findings)


def _peaks(across: Array, rows: Array, kind: Kind) -> Array:
    """(n,) px: where within 3 px of the path each row looks most like the feature."""
    step = float(across[1] - across[0])
    tables = responses(rows.astype(np.float32), kind=kind, step=step)
    table = _likelier(tables, across, half=1.0)
    likely = table * np.exp(-0.5 * (across / 2.0) ** 2)
    peak = np.where(np.abs(across) <= 3.0, likely, -1.0).argmax(axis=1)
    return np.asarray(median_filter(across[peak], size=min(5, len(rows)), mode="nearest"))


def _settled(fit: Fitted, seen: NDArray[np.bool_]) -> tuple[Array, Array]:
    """Places and doubts; a profile that disagrees with its neighbours takes theirs."""
    middle = median_filter(fit.place, size=min(7, len(fit.place)), mode="nearest")
    gap = np.abs(fit.place - middle)
    stray = gap > np.maximum(_STRAY_PX, 5.0 * fit.sigma)
    place = np.where(stray, middle, fit.place)
    place[~seen] = 0.0
    sigma = np.hypot(fit.sigma, SIGMA_FLOOR)
    sigma = np.where(stray, np.maximum(sigma, 0.5 * gap), sigma)
    return place, np.minimum(np.where(seen, sigma, LOST_SIGMA), LOST_SIGMA)


def _lost(seen: NDArray[np.bool_], stretch: int, clicks: int, *, kind: Kind) -> tuple[Finding, ...]:
    if np.mean(~seen) <= _LOST_SHARE:
        return ()
    name = {"tape": "tape", "edge": "edge", "silhouette": "outline"}[kind]
    where = f"clicks {stretch + 1} and {(stretch + 1) % clicks + 1}"
    return (
        Finding(
            code="trace-lost",
            where=where,
            message=f"Between {where} no {name} is to be seen over {100 * np.mean(~seen):.0f} % "
            "of the way.",
            remedy="Click closer together there, or leave the stretch out as hidden.",
        ),
    )
