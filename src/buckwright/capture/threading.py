"""Unordered points round one curve, put on a thread."""

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import csgraph
from scipy.spatial import cKDTree

__all__ = ["threaded"]

Array = NDArray[np.float64]

_CELLS = 40.0
"""Cells along the diagonal of the figure."""


def threaded(points: Array, weight: Array) -> Array:
    """(m, 3) a rough polyline through unordered points (n, 3) round one curve.

    Points are drawn together in cells of a fortieth of the figure, joined by their least
    spanning tree, and the longest way through the tree is the curve: stray points hang off it
    as short twigs. Of a closed curve the last point lies next to the first.
    """
    centres = _gathered(points, weight)
    if len(centres) < 3:
        return centres
    gaps = np.linalg.norm(centres[:, None] - centres[None], axis=2)
    tree = csgraph.minimum_spanning_tree(sparse.csr_matrix(gaps))
    reach, before = csgraph.shortest_path(
        tree, directed=False, method="D", return_predecessors=True
    )
    start, end = np.unravel_index(int(np.argmax(reach)), reach.shape)
    way = [int(end)]
    while way[-1] != start:
        way.append(int(before[start, way[-1]]))
    return centres[way]


def _gathered(points: Array, weight: Array) -> Array:
    """Weighted means of the points in cells that grow round the best-supported ones."""
    cell = float(np.linalg.norm(np.ptp(points, axis=0))) / _CELLS
    tree = cKDTree(points)
    left = np.ones(len(points), dtype=bool)
    centres = []
    for row in np.argsort(-weight):
        if not left[row]:
            continue
        near = np.array(tree.query_ball_point(points[row], cell))
        near = near[left[near]]
        left[near] = False
        centres.append(weight[near] @ points[near] / weight[near].sum())
    return np.array(centres)
