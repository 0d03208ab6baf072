"""High and low spots: connected points beyond the tolerance, with their place and size."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

__all__ = ["LEAST_POINTS", "Heap", "find_heaps", "point_areas", "point_spacing"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

REACH = 1.8
"""Points nearer than this many spacings are neighbours."""
LEAST_POINTS = 3
"""Fewer points than this are called lone, not a spot."""


@dataclass(frozen=True, eq=False, slots=True)
class Heap:
    """Connected points on the same side of the skin, beyond the limit."""

    rows: Index
    height: float
    """mm, mean of the three farthest points, positive outside."""
    mean: float
    """mm, mean over the area."""
    area: float
    """mm^2 of the skin that lies nearest to these points."""
    middle: Array
    """(3,) weighed by distance and area."""


def point_spacing(points: Array) -> float:
    """Typical mm between neighbours, the same for a grid and for scattered points."""
    count = min(4, len(points))
    gap, _ = cKDTree(points).query(points, k=count)
    return float(np.median(gap[:, -1]))


def point_areas(points: Array, vertices: Array, triangles: Index, *, spacing: float) -> Array:
    """(n,) mm^2 of the mesh that is nearest to each point, no farther than two spacings."""
    corners = vertices[triangles]
    side = float(np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max())
    parts = int(np.clip(np.ceil(3.0 * side / spacing), 1, 12))
    samples = np.einsum("ks,tsd->tkd", _inner_weights(parts), corners)
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    share = 0.5 * np.linalg.norm(cross, axis=1) / samples.shape[1]
    gap, nearest = cKDTree(points).query(samples.reshape(-1, 3))
    area = np.where(gap <= 2.0 * spacing, np.repeat(share, samples.shape[1]), 0.0)
    return np.asarray(np.bincount(nearest, area, minlength=len(points)), dtype=np.float64)


def _inner_weights(parts: int) -> Array:
    """Barycentric weights of the middles of the parts^2 equal small triangles of a triangle."""
    weights = []
    for i in range(parts):
        for j in range(parts - i):
            weights.append((i + 1 / 3, j + 1 / 3))
            if i + j < parts - 1:
                weights.append((i + 2 / 3, j + 2 / 3))
    two = np.array(weights) / parts
    return np.column_stack([1.0 - two.sum(axis=1), two])


def find_heaps(
    points: Array, distance: Array, limit: Array, area: Array, *, spacing: float
) -> tuple[tuple[Heap, ...], Index]:
    """Heaps, the highest or lowest first, and the rows of lone points.

    Parameters: points (n, 3), distance (n,) signed, limit (n,) beyond which a point stands out,
    area (n,) that each point stands for.
    """
    rows = np.flatnonzero(np.abs(distance) > limit)
    if len(rows) == 0:
        return (), rows
    pairs = cKDTree(points[rows]).query_pairs(REACH * spacing, output_type="ndarray")
    same = distance[rows[pairs[:, 0]]] * distance[rows[pairs[:, 1]]] > 0.0
    pairs = pairs[same]
    links = sparse.coo_matrix(
        (np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(rows), len(rows))
    )
    _, label = connected_components(links, directed=False)
    groups = [rows[label == k] for k in range(label.max() + 1)]
    heaps = [_heap(g, points, distance, area) for g in groups if len(g) >= LEAST_POINTS]
    lone = [g for g in groups if len(g) < LEAST_POINTS]
    none = np.zeros(0, dtype=np.int64)
    heaps.sort(key=lambda heap: -abs(heap.height))
    return tuple(heaps), np.concatenate([none, *lone])


def _heap(rows: Index, points: Array, distance: Array, area: Array) -> Heap:
    here = distance[rows]
    far = rows[np.argsort(-np.abs(here), kind="stable")[:LEAST_POINTS]]
    share = np.maximum(area[rows], 1e-9)
    pull = share * np.abs(here)
    return Heap(
        rows=rows,
        height=float(distance[far].mean()),
        mean=float(share @ here / share.sum()),
        area=float(area[rows].sum()),
        middle=np.asarray(pull @ points[rows] / pull.sum()),
    )
