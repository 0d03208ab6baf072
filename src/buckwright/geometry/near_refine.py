"""A mesh made finer near given places only, its rim left as it is."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.divided import divided_triangles
from buckwright.geometry.mesh import edges_of

__all__ = ["refine_near"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_PASSES = 24
_MOST = 400_000
"""Triangles beyond which nothing is made finer."""


def refine_near(
    values: Array, triangles: Index, places: Array, *, reach: float, length: float
) -> tuple[Array, Index]:
    """Values (n, d) with new rows at the middles of divided edges, and the triangles (m, 3).

    The first three columns are places in space; the others go along linearly. Triangles nearer
    than `reach` to one of `places` (k, 3) get no edge longer than `length`, but for edges of the
    rim, which are never divided: what meets the mesh there still fits. The old rows come first.
    """
    tree = cKDTree(places)
    for _ in range(_PASSES):
        edges, of_triangle = edges_of(triangles)
        inner = np.bincount(of_triangle.ravel(), minlength=len(edges)) > 1
        ends = values[edges, :3]
        long = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
        side = np.where(inner, long, 0.0)[of_triangle]
        longest = side.argmax(axis=1)
        most = side[np.arange(len(side)), longest]
        asked = np.flatnonzero(most > length)
        middle = values[triangles[asked], :3].mean(axis=1)
        size = long[of_triangle[asked]].max(axis=1)
        away, _ = tree.query(middle, distance_upper_bound=reach + float(size.max(initial=0.0)))
        asked = asked[away <= reach + size]
        if not len(asked) or len(triangles) > _MOST:
            break
        split = _not_thrice(of_triangle, of_triangle[asked, longest[asked]], long)
        new_of_edge = np.full(len(edges), -1)
        new_of_edge[split] = len(values) + np.arange(len(split))
        values = np.vstack([values, values[edges[split]].mean(axis=1)])
        triangles = divided_triangles(values[:, :3], triangles, new_of_edge[of_triangle])
    return values, triangles


def _not_thrice(of_triangle: Index, split: Index, long: Array) -> Index:
    """The edges to be divided without the shortest of three that one triangle would lose."""
    marked = np.zeros(len(long), dtype=np.bool_)
    marked[split] = True
    while True:
        full = marked[of_triangle].all(axis=1)
        if not full.any():
            return np.flatnonzero(marked)
        sides = of_triangle[full]
        marked[sides[np.arange(len(sides)), long[sides].argmin(axis=1)]] = False
