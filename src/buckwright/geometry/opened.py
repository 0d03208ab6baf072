"""A mesh opened along some of its edges, so that each side has vertices of its own."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from buckwright.geometry.curved_mesh import quadric_normals
from buckwright.geometry.mesh import edges_of

__all__ = ["OpenedMesh", "breaks_along", "opened_mesh", "seen_vertices"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

MORE = 4
"""Times as many vertices are looked at near walls as are wanted: some are hidden."""


@dataclass(frozen=True, eq=False, slots=True)
class OpenedMesh:
    """The same triangles over vertices that walls part.

    Attributes: triangles (m, 3) over the parted vertices; seats (k,), the common vertex of each
    of them, the common ones first; walls (w, 2), pairs of common vertices.
    """

    triangles: Index
    seats: Index
    walls: Index


def opened_mesh(triangles: Index, count: int, walls: Index) -> OpenedMesh:
    """The mesh of `count` vertices opened along walls (w, 2), edges by their ends.

    A vertex at which a single wall ends is not parted: the sides grow together there.
    """
    if not len(walls):
        return OpenedMesh(triangles, np.arange(count), walls)
    edges, of_triangle = edges_of(triangles)
    low, high = walls.min(axis=1), walls.max(axis=1)
    wall = np.isin(edges[:, 0] * count + edges[:, 1], low * count + high)
    # Corners of one vertex in triangles that share an edge without a wall are one.
    order = np.argsort(of_triangle.ravel(), kind="stable")
    edge, side = of_triangle.ravel()[order], order
    paired = np.flatnonzero((edge[:-1] == edge[1:]) & ~wall[edge[:-1]])
    one, two = side[paired], side[paired + 1]
    joined = [
        (_corner(triangles, one, step), _corner_of(triangles, one, step, two)) for step in (1, 2)
    ]
    rows, columns = (np.concatenate(part) for part in zip(*joined, strict=True))
    shape = (triangles.size, triangles.size)
    graph = csr_matrix((np.ones(len(rows)), (rows, columns)), shape=shape)
    _, label = connected_components(graph, directed=False)
    first = np.unique(label, return_index=True)[1]
    seat = triangles.ravel()[first]
    number = np.full(len(first), -1)
    kept = np.unique(seat, return_index=True)[1]
    number[kept] = seat[kept]
    extra = np.flatnonzero(number < 0)
    number[extra] = count + np.arange(len(extra))
    seats = np.concatenate([np.arange(count), seat[extra]])
    return OpenedMesh(number[label].reshape(-1, 3), seats, walls)


def _corner(triangles: Index, side: Index, step: int) -> Index:
    """Number of the corner that comes `step` after the one opposite the side."""
    triangle, opposite = np.divmod(side, 3)
    return np.asarray(3 * triangle + (opposite + step) % 3)


def _corner_of(triangles: Index, side: Index, step: int, other: Index) -> Index:
    """The corner of the other side's triangle at the same vertex."""
    vertex = triangles.ravel()[_corner(triangles, side, step)]
    candidates = [_corner(triangles, other, k) for k in (1, 2)]
    hit = triangles.ravel()[candidates[0]] == vertex
    return np.where(hit, candidates[0], candidates[1])


def breaks_along(vertices: Array, opened: OpenedMesh, triangles: Index) -> Array:
    """(w,) radians by which the surface breaks across each wall; convex seen from outside > 0.

    From quadrics through the vertices of each side alone, read at both ends of the wall. NaN for
    walls on the rim.
    """
    normals = quadric_normals(vertices[opened.seats], opened.triangles)
    count = len(vertices)
    edges, of_triangle = edges_of(triangles)
    low, high = opened.walls.min(axis=1), opened.walls.max(axis=1)
    keys = edges[:, 0] * count + edges[:, 1]
    wanted = np.searchsorted(keys, low * count + high)
    order = np.argsort(of_triangle.ravel(), kind="stable")
    start = np.searchsorted(of_triangle.ravel()[order], np.arange(len(edges) + 1))
    inner = start[wanted + 1] - start[wanted] == 2
    found = np.full(len(wanted), np.nan)
    one, two = (order[start[wanted[inner]] + k] for k in (0, 1))
    angles = []
    for step in (1, 2):
        a = _corner(triangles, one, step)
        b = _corner_of(triangles, one, step, two)
        n, m = (normals[opened.triangles.ravel()[c]] for c in (a, b))
        turn = np.linalg.norm(np.cross(n, m), axis=1)
        angle = np.arctan2(turn, np.einsum("ij,ij->i", n, m))
        # Where the far corner lies below this side's tangent plane the edge is convex.
        far = vertices[triangles.ravel()[two]] - vertices[triangles.ravel()[a]]
        angles.append(np.where(np.einsum("ij,ij->i", far, n) > 0.0, -angle, angle))
    found[inner] = np.mean(angles, axis=0)
    return found


def seen_vertices(chart: Array, centres: Array, count: int, walls: Index) -> Index:
    """(m, count) vertices of a chart nearest to each place (m, 2) that no wall hides from it.

    A vertex on a wall is seen from both sides. Where few are seen they repeat themselves.
    """
    tree = cKDTree(chart)
    distance, near = tree.query(centres, k=count)
    if not len(walls):
        return np.asarray(near, dtype=np.int64)
    on_walls = chart[np.unique(walls)]
    longest = np.linalg.norm(chart[walls[:, 0]] - chart[walls[:, 1]], axis=1).max()
    some = np.flatnonzero(cKDTree(on_walls).query(centres)[0] < distance[:, -1] + longest)
    if not len(some):
        return np.asarray(near, dtype=np.int64)
    more = tree.query(centres[some], k=min(MORE * count, len(chart)))[1]
    sight = np.stack([np.repeat(centres[some][:, None], more.shape[1], axis=1), chart[more]], 2)
    # Merged, so that a sight line through the end of a wall's piece crosses it too.
    merged = shapely.line_merge(shapely.multilinestrings(list(chart[walls])))
    shapely.prepare(merged)
    hidden = shapely.crosses(merged, shapely.linestrings(sight.reshape(-1, 2, 2)))
    hidden = hidden.reshape(more.shape)
    order = np.argsort(hidden, axis=1, kind="stable")
    seen = np.maximum((~hidden).sum(axis=1), 1)
    place = np.arange(count)[None, :] % np.minimum(seen, count)[:, None]
    near[some] = np.take_along_axis(more, np.take_along_axis(order, place, axis=1), axis=1)
    return np.asarray(near, dtype=np.int64)
