"""A rod in its place: a path set in to a depth, sampled closely enough to measure along it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.paths import Path
from buckwright.geometry.polyline_locator import PolylineLocator

__all__ = ["Rod", "bend_radius", "lay_rod", "set_in_of"]

Array = NDArray[np.float64]

SAGITTA = 0.01
"""mm that the straight pieces of an axis may stand off the curve."""
STEP_MOST, STEP_LEAST = 8.0, 0.5
"""mm between the points of an axis."""
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(4)


@dataclass(frozen=True, slots=True, eq=False)
class Rod:
    """The axis of a wire.

    `at` (n,) parameters of the path, `points` (n, 3), `along` (n,) exact length up to each.
    Of a closed rod the last point is the first again.
    """

    path: Path
    layer: int
    set_in: float
    at: Array
    points: Array
    along: Array
    locator: PolylineLocator

    @property
    def length(self) -> float:
        """Length along the axis, mm."""
        return float(self.along[-1])

    def at_lengths(self, lengths: Array) -> tuple[Array, Array]:
        """Points (n, 3) and unit tangents (n, 3) of the axis at lengths (n,) along it."""
        at = np.interp(lengths, self.along, self.at)
        return self.path.axis(at, self.set_in), self.path.directions(at, self.set_in)


def set_in_of(layer: int, *, sheet: float, diameter: float) -> float:
    """Depth of a rod's axis under the skin's outside, mm: sheet, half a rod, and the layers."""
    return sheet + 0.5 * diameter + layer * diameter


def _bends(path: Path, set_in: float, at: Array) -> Array:
    """(n,) curvature, as the turn over half a mm of the parameter to both sides."""
    low, high = np.clip(at - 0.5, path.start, None), np.clip(at + 0.5, None, path.end)
    turn = path.directions(high, set_in) - path.directions(low, set_in)
    length = np.linalg.norm(path.axis(high, set_in) - path.axis(low, set_in), axis=1)
    return np.asarray(np.linalg.norm(turn, axis=1) / length)


def lay_rod(path: Path, layer: int, *, sheet: float, diameter: float) -> Rod:
    """The rod on a path in a layer: points every 8 mm, closer in bends (sagitta 0.01 mm)."""
    set_in = set_in_of(layer, sheet=sheet, diameter=diameter)
    coarse = np.linspace(path.start, path.end, max(int((path.end - path.start) / 2.0), 12) + 1)
    middle = 0.5 * (coarse[1:] + coarse[:-1])
    step = np.sqrt(8.0 * SAGITTA / np.maximum(_bends(path, set_in, middle), 1e-9))
    per_mm = 1.0 / np.clip(step, STEP_LEAST, STEP_MOST)
    steps = np.concatenate([[0.0], np.cumsum(per_mm * np.diff(coarse))])
    count = max(int(np.ceil(steps[-1] - 1e-6)), 4)
    at = np.interp(np.linspace(0.0, steps[-1], count + 1), steps, coarse)
    half = 0.5 * np.diff(at)[:, None]
    nodes = 0.5 * (at[1:] + at[:-1])[:, None] + half * _NODES
    speeds = np.linalg.norm(path.velocity(nodes.ravel(), set_in), axis=1).reshape(nodes.shape)
    along = np.concatenate([[0.0], np.cumsum((half * speeds * _WEIGHTS).sum(axis=1))])
    points = path.axis(at, set_in)
    return Rod(path, layer, set_in, at, points, along, PolylineLocator(points, along))


def bend_radius(rod: Rod, *, diameter: float) -> float:
    """Least radius of the axis, mm, as a bender can make it and a sheet can show it.

    The turn between directions two diameters apart or more, divided into the length between
    them: at least a twentieth of the radius, for a gentle curve over less than that is only the
    doubt of the fit.
    """
    window = 2.0 * diameter
    while True:
        window = min(window, 0.25 * rod.length)
        radius = _least_radius_over(rod, window)
        if window >= min(0.05 * radius, 0.25 * rod.length):
            return radius
        window *= 2.0


def _least_radius_over(rod: Rod, window: float) -> float:
    count = max(int(4.0 * rod.length / window), 8)
    start = np.linspace(0.0, rod.length - (0.0 if rod.path.closed else window), count)
    stop = np.mod(start + window, rod.length) if rod.path.closed else start + window
    (_, first), (_, last) = rod.at_lengths(start), rod.at_lengths(stop)
    turn = 2.0 * np.arcsin(np.clip(0.5 * np.linalg.norm(last - first, axis=1), 0.0, 1.0))
    return float(window / max(float(turn.max()), 1e-12))
