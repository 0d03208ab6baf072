"""Reading off the lines: where a plane meets them, and how far two places on them lie apart."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, PPoly

from buckwright.model.lines import Line, LineNetwork
from buckwright.model.sections import Between, PlaneCrossing

__all__ = ["measure_between", "plane_crossings"]

Array = NDArray[np.float64]
Places = Sequence[tuple[str, float]]
"""One place as (line, share), once for each line that runs through it."""

SAME = 1e-9
"""Shares nearer to each other than this are one place."""
GRAZING = 1e-9
"""Sine of the angle below which a line lies along a plane, or touches it, and does not pass."""


def plane_crossings(
    network: LineNetwork, *, origin: Array, normal: Array
) -> tuple[PlaneCrossing, ...]:
    """Every point in which a line passes through the plane; exact on the curves.

    By line in the network's order, then along the line. A stretch that lies in the plane, or a
    place that only touches it, is no crossing. Raises ValueError for a plane without direction.
    """
    length = float(np.linalg.norm(normal))
    if not np.isfinite(length) or length < 1e-9:
        message = "a plane needs a direction"
        raise ValueError(message)
    across = np.asarray(normal, dtype=np.float64) / length
    return tuple(
        PlaneCrossing(line=line.name, share=share, point=np.asarray(line.curve()(share)))
        for line in network.lines
        for share in _passes(line, np.asarray(origin, dtype=np.float64), across)
    )


def _passes(line: Line, origin: Array, across: Array) -> list[float]:
    curve = line.curve()
    height = BSpline(curve.t, (np.asarray(curve.c) - origin) @ across, curve.k)
    roots = np.asarray(PPoly.from_spline(height).solve(0.0, extrapolate=False))
    roots = np.unique(roots[np.isfinite(roots) & (roots >= 0.0) & (roots <= 1.0)].round(12))
    if line.closed and len(roots) > 1 and roots[0] < SAME and roots[-1] > 1.0 - SAME:
        roots = roots[:-1]
    slope = np.abs(np.asarray(curve(roots, nu=1)) @ across)
    speed = np.linalg.norm(np.asarray(curve(roots, nu=1)), axis=1)
    return [float(root) for root in roots[slope > GRAZING * speed]]


def measure_between(network: LineNetwork, first: Places, second: Places) -> Between:
    """How far the second place lies from the first, and along the line that both lie on.

    Each place is given on every line through it, the one that it was picked on first. Raises
    KeyError for a line that is not there, ValueError for a share that is none.
    """
    a, b = _point(network, *first[0]), _point(network, *second[0])
    dx, dy, dz = (float(step) for step in b - a)
    shares = dict(second)
    common = next((name for name, _ in first if name in shares), "")
    return Between(
        first=a,
        second=b,
        steps=(dx, dy, dz),
        true=float(np.linalg.norm(b - a)),
        line=common,
        along=_along(network.line(common), dict(first)[common], shares[common]) if common else None,
    )


def _point(network: LineNetwork, name: str, share: float) -> Array:
    if not 0.0 <= share <= 1.0:
        message = "a share of a line lies between 0 and 1"
        raise ValueError(message)
    return np.asarray(network.line(name).curve()(share), dtype=np.float64)


def _along(line: Line, first: float, second: float) -> float:
    low, high = min(first, second), max(first, second)
    inner = _length(line, low, high)
    if not line.closed:
        return inner
    return min(inner, _length(line, 0.0, 1.0) - inner)


def _length(line: Line, low: float, high: float) -> float:
    """Arc between two shares, mm: by quadrature within the knots, which are cut at both."""
    if high - low < SAME:
        return 0.0
    curve = line.curve()
    if line.closed:
        curve = BSpline(curve.t, curve.c, curve.k, extrapolate=True)
    knots = np.unique(curve.t[(curve.t > low) & (curve.t < high)])
    places = np.concatenate([[low], knots, [high]])
    return float(sum(_gauss(curve, a, b) for a, b in pairwise(places)))


_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


def _gauss(curve: BSpline, low: float, high: float) -> float:
    at = 0.5 * (low + high) + 0.5 * (high - low) * _NODES
    speed = np.linalg.norm(np.asarray(curve(at, nu=1)), axis=1)
    return float(0.5 * (high - low) * _WEIGHTS @ speed)
