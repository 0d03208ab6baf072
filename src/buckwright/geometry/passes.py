"""Where two curves in space pass near each other.

Open curves are taken as lengthened along their end tangents, so that a curve which stops short
of another still passes it: a parameter outside the domain says how far beyond the end.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline
from scipy.spatial import cKDTree

from buckwright.geometry.spline import domain, foot_parameters

__all__ = ["LongCurve", "Pass", "near_passes", "near_stretches", "pass_at"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Pass:
    """One place where two curves come closest to each other."""

    first: float
    second: float
    """Parameters on both."""
    gap: float
    angle: float
    """rad between the tangents, 0 to pi / 2."""
    stretch: tuple[float, float]
    """Parameters on the first between which the second stays near."""


class LongCurve:
    """A curve with straight pieces of length `reach` at its open ends, sampled for searching.

    The curve must be travelled at about unit speed: steps are made in its parameter.
    """

    def __init__(self, curve: BSpline, *, closed: bool, reach: float, step: float) -> None:
        self.curve, self.closed = curve, closed
        self.start, self.end = domain(curve)
        beyond = 0.0 if closed else reach
        length = self.end - self.start + 2.0 * beyond
        count = max(16, int(np.ceil(length / step)))
        self.at = np.linspace(
            self.start - beyond, self.end + beyond, count + 1, endpoint=not closed
        )
        self.step = length / count
        self.points = self.point(self.at)
        self.tree = cKDTree(self.points)
        self.low, self.high = self.points.min(axis=0), self.points.max(axis=0)

    def held(self, at: Array) -> Array:
        """Parameters brought inside the domain: round a closed curve, to the ends of an open."""
        if self.closed:
            return np.asarray(self.start + np.mod(at - self.start, self.end - self.start))
        return np.asarray(np.clip(at, self.start, self.end))

    def point(self, at: Array) -> Array:
        """(n, 3) points, on the end tangents outside the domain."""
        held = self.held(at)
        points = np.asarray(self.curve(held), dtype=np.float64)
        if self.closed:
            return points
        return np.asarray(points + (at - held)[:, None] * self.run(held))

    def run(self, at: Array) -> Array:
        """(n, 3) first derivatives."""
        return np.asarray(self.curve(self.held(at), nu=1), dtype=np.float64)

    def nearest(self, point: Array, guess: float) -> float:
        """Parameter near the guess where the lengthened curve is nearest to a point (3,)."""
        at = foot_parameters(self.curve, point[None], np.array([guess]), closed=self.closed)
        return float(at[0])


def near_passes(first: LongCurve, second: LongCurve, *, within: float) -> tuple[Pass, ...]:
    """Every place where the curves come closest with a gap of at most `within`, along the first.

    Two places are told apart when the gap grows beyond `within` (and the sampling step) between
    them. Curves that run along each other give one pass of that whole stretch.
    """
    found = []
    for (s, t), stretch in near_stretches(first, second, within=within):
        one = pass_at(first, second, *_refined(first, second, s, t), stretch=stretch)
        if one.gap <= within:
            found.append(one)
    return tuple(found)


def near_stretches(
    first: LongCurve, second: LongCurve, *, within: float
) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """For each stretch of the first near the second: the samples that are nearest, and its ends.

    Parameters: on the first and the second; on the first twice.
    """
    reach = within + first.step + second.step
    if np.any(first.low > second.high + reach) or np.any(second.low > first.high + reach):
        return []
    inside = np.flatnonzero(
        np.all((first.points >= second.low - reach) & (first.points <= second.high + reach), axis=1)
    )
    gap, near = np.full(len(first.at), np.inf), np.zeros(len(first.at), dtype=np.int64)
    gap[inside], near[inside] = second.tree.query(first.points[inside], distance_upper_bound=reach)
    found = []
    for run in _runs(np.isfinite(gap), closed=first.closed):
        best = run[int(np.argmin(gap[run]))]
        start = (float(first.at[best]), float(second.at[near[best]]))
        found.append((start, (float(first.at[run[0]]), float(first.at[run[-1]]))))
    return found


def _runs(inside: NDArray[np.bool_], *, closed: bool) -> list[NDArray[np.int64]]:
    """Stretches of neighbouring indices that are inside, one over the seam if closed."""
    where = np.flatnonzero(inside)
    if not len(where):
        return []
    runs = np.split(where, np.flatnonzero(np.diff(where) > 1) + 1)
    if closed and len(runs) > 1 and runs[0][0] == 0 and runs[-1][-1] == len(inside) - 1:
        runs[0] = np.concatenate([runs.pop(), runs[0]])
    return [run.astype(np.int64) for run in runs]


def pass_at(
    first: LongCurve, second: LongCurve, s: float, t: float, *, stretch: tuple[float, float]
) -> Pass:
    """The pass at parameters s and t."""
    at, on = np.array([s]), np.array([t])
    u, v = first.run(at)[0], second.run(on)[0]
    cosine = abs(float(u @ v)) / float(np.linalg.norm(u) * np.linalg.norm(v))
    gap = float(np.linalg.norm(first.point(at)[0] - second.point(on)[0]))
    return Pass(s, t, gap, float(np.arccos(min(1.0, cosine))), stretch)


def _refined(first: LongCurve, second: LongCurve, s: float, t: float) -> tuple[float, float]:
    """Parameters nearest to s and t where the gap is least; steps held to two samples."""
    at = np.array([s, t])
    most = 2.0 * max(first.step, second.step)
    for _ in range(12):
        u, v = first.run(at[:1])[0], second.run(at[1:])[0]
        apart = first.point(at[:1])[0] - second.point(at[1:])[0]
        step, *_ = np.linalg.lstsq(np.column_stack([u, -v]), -apart, rcond=1e-6)
        step = np.clip(step, -most, most)
        at = at + step
        if np.abs(step).max() < 1e-10:
            break
    if first.closed:
        at[0] = first.held(at[:1])[0]
    if second.closed:
        at[1] = second.held(at[1:])[0]
    return float(at[0]), float(at[1])
