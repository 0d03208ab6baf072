"""Dividing a mesh along a way over it, so that the way becomes edges."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from buckwright.geometry.divided import divided_triangles
from buckwright.geometry.geodesic import MeshPath
from buckwright.geometry.mesh import edges_of

__all__ = ["PathCut", "cut_along_path", "parts_beside"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_SNAP = 0.2
"""A point nearer to a vertex than this part of an edge is taken to be there: no slivers."""


@dataclass(frozen=True, eq=False, slots=True)
class PathCut:
    """A mesh with edges along a way.

    Attributes: vertices (n, 3), the old ones first and where they were; triangles (m, 3); way
    (k,), vertices along it in order; halved (h, 2), the old edge that each new vertex lies on, and
    part (h,), how far along.
    """

    vertices: Array
    triangles: Index
    way: Index
    halved: Index
    part: Array


def cut_along_path(vertices: Array, triangles: Index, path: MeshPath) -> PathCut:
    """The mesh with the path among its edges; the surface stays what it was.

    Where the path passes very near a vertex it is led through the vertex. Raises ValueError where
    it crosses one triangle through all three sides.
    """
    number = len(vertices)
    halved: dict[tuple[int, int], float] = {}
    way: list[int] = []
    for (a, b), part in zip(path.edges.tolist(), path.part.tolist(), strict=True):
        if a == b or part <= _SNAP:
            here = a
        elif part >= 1.0 - _SNAP:
            here = b
        else:
            pair, share = ((a, b), part) if a < b else ((b, a), 1.0 - part)
            halved.setdefault(pair, share)
            here = number + list(halved).index(pair)
        if not way or way[-1] != here:
            way.append(here)
    pairs = np.array(list(halved), dtype=np.int64).reshape(-1, 2)
    share = np.array(list(halved.values()))
    new = vertices[pairs[:, 0]] + share[:, None] * (vertices[pairs[:, 1]] - vertices[pairs[:, 0]])
    edges, of_triangle = edges_of(triangles)
    of_edge = np.full(len(edges), -1)
    of_edge[np.searchsorted(edges @ [number, 1], pairs @ [number, 1])] = number + np.arange(
        len(pairs)
    )
    points = np.vstack([vertices, new])
    divided = divided_triangles(points, triangles, of_edge[of_triangle])
    return PathCut(points, divided, np.array(way, dtype=np.int64), pairs, share)


def parts_beside(triangles: Index, ways: list[Index]) -> Index:
    """(m,) number of the part that each triangle belongs to, no part going across a way.

    The ways (k,) run along edges. Parts are numbered by their first triangles.
    """
    edges, of_triangle = edges_of(triangles)
    span = int(triangles.max()) + 1
    sides = [np.sort(np.column_stack([way[:-1], way[1:]]), axis=1) for way in ways]
    none = np.zeros(0, dtype=np.int64)
    barred = np.concatenate([none, *(side[:, 0] * span + side[:, 1] for side in sides)])
    open_edge = ~np.isin(edges[:, 0] * span + edges[:, 1], barred)
    edge, count = of_triangle.ravel(), len(triangles)
    kept = open_edge[edge]
    rows = np.repeat(np.arange(count), 3)[kept]
    meets = sparse.csr_matrix((np.ones(len(rows)), (rows, edge[kept])), shape=(count, len(edges)))
    _, label = connected_components(meets @ meets.T, directed=False)
    _, first, number = np.unique(label, return_index=True, return_inverse=True)
    rank = np.argsort(np.argsort(first))
    return np.asarray(rank[number], dtype=np.int64)
