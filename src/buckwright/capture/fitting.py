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
_SLIDE, _HOLD, _SMOOTH = 0.05, 10.0, 1e-4
"""Weights of damping along the curve, of holding its ends against sliding, and of third
differences: shares of the mean data weight of a control point."""


@dataclass(frozen=True, eq=False, slots=True)
class _Pulls:
    """Linear pulls on the control points: rows (m, 3n), px (m,) and weights (m,)."""

    rows: Array
    gap: Array
    weight: Array

    def added(self, normal: Array, right: Array) -> None:
        """Add them to a normal matrix and its right-hand side."""
        normal += self.rows.T @ (self.weight[:, None] * self.rows)
        right += self.rows.T @ (self.weight * self.gap)


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
) -> Fit:
    """The curve nearest to the traces, starting from a rough one.

    `stiff` (3, 3) px^2 to a mm^2 weighs the third differences of the control points; without it
    they weigh next to nothing, the same in all directions. `ends` names the marks at which the
    line ends. Marks count while they lie within `gate` px, then within four standard errors,
    judged by the median; beyond 1.5 standard errors they count less (Huber). `alike` is the
    correlation of neighbouring marks' errors.
    """
    before, limit = np.inf, gate
    for number in range(rounds):
        feet = feet_on(curve, views, marks)
        counts = feet.usable & (np.abs(feet.gap) < limit)
        if counts.sum() < _FEWEST:
            break
        sigma = _sigma(feet, counts)
        normal, right = _normal(
            curve, _pulls(curve, feet, counts, sigma, marks, alike), stiff, ends
        )
        if ends is not None:
            _end_pulls(curve, ends, views, marks).added(normal, right)
        step = linalg.solve(normal, right, assume_a="pos").reshape(-1, 3)
        curve = Curve(curve.breaks, curve.control + step, curve.closed)
        limit = min(limit, max(4.0 * sigma, 3.0)) if number > 1 else limit
        moved = float(np.abs(curve.basis(curve.samples()) @ step).max())
        if moved < 2e-3 or (moved < 0.02 and moved > 0.9 * before):
            break
        before = moved
    feet = feet_on(curve, views, marks)
    counts = feet.usable & (np.abs(feet.gap) < limit)
    sigma = _sigma(feet, counts)
    normal, right = _normal(curve, _pulls(curve, feet, counts, sigma, marks, alike), stiff, ends)
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
) -> _Pulls:
    gap = feet.gap[counts]
    huber = np.minimum(1.0, 1.5 * sigma / np.maximum(np.abs(gap), 1e-9))
    root = np.sqrt(huber * marks.trust[counts])
    rows = root[:, None] * _rows(curve.basis(feet.at[counts]), feet.pull[counts])
    gap = root * gap
    if alike == 0.0:
        return _Pulls(rows, gap, np.ones(len(gap)))
    # Neighbours of one trace err alike: what each tells beyond the one before it counts. The
    # scale is such that an error which is the same all along weighs as it does without this.
    used = np.flatnonzero(counts)
    after = np.flatnonzero((np.diff(used) == 1) & (np.diff(marks.piece[used]) == 0)) + 1
    weight = np.full(len(gap), (1.0 + alike) / (1.0 - alike))
    weight[after] = 1.0 / (1.0 - alike) ** 2
    own_rows, own_gap = rows.copy(), gap.copy()
    own_rows[after] -= alike * rows[after - 1]
    own_gap[after] -= alike * gap[after - 1]
    return _Pulls(own_rows, own_gap, weight)


def _end_pulls(curve: Curve, ends: Ends, views: Views, marks: Marks) -> _Pulls:
    gap, push, weight = ends.stops(curve, views, marks)
    return _Pulls(_rows(curve.basis(ends.at(curve.length)), push), gap, weight)


def _normal(
    curve: Curve, pulls: _Pulls, stiff: Array | None, ends: Ends | None
) -> tuple[Array, Array]:
    """Normal matrix and right-hand side of a step of the control points, in px."""
    count = len(curve.control)
    normal, right = np.zeros((3 * count, 3 * count)), np.zeros(3 * count)
    pulls.added(normal, right)
    typical = float(np.trace(normal)) / (3.0 * count)
    bend = third_differences(count, closed=curve.closed)
    weigh = np.eye(3) * (_SMOOTH * typical) if stiff is None else stiff
    smooth = np.kron(bend.T @ bend, weigh)
    right -= smooth @ curve.control.ravel()
    places = curve.samples()
    tangent = curve.basis(places, derivative=1) @ curve.control
    tangent /= np.maximum(np.linalg.norm(tangent, axis=1, keepdims=True), 1e-12)
    damp = np.full(len(places), _SLIDE * typical * count / len(places))
    if not curve.closed:
        damp[[0, -1]] = _HOLD * typical * (~ends.known if ends is not None else np.ones(2))
    _Pulls(_rows(curve.basis(places), tangent), np.zeros(len(places)), damp).added(normal, right)
    normal += smooth + 1e-9 * typical * np.eye(3 * count)
    return normal, right


def _rows(basis: Array, pull: Array) -> Array:
    """(m, 3 n) how m numbers change with the control points, pulled by `pull` (m, 3) each."""
    return np.asarray((basis[:, :, None] * pull[:, None, :]).reshape(len(basis), -1))
