"""A tree of boxes over triangles, asked for many points at once."""

import numpy as np
from numpy.typing import NDArray

__all__ = ["BoxTree"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

LEAF = 4
"""Triangles to a box of the finest level."""
PAIRS = 4_000_000
"""Pairs of points and boxes looked at together, about."""


class BoxTree:
    """Which triangles may lie within a distance of a point: boxes of boxes, along a Z curve.

    Reference for the order: Morton, 'A computer oriented geodetic data base and a new technique
    in file sequencing', IBM (1966).
    """

    def __init__(self, corners: Array) -> None:
        centres = corners.mean(axis=1)
        self._order = np.argsort(_along_z_curve(centres), kind="stable")
        count = len(corners)
        levels = max(0, int(np.ceil(np.log2(max(count / LEAF, 1.0)))))
        blocks = 2**levels
        low = np.full((blocks * LEAF, 3), np.inf)
        high = np.full((blocks * LEAF, 3), -np.inf)
        # Spread evenly over the leaves, so that none is empty before others are full.
        self._slots = (np.arange(count) * (blocks * LEAF)) // count
        low[self._slots] = corners[self._order].min(axis=1)
        high[self._slots] = corners[self._order].max(axis=1)
        self._levels = [(low.reshape(blocks, LEAF, 3).min(1), high.reshape(blocks, LEAF, 3).max(1))]
        while len(self._levels[0][0]) > 1:
            low, high = self._levels[0]
            self._levels.insert(
                0, (low.reshape(-1, 2, 3).min(axis=1), high.reshape(-1, 2, 3).max(axis=1))
            )
        self._rounding = 1e-12 * float(np.abs(corners).max())
        self._triangle = np.full(blocks * LEAF, -1, dtype=np.int64)
        self._triangle[self._slots] = self._order

    def within(self, points: Array, distance: Array) -> tuple[Index, Index]:
        """Pairs (point, triangle) that holds every triangle within `distance` (k,) of a point.

        Sorted by point; triangles a little farther away may be among them.
        """
        block = max(1, PAIRS // 256)
        parts = [
            self._within(points[s : s + block], distance[s : s + block], s)
            for s in range(0, len(points), block)
        ]
        owners, triangles = zip(*parts, strict=True) if parts else ((), ())
        none = np.zeros(0, dtype=np.int64)
        return np.concatenate([none, *owners]), np.concatenate([none, *triangles])

    def _within(self, points: Array, distance: Array, first: int) -> tuple[Index, Index]:
        square = (distance * (1.0 + 1e-9) + self._rounding) ** 2
        owner = np.arange(len(points))
        node = np.zeros(len(points), dtype=np.int64)
        for level, (low, high) in enumerate(self._levels):
            if level:
                owner = np.repeat(owner, 2)
                node = (2 * node[:, None] + np.arange(2)).ravel()
            at = points[owner]
            off = np.maximum(np.maximum(low[node] - at, at - high[node]), 0.0)
            near = np.einsum("ij,ij->i", off, off) <= square[owner]
            owner, node = owner[near], node[near]
        slots = (LEAF * node[:, None] + np.arange(LEAF)).ravel()
        triangle, owner = self._triangle[slots], np.repeat(owner, LEAF)
        real = triangle >= 0
        return owner[real] + first, triangle[real]


def _along_z_curve(points: Array) -> Index:
    """Place of each point on a curve that keeps neighbours together: bits of x, y, z in turn."""
    span = np.maximum(np.ptp(points, axis=0).max(), 1e-300)
    cells = ((points - points.min(axis=0)) / span * 1023.0).astype(np.int64)
    code = np.zeros(len(points), dtype=np.int64)
    for bit in range(10):
        for axis in range(3):
            code |= ((cells[:, axis] >> bit) & 1) << (3 * bit + axis)
    return code
