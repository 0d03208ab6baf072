"""Cutting a mesh along planes, so that the parts share the vertices of the cut."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.divided import divided_triangles
from buckwright.geometry.mesh import edges_of

__all__ = ["CutMesh", "cut_mesh", "divided_edges", "kept_part"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Mask = NDArray[np.bool_]

_SNAP = 0.25
"""A vertex nearer to the cut than this part of an edge is drawn onto it: no slivers are left."""
_ROUNDING = 1e-6
"""A vertex nearer to the plane than this part of the whole size is meant to lie on it."""
_NONE: Index = np.zeros((0, 2), dtype=np.int64)


@dataclass(frozen=True, eq=False, slots=True)
class CutMesh:
    """A mesh that a plane passes through only along edges.

    Attributes: vertices (n, 3) and triangles (m, 3), the old vertices first; on_plane (n,);
    side (m,), -1 below or 1 above, seen along the plane's normal; parents (k, 2), the ends of the
    old edge that each of the last k vertices divides.
    """

    vertices: Array
    triangles: Index
    on_plane: Mask
    side: Index
    parents: Index


def cut_mesh(
    vertices: Array, triangles: Index, *, origin: Array, normal: Array, walls: Index = _NONE
) -> CutMesh:
    """The mesh with edges along a plane through `origin` (3,) across `normal` (3,).

    Vertices near the plane are drawn onto it along an edge, those of the boundary along the
    boundary, those of `walls` (w, 2) along these edges and where walls meet not at all; other
    triangles that the plane crosses are divided. The surface stays what it was but for those
    drawn vertices.
    """
    unit = np.asarray(normal, dtype=np.float64) / np.linalg.norm(normal)
    edges, of_triangle = edges_of(triangles)
    vertices = _laid_on(vertices, origin, unit)
    moved, on_plane = _drawn(vertices, edges, of_triangle, (vertices - origin) @ unit, walls)
    height = (moved - origin) @ unit
    height[on_plane] = 0.0
    sign = np.sign(height).astype(np.int64)
    cut = sign[edges[:, 0]] * sign[edges[:, 1]] < 0
    a, b = edges[cut].T
    part = (height[a] / (height[a] - height[b]))[:, None]
    new_of_edge = np.full(len(edges), -1)
    new_of_edge[cut] = len(moved) + np.arange(cut.sum())
    points = np.vstack([moved, moved[a] + part * (moved[b] - moved[a])])
    points -= np.where(np.arange(len(points)) < len(moved), 0.0, 1.0)[:, None] * (
        ((points - origin) @ unit)[:, None] * unit
    )
    flags = np.concatenate([on_plane, np.ones(int(cut.sum()), dtype=np.bool_)])
    divided = divided_triangles(points, triangles, new_of_edge[of_triangle])
    middle = (points[divided].mean(axis=1) - origin) @ unit
    return CutMesh(points, divided, flags, np.where(middle < 0.0, -1, 1), edges[cut])


def divided_edges(edges: Index, parents: Index, count: int) -> Index:
    """Edges (w, 2) after a cut that put vertices `count`, `count` + 1 ... on edges `parents`."""
    new_on = {tuple(sorted(pair)): count + n for n, pair in enumerate(parents.tolist())}
    parts: list[tuple[int, int]] = []
    for a, b in edges.tolist():
        middle = new_on.get((min(a, b), max(a, b)))
        parts += [(a, b)] if middle is None else [(a, middle), (middle, b)]
    return np.array(parts, dtype=np.int64).reshape(-1, 2)


def kept_part(vertices: Array, triangles: Index) -> tuple[Array, Index, Index]:
    """Vertices in use, triangles that count them anew, and (n,) which vertex each one was."""
    used, renamed = np.unique(triangles, return_inverse=True)
    return vertices[used], renamed.reshape(-1, 3).astype(np.int64), used.astype(np.int64)


def _laid_on(vertices: Array, origin: Array, unit: Array) -> Array:
    """The vertices, those that miss the plane by rounding laid on it, walls or not.

    A line of the skin along the plane wanders across it by a millionth: cut there, its triangles
    would leave slivers without area.
    """
    height = (vertices - origin) @ unit
    near = np.abs(height) <= _ROUNDING * float(np.ptp(vertices, axis=0).max())
    return np.asarray(vertices - np.where(near, height, 0.0)[:, None] * unit)


def _drawn(
    vertices: Array, edges: Index, of_triangle: Index, height: Array, walls: Index
) -> tuple[Array, Mask]:
    """Vertices with the near ones moved onto the plane, and which lie on it now."""
    size = float(np.ptp(vertices, axis=0).max())
    on_plane = np.abs(height) <= 1e-12 * size
    kept = _kept_edges(edges, of_triangle, walls, len(vertices))
    uses = np.bincount(edges[kept].ravel(), minlength=len(vertices))
    ends = np.vstack([edges, edges[:, ::-1]])
    free = np.tile(kept, 2) & (uses[ends[:, 0]] <= 2)
    here, there = height[ends[:, 0]], height[ends[:, 1]]
    crossing = here * there < 0.0
    part = np.where(crossing, here / np.where(crossing, here - there, 1.0), 1.0)
    usable = crossing & (part < _SNAP) & (free | (uses[ends[:, 0]] == 0))
    order = np.flatnonzero(usable)[np.argsort(-part[usable], kind="stable")]
    moved = vertices.copy()
    # The nearest crossing is written last and stays.
    start, end = ends[order].T
    moved[start] = vertices[start] + part[order, None] * (vertices[end] - vertices[start])
    on_plane[start] = True
    return moved, on_plane


def _kept_edges(edges: Index, of_triangle: Index, walls: Index, count: int) -> Mask:
    """Edges of the rim and of walls, along which alone their vertices may be drawn."""
    rim = np.bincount(of_triangle.ravel(), minlength=len(edges)) == 1
    low, high = walls.min(axis=1), walls.max(axis=1)
    return np.asarray(rim | np.isin(edges[:, 0] * count + edges[:, 1], low * count + high))
