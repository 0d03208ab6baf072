"""Curvature of open triangle meshes at their vertices.

A normal curvature is positive where the mesh bends away from its outside, as a ball does; the
trade's crown has both principal curvatures positive, a reverse one of each sign.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from buckwright.geometry.mesh import edges_of, vertex_normals

__all__ = ["Curvatures", "angle_defects", "mesh_curvatures"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

ROUND = 14
"""Vertices that a cubic, with its nine free coefficients, is fitted to at least."""


@dataclass(frozen=True, eq=False, slots=True)
class Curvatures:
    """Principal curvatures at n vertices, 1/mm, and their directions.

    Attributes: greater, lesser (n,); greater_way, lesser_way (n, 3) unit tangents, either sense;
    normals (n, 3).
    """

    greater: Array
    lesser: Array
    greater_way: Array
    lesser_way: Array
    normals: Array

    @property
    def gauss(self) -> Array:
        """(n,) product of the two, 1/mm^2."""
        return np.asarray(self.greater * self.lesser)

    @property
    def mean(self) -> Array:
        """(n,) half their sum, 1/mm."""
        return np.asarray(0.5 * (self.greater + self.lesser))


def angle_defects(vertices: Array, triangles: Index) -> Array:
    """(n,) turning left over at each vertex: 2 pi less its corners inside, pi less them at a rim.

    Inside, it is the integral of the Gauss curvature round the vertex, at a rim the turning of
    the rim seen from the mesh; their sum is 2 pi times the Euler number (Gauss and Bonnet), to
    rounding. A vertex without a triangle has none.
    """
    total = np.zeros(len(vertices))
    for k in range(3):
        here = vertices[triangles[:, k]]
        u = vertices[triangles[:, (k + 1) % 3]] - here
        v = vertices[triangles[:, (k + 2) % 3]] - here
        angle = np.arctan2(np.linalg.norm(np.cross(u, v), axis=1), np.einsum("ij,ij->i", u, v))
        total += np.bincount(triangles[:, k], angle, minlength=len(vertices))
    edges, of_triangle = edges_of(triangles)
    once = np.bincount(of_triangle.ravel(), minlength=len(edges)) == 1
    whole = np.zeros(len(vertices))
    whole[triangles.ravel()] = 2.0 * np.pi
    whole[edges[once].ravel()] = np.pi
    return np.asarray(whole - total)


def mesh_curvatures(vertices: Array, triangles: Index) -> Curvatures:
    """Principal curvatures, up to the rim, from the cubic that fits the vertices round each.

    Every vertex must belong to a triangle. Exact for quadrics seen along their normal, otherwise
    of second order in the edge length; half as good at a rim. Reference: Cazals and Pouget,
    'Estimating differential quantities using polynomial fitting of osculating jets', CAGD 22
    (2005), doi:10.1016/j.cagd.2004.09.004.
    """
    near, real = _round(triangles, len(vertices))
    up = vertex_normals(vertices, triangles)
    for _ in range(2):
        # The first fit only sets the normal upright; the second reads the bends.
        east, north = _tangents(up)
        slopes, form = _fitted(vertices, near, real, (east, north, up))
        normal = up - slopes[:, :1] * east - slopes[:, 1:] * north
        up, before = normal / np.linalg.norm(normal, axis=1, keepdims=True), up
    first, second = _forms(slopes, form)
    inverse = np.linalg.inv(_root(first))
    bends, ways = np.linalg.eigh(-inverse @ second @ inverse)
    flat = inverse @ ways
    rise = np.stack([east, north], axis=1)
    tangents = np.einsum("nia,nid->nad", flat, rise)
    tangents += np.einsum("nia,ni->na", flat, slopes)[:, :, None] * before[:, None, :]
    return Curvatures(bends[:, 1], bends[:, 0], tangents[:, 1], tangents[:, 0], up)


def _round(triangles: Index, count: int) -> tuple[Index, NDArray[np.bool_]]:
    """(n, w) vertices within two edges of each, or more where those are few; and which count."""
    edges, _ = edges_of(triangles)
    both = np.vstack([edges, edges[:, ::-1]])
    ones = np.ones(len(both))
    one = sparse.csr_matrix((ones, (both[:, 0], both[:, 1])), shape=(count, count))
    wide = (one + one @ one).tocsr()
    for _ in range(2):
        few = np.diff(wide.indptr) < ROUND + 1
        if not few.any():
            break
        wide = (wide + sparse.diags(few.astype(np.float64)) @ wide @ one).tocsr()
    wide.setdiag(0.0)
    wide.eliminate_zeros()
    sizes = np.diff(wide.indptr)
    real = np.arange(int(sizes.max()))[None, :] < sizes[:, None]
    near = np.zeros(real.shape, dtype=np.int64)
    near[real] = wide.indices
    return near, real


def _tangents(up: Array) -> tuple[Array, Array]:
    axis = np.eye(3)[np.argmin(np.abs(up), axis=1)]
    east = np.cross(axis, up)
    east /= np.linalg.norm(east, axis=1, keepdims=True)
    return east, np.cross(up, east)


def _fitted(
    vertices: Array, near: Index, real: NDArray[np.bool_], axes: tuple[Array, Array, Array]
) -> tuple[Array, Array]:
    """(n, 2) slopes and (n, 3) second derivatives (xx, xy, yy) of heights along the third axis."""
    off = (vertices[near] - vertices[:, None, :]) * real[:, :, None]
    x, y, z = (np.einsum("nwd,nd->nw", off, axis) for axis in axes)
    size = np.sqrt((x * x + y * y).max(axis=1))[:, None]
    x, y, z = x / size, y / size, z / size
    weight = real * np.exp(-1.0 * (x * x + y * y))
    terms = np.stack([x, y, x * x, x * y, y * y, x**3, x * x * y, x * y * y, y**3], axis=2)
    weighed = terms * weight[:, :, None]
    square = np.einsum("nwi,nwj->nij", weighed, terms) + 1e-10 * np.eye(9)
    answer = np.linalg.solve(square, np.einsum("nwi,nw->ni", weighed, z)[:, :, None])[:, :, 0]
    return answer[:, :2], answer[:, 2:5] * np.array([2.0, 1.0, 2.0]) / size


def _forms(slopes: Array, second: Array) -> tuple[Array, Array]:
    """First and second fundamental forms (n, 2, 2) of a height field."""
    first = np.eye(2) + slopes[:, :, None] * slopes[:, None, :]
    matrix = np.stack([second[:, [0, 1]], second[:, [1, 2]]], axis=1)
    upright = np.sqrt(1.0 + (slopes**2).sum(axis=1))
    return first, matrix / upright[:, None, None]


def _root(first: Array) -> Array:
    size, axes = np.linalg.eigh(first)
    return np.asarray(np.einsum("nij,nj,nkj->nik", axes, np.sqrt(size), axes))
