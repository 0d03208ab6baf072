"""Triangle meshes: (n, 3) vertices and (m, 3) corner indices, counter-clockwise seen from outside.

The mesh may be open, and may be given in the plane ((n, 2) vertices) where a function says so.
"""

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.spatial import cKDTree

from buckwright.geometry.box_tree import BoxTree

__all__ = [
    "MeshLocator",
    "boundary_loops",
    "cotangent_laplacian",
    "edges_of",
    "level_lines",
    "section_mesh",
    "triangle_areas",
    "triangle_normals",
    "vertex_areas",
    "vertex_normals",
]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def _crosses(vertices: Array, triangles: Index) -> Array:
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    return np.asarray(np.cross(b - a, c - a), dtype=np.float64)


def triangle_areas(vertices: Array, triangles: Index) -> Array:
    """(m,) areas; of a plane mesh ((n, 2) vertices) signed, counter-clockwise positive."""
    if vertices.shape[1] == 2:
        a, b, c = (vertices[triangles[:, k]] for k in range(3))
        u, v = b - a, c - a
        return np.asarray(0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]))
    return np.asarray(0.5 * np.linalg.norm(_crosses(vertices, triangles), axis=1))


def triangle_normals(vertices: Array, triangles: Index) -> Array:
    """(m, 3) unit normals, outward; zero for a triangle without area."""
    cross = _crosses(vertices, triangles)
    length = np.linalg.norm(cross, axis=1, keepdims=True)
    return np.asarray(cross / np.where(length > 0.0, length, 1.0))


def vertex_normals(vertices: Array, triangles: Index) -> Array:
    """(n, 3) unit normals: the mean of the triangles round each, weighed by corner angle."""
    normals = triangle_normals(vertices, triangles)
    total = np.zeros_like(vertices)
    for k in range(3):
        here = vertices[triangles[:, k]]
        u = vertices[triangles[:, (k + 1) % 3]] - here
        v = vertices[triangles[:, (k + 2) % 3]] - here
        angle = np.arctan2(np.linalg.norm(np.cross(u, v), axis=1), np.einsum("ij,ij->i", u, v))
        np.add.at(total, triangles[:, k], normals * angle[:, None])
    length = np.linalg.norm(total, axis=1, keepdims=True)
    return np.asarray(total / np.where(length > 0.0, length, 1.0))


def vertex_areas(vertices: Array, triangles: Index) -> Array:
    """(n,) a third of the area of the triangles round each vertex."""
    areas = np.abs(triangle_areas(vertices, triangles)) / 3.0
    total = np.bincount(triangles.ravel(), np.repeat(areas, 3), minlength=len(vertices))
    return np.asarray(total, dtype=np.float64)


def cotangent_laplacian(vertices: Array, triangles: Index) -> sparse.csr_matrix:
    """(n, n) symmetric, positive semidefinite stiffness matrix L: u @ L @ u = integral |grad u|^2.

    Works for plane and spatial meshes. Reference: Pinkall and Polthier, 'Computing discrete
    minimal surfaces', Experimental Mathematics 2 (1993), doi:10.1080/10586458.1993.10504266.
    """
    rows, columns, values = [], [], []
    for k in range(3):
        i, j, apex = triangles[:, (k + 1) % 3], triangles[:, (k + 2) % 3], triangles[:, k]
        u, v = vertices[i] - vertices[apex], vertices[j] - vertices[apex]
        dot = np.einsum("ij,ij->i", u, v)
        square = np.einsum("ij,ij->i", u, u) * np.einsum("ij,ij->i", v, v) - dot * dot
        half = 0.5 * dot / np.sqrt(np.maximum(square, 1e-300))
        rows += [i, j, i, j]
        columns += [j, i, i, j]
        values += [-half, -half, half, half]
    count = len(vertices)
    return sparse.csr_matrix(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))),
        shape=(count, count),
    )


def edges_of(triangles: Index) -> tuple[Index, Index]:
    """Undirected edges (k, 2), lower index first, and (m, 3) the edge opposite each corner."""
    sides = np.vstack([triangles[:, [1, 2]], triangles[:, [2, 0]], triangles[:, [0, 1]]])
    span = int(triangles.max()) + 1 if len(triangles) else 1
    # One number for each pair sorts ten times faster than pairs do.
    numbers, inverse = np.unique(sides.min(axis=1) * span + sides.max(axis=1), return_inverse=True)
    edges = np.column_stack([numbers // span, numbers % span])
    return edges.astype(np.int64), inverse.reshape(3, -1).T.astype(np.int64)


def boundary_loops(triangles: Index) -> tuple[Index, ...]:
    """Closed loops of boundary vertices, in the sense of the triangles (outside on the left).

    Longest (by count) first. Raises ValueError where a boundary touches itself, or triangles next
    to each other are not turned alike.
    """
    edges, of_triangle = edges_of(triangles)
    once = np.bincount(of_triangle.ravel(), minlength=len(edges)) == 1
    opposite = [triangles[:, [1, 2]], triangles[:, [2, 0]], triangles[:, [0, 1]]]
    rim = np.vstack([side[once[of_triangle[:, k]]] for k, side in enumerate(opposite)])
    following = dict(rim.tolist())
    if len(following) != len(rim):
        message = "the boundary of the mesh touches itself, or triangles are not turned alike"
        raise ValueError(message)
    loops = []
    while following:
        first, here = following.popitem()
        loop = [first]
        while here != first:
            loop.append(here)
            here = following.pop(here)
        loops.append(np.array(loop, dtype=np.int64))
    return tuple(sorted(loops, key=len, reverse=True))


def _linked(segments: list[tuple[int, int]]) -> list[tuple[list[int], bool]]:
    neighbours: dict[int, list[int]] = {}
    for a, b in segments:
        neighbours.setdefault(a, []).append(b)
        neighbours.setdefault(b, []).append(a)
    chains = []
    ends = [node for node, near in neighbours.items() if len(near) == 1]
    for start in [*ends, *neighbours]:
        if not neighbours.get(start):
            continue
        chain = [start]
        while neighbours[chain[-1]]:
            following = neighbours[chain[-1]].pop()
            neighbours[following].remove(chain[-1])
            chain.append(following)
        closed = len(chain) > 2 and chain[0] == chain[-1]
        chains.append((chain[:-1] if closed else chain, closed))
    return chains


def level_lines(triangles: Index, heights: Array) -> tuple[tuple[Index, Array, bool], ...]:
    """Where `heights` (n,) at the vertices, linear on each triangle, are nothing.

    Returns for each chain the ends (k, 2) of the edges that it crosses, the share (k,) of each
    edge that lies before the crossing, and whether it is closed. A height of exactly nothing
    counts as above.
    """
    above = heights >= 0.0
    edges, of_triangle = edges_of(triangles)
    low, high = edges[:, 0], edges[:, 1]
    cut = above[low] != above[high]
    part = np.zeros(len(edges))
    part[cut] = heights[low[cut]] / (heights[low[cut]] - heights[high[cut]])
    crossed = cut[of_triangle]
    pairs = of_triangle[crossed.sum(axis=1) == 2][crossed[crossed.sum(axis=1) == 2]].reshape(-1, 2)
    chains = _linked([(int(a), int(b)) for a, b in pairs])
    return tuple((edges[chain], part[chain], closed) for chain, closed in chains)


def _between(vertices: Array, ends: Index, part: Array) -> Array:
    low, high = vertices[ends[:, 0]], vertices[ends[:, 1]]
    return np.asarray(low + part[:, None] * (high - low))


def section_mesh(
    vertices: Array, triangles: Index, *, origin: Array, normal: Array
) -> tuple[tuple[Array, bool], ...]:
    """Where a plane cuts the mesh: polylines (k, 3) and whether each is closed, longest first.

    `origin` (3,) lies on the plane, `normal` (3,) need not be a unit vector. A vertex exactly on
    the plane counts as lying above it; where the plane only touches the mesh there is no
    polyline, and no point is repeated. Exact for the mesh's flat triangles.
    """
    height = (vertices - origin) @ (np.asarray(normal) / np.linalg.norm(normal))
    chains = level_lines(triangles, height)
    same = 1e-12 * float(np.abs(vertices).max()) if len(vertices) else 0.0
    found = [
        (_apart(_between(vertices, ends, part), same, closed=closed), closed)
        for ends, part, closed in chains
    ]
    found = [(line, closed) for line, closed in found if len(line) > (2 if closed else 1)]
    return tuple(
        sorted(found, key=lambda f: -float(np.linalg.norm(np.diff(f[0], axis=0), axis=1).sum()))
    )


def _apart(points: Array, same: float, *, closed: bool) -> Array:
    """Points without those that repeat the one before."""
    before = np.roll(points, 1, axis=0)
    moved = np.abs(points - before).max(axis=1) > same
    if not closed:
        moved[0] = True
    return np.asarray(points[moved])


def _closest_on_triangles(points: Array, corners: Array) -> tuple[Array, Array]:
    """Closest points (k, 3) and barycentric weights (k, 3) of triangles (k, 3, 3) to points."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    u, v, w = b - a, c - a, points - a
    uu, uv, vv = (u * u).sum(1), (u * v).sum(1), (v * v).sum(1)
    uw, vw = (u * w).sum(1), (v * w).sum(1)
    det = np.maximum(uu * vv - uv * uv, 1e-300)
    s, t = (vv * uw - uv * vw) / det, (uu * vw - uv * uw) / det
    inside = (s >= 0.0) & (t >= 0.0) & (s + t <= 1.0)
    weights = np.column_stack([1.0 - s - t, s, t])
    best = np.where(inside, 0.0, np.inf)
    for k in range(3):
        i, j = k, (k + 1) % 3
        side = corners[:, j] - corners[:, i]
        along = ((points - corners[:, i]) * side).sum(1) / np.maximum((side * side).sum(1), 1e-300)
        along = np.clip(along, 0.0, 1.0)
        gap = ((points - corners[:, i] - along[:, None] * side) ** 2).sum(1)
        nearer = ~inside & (gap < best)
        best = np.where(nearer, gap, best)
        weights[nearer] = 0.0
        weights[nearer, i], weights[nearer, j] = 1.0 - along[nearer], along[nearer]
    return np.einsum("ki,kid->kd", weights, corners), weights


class MeshLocator:
    """Finds closest points on one mesh; build once, ask often.

    `normals` are the smooth vertex normals, interpolated at the closest point for the sign.
    """

    def __init__(self, vertices: Array, triangles: Index) -> None:
        self.vertices, self.triangles = vertices, triangles
        self.normals = vertex_normals(vertices, triangles)
        self._corners = vertices[triangles]
        centres = self._corners.mean(axis=1)
        self._tree = cKDTree(centres)
        self._boxes = BoxTree(self._corners)

    def closest(self, points: Array) -> tuple[Array, Array, Index, Array]:
        """Signed distance (k,), closest point (k, 3), its triangle (k,), its weights (k, 3).

        The distance is positive outside (on the side of the outward normal). Exact: all triangles
        are looked at whose box is as near as a triangle that is known.
        """
        if not len(points):
            none = np.zeros((0, 3))
            return np.zeros(0), none, np.zeros(0, dtype=np.int64), none
        _, near = self._tree.query(points)
        found, weights = _closest_on_triangles(points, self._corners[near])
        gap = np.linalg.norm(found - points, axis=1)
        owner, candidates = self._boxes.within(points, gap)
        found, weights, triangle = self._best(points, owner, candidates)
        outward = self.normal_at(triangle, weights)
        offset = points - found
        sign = np.where(np.einsum("ij,ij->i", offset, outward) < 0.0, -1.0, 1.0)
        return sign * np.linalg.norm(offset, axis=1), found, triangle, weights

    def normal_at(self, triangle: Index, weights: Array) -> Array:
        """(k, 3) unit normals interpolated inside triangles."""
        blend = np.einsum("ki,kid->kd", weights, self.normals[self.triangles[triangle]])
        return np.asarray(blend / np.linalg.norm(blend, axis=1, keepdims=True))

    def _best(self, points: Array, owner: Index, candidates: Index) -> tuple[Array, Array, Index]:
        found, weights = _closest_on_triangles(points[owner], self._corners[candidates])
        gap = np.linalg.norm(found - points[owner], axis=1)
        least = np.minimum.reduceat(gap, np.searchsorted(owner, np.arange(len(points))))
        hits = np.flatnonzero(gap == least[owner])
        first = hits[np.unique(owner[hits], return_index=True)[1]]
        return found[first], weights[first], candidates[first]
