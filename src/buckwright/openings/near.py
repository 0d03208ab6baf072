"""The least distance from a cloud of points to a mesh, asked again and again."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.mesh import MeshLocator

__all__ = ["Near", "middle_of_least"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

FEW = 24
ALIKE = 1e-7
"""Difference below which two values count as one: an edge that meets all along has a middle."""


class Near:
    """Finds where points come nearest to a mesh; only the few that may be nearest are measured.

    No place of a triangle is farther from its nearest corner than its longest side over the
    square root of three, so most points are ruled out by their distance to vertices: those of
    small triangles and those of large ones apart, each with their own reach.
    """

    def __init__(self, vertices: Array, triangles: Index) -> None:
        corners = vertices[triangles]
        sides = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
        reach = np.zeros(len(vertices))
        np.maximum.at(reach, triangles.ravel(), np.repeat(sides, 3) / np.sqrt(3.0))
        small = reach <= np.median(reach[reach > 0.0])
        self._trees = [
            (cKDTree(vertices[some]), float(reach[some].max()))
            for some in (small & (reach > 0.0), ~small)
            if some.any()
        ]
        self._locator = MeshLocator(vertices, triangles)

    def least(self, points: Array) -> tuple[float, int, Array, int]:
        """Distance, which point, its foot (3,) and the foot's triangle."""
        rough = np.stack([tree.query(points)[0] for tree, _ in self._trees])
        # A few of the nearest bound the distance, which rules out most of the others.
        nearest = rough.min(axis=0)
        few = np.argpartition(nearest, min(FEW, len(nearest) - 1))[:FEW]
        bound = np.abs(self._locator.closest(points[few])[0]).min()
        lowest = (rough - np.array([[reach] for _, reach in self._trees])).min(axis=0)
        maybe = np.flatnonzero(lowest <= bound)
        signed, foot, triangle, _ = self._locator.closest(points[maybe])
        best = middle_of_least(np.abs(signed), points[maybe])
        return abs(float(signed[best])), int(maybe[best]), foot[best], int(triangle[best])


def middle_of_least(values: Array, points: Array) -> int:
    """Which of the points (n, 3) has the least value (n,); of many alike, the middlemost."""
    least = np.flatnonzero(values <= values.min() + ALIKE)
    off = np.linalg.norm(points[least] - points[least].mean(axis=0), axis=1)
    return int(least[np.argmin(off)])
