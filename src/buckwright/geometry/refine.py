"""A finer mesh of the same smooth surface."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.mesh import edges_of

__all__ = ["FineChains", "refine_mesh", "refined_chain", "refined_places"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_CORNER = float(np.cos(np.radians(35.0)))


def refine_mesh(vertices: Array, triangles: Index, parts: int) -> tuple[Array, Index]:
    """Each triangle divided into parts^2, the new vertices on curved triangles (`CurvedMesh`).

    The old vertices come first and stay where they are. The rim is rounded too, as a curve
    through its vertices, but for corners of more than 35 degrees. The parts of triangle i are the
    triangles from i parts^2 on. Raises ValueError for fewer than one part.
    """
    if parts < 1:
        message = "a triangle has one part at least"
        raise ValueError(message)
    if parts == 1:
        return vertices, triangles
    owner, weights, finer = refined_places(triangles, len(vertices), parts)
    points, _ = CurvedMesh(vertices, triangles).at(owner, weights)
    points[: len(vertices)] = vertices
    start, end, place = _rim_points(triangles, len(vertices), parts)
    points[place] = _rounded(vertices, start, end, np.arange(1, parts) / parts)
    return points, finer


def refined_places(triangles: Index, count: int, parts: int) -> tuple[Index, Array, Index]:
    """Where the vertices of `refine_mesh` lie: a triangle (k,), weights in it (k, 3); triangles.

    `count` is that of the vertices, each of which belongs to a triangle.
    """
    weights, local = _lattice(parts)
    number = _numbers(triangles, count, weights, parts)
    first = np.full(int(number.max()) + 1, -1)
    first[number.ravel()[::-1]] = np.arange(number.size)[::-1]
    owner, place = np.divmod(first, len(weights))
    return owner, weights[place] / parts, number[:, local].reshape(-1, 3)


class FineChains:
    """Finds the vertices of `refine_mesh` along chains of vertices joined by edges.

    `triangles` and `count`, of vertices, are those before; build once, ask often.
    """

    def __init__(self, triangles: Index, count: int, parts: int) -> None:
        edges, _ = edges_of(triangles)
        self._keys = edges[:, 0] * count + edges[:, 1]
        self.count, self.parts = count, parts

    def along(self, chain: Index, *, closed: bool = False) -> Index:
        """Vertices along a chain (k,); a closed one does not repeat its first.

        Raises ValueError where no edge joins two neighbours.
        """
        start, end = (chain, np.roll(chain, -1)) if closed else (chain[:-1], chain[1:])
        wanted = np.minimum(start, end) * self.count + np.maximum(start, end)
        place = np.minimum(np.searchsorted(self._keys, wanted), len(self._keys) - 1)
        if not np.array_equal(self._keys[place], wanted):
            message = "no edge joins two neighbours of the chain"
            raise ValueError(message)
        steps = np.arange(self.parts - 1)
        inner = np.where((start < end)[:, None], steps, steps[::-1])
        inner = self.count + place[:, None] * (self.parts - 1) + inner
        new = np.column_stack([start[:, None], inner]).ravel()
        return np.asarray(new if closed else np.append(new, chain[-1]), dtype=np.int64)


def refined_chain(
    triangles: Index, count: int, chain: Index, parts: int, *, closed: bool = False
) -> Index:
    """One chain of `FineChains`."""
    return FineChains(triangles, count, parts).along(chain, closed=closed)


def _lattice(parts: int) -> tuple[Array, Index]:
    """Whole-number weights (k, 3) of a triangle's lattice points, and its small triangles."""
    weights = np.array(
        [(parts - i - j, i, j) for j in range(parts + 1) for i in range(parts + 1 - j)]
    )
    at = {(w[1], w[2]): n for n, w in enumerate(weights.tolist())}
    up = [(at[i, j], at[i + 1, j], at[i, j + 1]) for i, j in at if i + j < parts]
    down = [(at[i + 1, j], at[i + 1, j + 1], at[i, j + 1]) for i, j in at if i + j < parts - 1]
    return weights.astype(np.float64), np.array(up + down)


def _numbers(triangles: Index, count: int, weights: Array, parts: int) -> Index:
    """(m, k) vertex number of each lattice point of each triangle, shared along edges."""
    edges, of_triangle = edges_of(triangles)
    number = np.full((len(triangles), len(weights)), -1)
    for k in range(3):
        number[:, weights[:, k] == parts] = triangles[:, k, None]
        i, j = (k + 1) % 3, (k + 2) % 3
        on = np.flatnonzero((weights[:, k] == 0) & (weights[:, i] > 0) & (weights[:, j] > 0))
        forward = (triangles[:, i] < triangles[:, j])[:, None]
        # Counted from the end with the lower number, as the neighbour counts too.
        step = np.where(forward, weights[on, j], weights[on, i]).astype(np.int64) - 1
        number[:, on] = count + of_triangle[:, k, None] * (parts - 1) + step
    inner = np.flatnonzero((weights > 0).all(axis=1))
    start = count + len(edges) * (parts - 1)
    number[:, inner] = start + np.arange(len(triangles) * len(inner)).reshape(len(triangles), -1)
    return number


def _rim_points(triangles: Index, count: int, parts: int) -> tuple[Index, Index, Index]:
    """Free edges in their triangles' sense: starts, ends (e,), new vertices (e, parts - 1)."""
    edges, of_triangle = edges_of(triangles)
    free = np.bincount(of_triangle.ravel(), minlength=len(edges)) == 1
    triangle, corner = np.nonzero(free[of_triangle])
    start = triangles[triangle, (corner + 1) % 3]
    end = triangles[triangle, (corner + 2) % 3]
    steps = np.arange(parts - 1)
    step = np.where((start < end)[:, None], steps, steps[::-1])
    return start, end, count + of_triangle[triangle, corner][:, None] * (parts - 1) + step


def _rounded(vertices: Array, start: Index, end: Index, at: Array) -> Array:
    """(e, k, 3) points of a cubic through the rim's vertices at parts `at` (k,) of each edge."""
    chord = vertices[end] - vertices[start]
    length = np.linalg.norm(chord, axis=1, keepdims=True)
    unit = chord / length
    before, after = np.full(len(vertices), -1), np.full(len(vertices), -1)
    before[end], after[start] = np.arange(len(start)), np.arange(len(start))
    tangents = []
    for node in (start, end):
        into, out = before[node], after[node]
        # The direction of the circle through three points.
        mean = unit[into] * length[out] + unit[out] * length[into]
        mean /= np.maximum(np.linalg.norm(mean, axis=1, keepdims=True), 1e-300)
        smooth = np.einsum("ed,ed->e", unit[into], unit[out]) > _CORNER
        tangents.append(np.where(smooth[:, None], mean, unit) * length)
    t = at[None, :, None]
    here, there = vertices[start][:, None], vertices[end][:, None]
    leave, arrive = tangents[0][:, None], tangents[1][:, None]
    return np.asarray(
        (1.0 + 2.0 * t) * (1.0 - t) ** 2 * here
        + t * (1.0 - t) ** 2 * leave
        + t**2 * (3.0 - 2.0 * t) * there
        + t**2 * (t - 1.0) * arrive
    )
