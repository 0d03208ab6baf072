"""Gauss-Newton: the curve whose pictures run along the traces.

Only the distance across the curve counts: a trace says where the line runs, not which of its
points is which. Points of the curve are free to slide along it, so that motion is damped. Where
a line ends, though, its traces end too (unless something hides the end): there they also tell
the place along it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

from buckwright.capture.curve import Curve, third_differences
from buckwright.capture.ends import Ends
from buckwright.capture.feet import Feet, feet_on
from buckwright.capture.views import Marks, Views

__all__ = ["Fit", "fit_curve"]

Array = NDArray[np.float64]

_FEWEST = 4
"""Marks that a fit needs."""
_OFF_PX, _STRAY_PX, _TAIL = 3.0, 1.5, 4.0
"""px within which a mark counts at least, by hand and snapped; standard errors beyond which a
snapped one is taken for a stray, the more the farther.
"""
_LOOK_AROUND, _EVERY = 4, 4
"""Rounds after which feet are looked for on the whole curve; of its samples, one in so many is
enough to damp it by.
"""
_SLIDE, _HOLD, _SMOOTH = 0.05, 10.0, 1e-4
"""Weights of damping along the curve, of holding its ends against sliding, and of third
differences: shares of the mean data weight of a control point."""


@dataclass(frozen=True, eq=False, slots=True)
class _Pulls:
    """Linear pulls on the control points: rows (m, 3n) and px (m,), grown by their weights."""

    rows: Array
    gap: Array

    def added(self, normal: Array, right: Array) -> None:
        """Add them to a normal matrix and its right-hand side."""
        normal += self.rows.T @ self.rows
        right += self.rows.T @ self.gap


@dataclass(frozen=True, eq=False, slots=True)
class Fit:
    """A fitted curve, the marks' feet, the marks that count, and the normal matrix (3n, 3n)."""

    curve: Curve
    feet: Feet
    counts: NDArray[np.bool_]
    normal: Array
    sigma_px: float


def fit_curve(
    curve: Curve,
    views: Views,
    marks: Marks,
    *,
    gate: float,
    stiff: Array | None = None,
    ends: Ends | None = None,
    alike: float = 0.0,
    rounds: int = 12,
    settled: float = 2e-3,
    doubting: bool = False,
) -> Fit:
    """The curve nearest to the traces, starting from a rough one.

    `stiff` (3, 3) px^2 to a mm^2 weighs the third differences of the control points; without it
    they weigh next to nothing, the same in all directions. `ends` names the marks at which the
    line ends. Marks count while they lie within `gate` px, then within four standard errors,
    judged by the median; beyond 1.5 standard errors they count less (Huber). `alike` is the
    correlation of neighbouring marks' errors, `settled` the mm below which a step is the last.
    `doubting` takes marks far off for strays, which snapping leaves where it runs along something
    else: only for a curve that is nearly right.
    """
    frame = _Frame.of(curve)
    least = _STRAY_PX if doubting else _OFF_PX
    before, limit, near = np.inf, gate, None
    for number in range(rounds):
        # Every now and then a mark may find a nearer foot elsewhere on the curve.
        feet = feet_on(curve, views, marks, near=near if number % _LOOK_AROUND else None)
        near = feet.at
        counts = feet.usable & (np.abs(feet.gap) < limit)
        if counts.sum() < _FEWEST:
            break
        sigma = _sigma(feet, counts)
        pulls = _pulls(curve, feet, counts, sigma, marks, alike, doubting)
        normal, right = _normal(curve, pulls, stiff, ends, frame)
        if ends is not None:
            _end_pulls(curve, ends, views, marks).added(normal, right)
        step = linalg.solve(normal, right, assume_a="pos", check_finite=False).reshape(-1, 3)
        curve = curve.moved(curve.control + step)
        limit = min(limit, max(4.0 * sigma, least)) if number > 1 else limit
        moved = float(np.abs(frame.basis @ step).max())
        if moved < settled or (moved < 10.0 * settled and moved > 0.9 * before):
            break
        before = moved
    feet = feet_on(curve, views, marks)
    counts = feet.usable & (np.abs(feet.gap) < limit)
    sigma = _sigma(feet, counts)
    pulls = _pulls(curve, feet, counts, sigma, marks, alike, doubting)
    normal, right = _normal(curve, pulls, stiff, ends, frame)
    if ends is not None:
        _end_pulls(curve, ends, views, marks).added(normal, right)
    return Fit(curve, feet, counts, normal, sigma)


def _sigma(feet: Feet, counts: NDArray[np.bool_]) -> float:
    """Standard error of a mark, px, judged by the median."""
    if not counts.any():
        return 1.0
    return max(1.4826 * float(np.median(np.abs(feet.gap[counts]))), 0.1)


def _pulls(
    curve: Curve,
    feet: Feet,
    counts: NDArray[np.bool_],
    sigma: float,
    marks: Marks,
    alike: float,
    doubting: bool,
) -> _Pulls:
    used = np.flatnonzero(counts)
    gap = feet.gap[used]
    huber = np.minimum(1.0, 1.5 * sigma / np.maximum(np.abs(gap), 1e-9))
    if doubting:
        huber *= np.minimum(1.0, _TAIL * sigma / np.maximum(np.abs(gap), 1e-9))
    root = np.sqrt(huber * marks.trust[used])
    value, _, column = curve.pieces().local(feet.at[used])
    basis = curve.pieces().spread(root[:, None] * value, column)
    rows, gap = _rows(basis, feet.pull[used]), root * gap
    if alike == 0.0:
        return _Pulls(rows, gap)
    # Neighbours of one trace err alike: what each tells beyond the one before it counts. The
    # scale is such that an error which is the same all along weighs as it does without this.
    after = np.flatnonzero((np.diff(used) == 1) & (np.diff(marks.piece[used]) == 0)) + 1
    grown = np.full(len(gap), np.sqrt((1.0 + alike) / (1.0 - alike)))
    grown[after] = 1.0 / (1.0 - alike)
    own_rows, own_gap = rows.copy(), gap.copy()
    own_rows[after] -= alike * rows[after - 1]
    own_gap[after] -= alike * gap[after - 1]
    return _Pulls(grown[:, None] * own_rows, grown * own_gap)


def _end_pulls(curve: Curve, ends: Ends, views: Views, marks: Marks) -> _Pulls:
    gap, push, weight = ends.stops(curve, views, marks)
    root = np.sqrt(weight)
    rows = _rows(curve.basis(ends.at(curve.length)), root[:, None] * push)
    return _Pulls(rows, root * gap)


@dataclass(frozen=True, eq=False, slots=True)
class _Frame:
    """What does not change while control points move."""

    basis: Array
    """(m, n) at places spread over the curve."""
    slope: Array
    """(m, n)."""
    bend: Array
    """(n, n) sums of squares of third differences."""

    @classmethod
    def of(cls, curve: Curve) -> "_Frame":
        """At a few places of every span, the ends of an open curve with them."""
        pieces = curve.pieces()
        value, slope, column = pieces.local(curve.samples()[::_EVERY])
        bend = third_differences(len(curve.control), closed=curve.closed)
        return cls(pieces.spread(value, column), pieces.spread(slope, column), bend.T @ bend)


def _normal(
    curve: Curve, pulls: _Pulls, stiff: Array | None, ends: Ends | None, frame: _Frame
) -> tuple[Array, Array]:
    """Normal matrix and right-hand side of a step of the control points, in px."""
    count = len(curve.control)
    normal, right = np.zeros((3 * count, 3 * count)), np.zeros(3 * count)
    pulls.added(normal, right)
    typical = float(np.trace(normal)) / (3.0 * count)
    weigh = np.eye(3) * (_SMOOTH * typical) if stiff is None else stiff
    smooth = np.kron(frame.bend, weigh)
    right -= smooth @ curve.control.ravel()
    tangent = frame.slope @ curve.control
    tangent /= np.maximum(np.linalg.norm(tangent, axis=1, keepdims=True), 1e-12)
    places = len(tangent)
    damp = np.full(places, _SLIDE * typical * count / places)
    if not curve.closed:
        damp[[0, -1]] = _HOLD * typical * (~ends.known if ends is not None else np.ones(2))
    rows = _rows(frame.basis, np.sqrt(damp)[:, None] * tangent)
    normal += rows.T @ rows
    normal += smooth + 1e-9 * typical * np.eye(3 * count)
    return normal, right


def _rows(basis: Array, pull: Array) -> Array:
    """(m, 3 n) how m numbers change with the control points, pulled by `pull` (m, 3) each."""
    return np.asarray((basis[:, :, None] * pull[:, None, :]).reshape(len(basis), -1))
