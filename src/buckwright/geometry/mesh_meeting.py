"""Where two triangle meshes cut each other: chains of points on both."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.mesh import edges_of

__all__ = ["MeshCut", "cut_between"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


@dataclass(frozen=True, eq=False, slots=True)
class MeshCut:
    """One piece of the line in which two meshes meet; a closed one does not repeat its first."""

    points: Array
    closed: bool


def cut_between(first: tuple[Array, Index], second: tuple[Array, Index]) -> tuple[MeshCut, ...]:
    """The lines in which two meshes (vertices (n, 3), triangles (m, 3)) cut each other.

    Every edge of one is cut with the triangles of the other; each pair of triangles that cross
    shares two such points. Longest first. Meshes that only touch, or lie in each other, have no
    line there: what lies exactly on the other is taken as just outside it.
    """
    ends: list[Array] = []
    pairs: list[Index] = []
    count = 0
    for mesh, other, swapped in ((first, second, False), (second, first, True)):
        points, edge, struck = _pierced(mesh, other)
        number, face = _faces_at(mesh[1], edge)
        both = np.column_stack([face, struck[number]])
        pairs.append(np.column_stack([both[:, ::-1] if swapped else both, number + count]))
        ends.append(points)
        count += len(points)
    return _chains(np.vstack(ends), np.vstack(pairs)) if count else ()


def _faces_at(triangles: Index, edge: Index) -> tuple[Index, Index]:
    """For each of the edges by number (k,) its one or two triangles: which edge, which triangle."""
    _, of_triangle = edges_of(triangles)
    flat = of_triangle.ravel()
    order = np.argsort(flat, kind="stable")
    low = np.searchsorted(flat[order], edge)
    many = np.searchsorted(flat[order], edge, side="right") - low
    number = np.repeat(np.arange(len(edge)), many)
    within = np.arange(len(number)) - np.repeat(np.cumsum(many) - many, many)
    return number, np.asarray(order[np.repeat(low, many) + within] // 3)


def _pierced(mesh: tuple[Array, Index], other: tuple[Array, Index]) -> tuple[Array, Index, Index]:
    """Points (k, 3) where edges of a mesh go through triangles of the other: edge, triangle."""
    vertices, triangles = mesh
    edges, _ = edges_of(triangles)
    corners = other[0][other[1]]
    middle = corners.mean(axis=1)
    reach = np.linalg.norm(corners - middle[:, None], axis=2).max(axis=1)
    start, end = vertices[edges[:, 0]], vertices[edges[:, 1]]
    half = 0.5 * np.linalg.norm(end - start, axis=1)
    near = cKDTree(middle).query_ball_point(0.5 * (start + end), half + reach.max())
    edge = np.repeat(np.arange(len(edges)), [len(one) for one in near])
    face = np.array([k for one in near for k in one], dtype=np.int64)
    a, b, c = (corners[face, k] for k in range(3))
    p, q = start[edge], end[edge]
    normal = np.cross(b - a, c - a)
    low = np.einsum("ij,ij->i", p - a, normal)
    high = np.einsum("ij,ij->i", q - a, normal)
    crosses = (low > 0.0) != (high > 0.0)
    for u, v in ((a, b), (b, c), (c, a)):
        inside = np.einsum("ij,ij->i", np.cross(v - u, q - p), u - p) * np.sign(low - high)
        crosses &= inside <= 0.0
    at = low[crosses] / (low - high)[crosses]
    points = p[crosses] + at[:, None] * (q - p)[crosses]
    return points, edge[crosses].astype(np.int64), face[crosses].astype(np.int64)


def _chains(points: Array, pairs: Index) -> tuple[MeshCut, ...]:
    """Points joined where two belong to one pair of triangles."""
    order = np.lexsort((pairs[:, 1], pairs[:, 0]))
    pairs = pairs[order]
    same = np.flatnonzero((pairs[1:, :2] == pairs[:-1, :2]).all(axis=1))
    links: dict[int, list[int]] = {}
    for k in same:
        a, b = int(pairs[k, 2]), int(pairs[k + 1, 2])
        links.setdefault(a, []).append(b)
        links.setdefault(b, []).append(a)
    cuts = []
    left = set(links)
    while left:
        ends = [k for k in left if len(links[k]) == 1]
        here = min(ends) if ends else min(left)
        chain, closed = [here], not ends
        left.discard(here)
        while True:
            following = [k for k in links[here] if k in left]
            if not following:
                break
            here = following[0]
            chain.append(here)
            left.discard(here)
        if len(chain) > 1:
            cuts.append(MeshCut(points[chain], closed))
    return tuple(sorted(cuts, key=lambda cut: -_length(cut)))


def _length(cut: MeshCut) -> float:
    looped = np.vstack([cut.points, cut.points[:1]]) if cut.closed else cut.points
    return float(np.linalg.norm(np.diff(looped, axis=0), axis=1).sum())
