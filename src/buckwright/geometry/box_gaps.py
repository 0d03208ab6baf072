"""Distances between points, boxes with sides along the axes, and straight square bars."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["SquareBar", "gap_of_boxes", "near_boxes", "square_gaps_to_boxes"]

Array = NDArray[np.float64]


def square_gaps_to_boxes(points: Array, lows: Array, highs: Array) -> Array:
    """(n,) squared distance of each point (n, 3) to the nearest box, 0 inside one.

    Parameters: `lows`, `highs` (k, 3), the corners of the boxes. Without a box: infinite.
    """
    least = np.full(len(points), np.inf)
    x, y, z = np.ascontiguousarray(points.T)
    for low, high in zip(lows, highs, strict=True):
        total = np.zeros(len(points))
        for value, a, b in zip((x, y, z), low, high, strict=True):
            away = np.maximum(np.abs(value - 0.5 * (a + b)) - 0.5 * (b - a), 0.0)
            total += away * away
        np.minimum(least, total, out=least)
    return least


def gap_of_boxes(lows: Array, highs: Array, other_lows: Array, other_highs: Array) -> float:
    """Least distance between any of the boxes (k, 3) and any of the others (m, 3).

    Infinite without boxes on one side.
    """
    if not len(lows) or not len(other_lows):
        return float("inf")
    away = np.maximum(lows[:, None] - other_highs[None], other_lows[None] - highs[:, None])
    return float(np.linalg.norm(np.maximum(away, 0.0), axis=2).min())


def near_boxes(
    low: Array, high: Array, lows: Array, highs: Array, reach: float
) -> NDArray[np.bool_]:
    """(k,) which boxes come within `reach` of the box from `low` to `high`, or nearly."""
    return np.asarray(((lows <= high + reach) & (highs >= low - reach)).all(axis=1))


@dataclass(frozen=True, slots=True, eq=False)
class SquareBar:
    """A straight bar of square section with flat ends, between two points of its axis.

    One pair of its faces is square to the coordinate axis that lies most across it.
    """

    start: Array
    end: Array
    half: float
    """Half its side."""

    @property
    def length(self) -> float:
        """Along the axis."""
        return float(np.linalg.norm(self.end - self.start))

    def axes(self) -> Array:
        """(3, 3) rows: along, and square to its two pairs of long faces."""
        x, y, z = along = (self.end - self.start) / self.length
        flattest = int(np.argmin(np.abs(along)))
        # The cross product of that coordinate axis with `along`, and of `along` with it.
        side = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]][flattest])
        side /= np.linalg.norm(side)
        p, q, r = side
        return np.array([along, side, [y * r - z * q, z * p - x * r, x * q - y * p]])

    def gaps(self, points: Array) -> Array:
        """(n,) distance of points (n, 3) to the bar, 0 inside."""
        local = (points - 0.5 * (self.start + self.end)) @ self.axes().T
        away = np.abs(local) - np.array([0.5 * self.length, self.half, self.half])
        return np.asarray(np.linalg.norm(np.maximum(away, 0.0), axis=1))

    def box(self) -> tuple[Array, Array]:
        """Lowest and highest corner (3,) of the box with sides along the axes round it."""
        axes = self.axes()
        reach = np.abs(axes.T) @ np.array([0.5 * self.length, self.half, self.half])
        middle = 0.5 * (self.start + self.end)
        return middle - reach, middle + reach

    def surface(self, step: float) -> Array:
        """(n, 3) points on its long edges and along the middles of its faces, ends included."""
        axes = self.axes()
        count = max(int(np.ceil(self.length / step)), 1)
        along = np.linspace(0.0, self.length, count + 1)[:, None] * axes[0] + self.start
        steps = (-1.0, 0.0, 1.0)
        around = [self.half * (a * axes[1] + b * axes[2]) for a in steps for b in steps if a or b]
        return np.asarray((along[None] + np.array(around)[:, None]).reshape(-1, 3))
