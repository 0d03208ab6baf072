"""The surface behind a mesh of a smooth sheet, to the third order: cubics blended.

Where a surface is fair, a cubic in the tangent plane of each vertex through the vertices round it
follows it to the fourth power of the edge length: triangles of 30 mm on a radius of 100 mm to
about a hundredth of a millimetre.
"""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.curved_mesh import quadric_normals, vertices_near

__all__ = ["CubicMesh"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

DAMPED = 1e-5
"""Where vertices lie in few rows some cubic is hardly seen: damped, it does not count too much."""
BLOCK = 20_000
"""Vertices that are fitted, and places that are asked for, at a time: memory stays small."""


class CubicMesh:
    """Cubic heights over the tangent plane of each vertex of a mesh.

    Build once, ask often. Triangles on two sides of a crease must not share vertices.
    """

    def __init__(self, vertices: Array, triangles: Index) -> None:
        self.vertices, self.triangles = vertices, triangles
        up = quadric_normals(vertices, triangles)
        axis = np.eye(3)[np.argmin(np.abs(up), axis=1)]
        east = np.cross(axis, up)
        east /= np.linalg.norm(east, axis=1, keepdims=True)
        self.frames = np.stack([east, np.cross(up, east), up], axis=1)
        near, real = vertices_near(triangles, len(vertices))
        self.cubics = np.empty((len(vertices), 9))
        for start in range(0, len(vertices), BLOCK):
            some = slice(start, start + BLOCK)
            self.cubics[some] = self._fitted(some, near[some], real[some])

    def _fitted(self, some: slice, near: Index, real: NDArray[np.bool_]) -> Array:
        """(k, 9) coefficients of x, y, x^2, xy, y^2, x^3, x^2 y, x y^2, y^3, in mm."""
        off = self.vertices[near] - self.vertices[some][:, None]
        x, y, z = np.moveaxis(np.einsum("nwd,ned->nwe", off, self.frames[some]), 2, 0)
        distance = np.hypot(x, y)
        size = np.max(distance * real, axis=1)[:, None]
        count = real * np.exp(-1.5 * (distance / size) ** 2)
        terms = _terms(x / size, y / size)
        weighed = terms * count[:, :, None]
        square = np.einsum("nwi,nwj->nij", weighed, terms)
        # These shares damp a cubic alike however the axes are turned.
        square += np.diag(5 * [1e-12] + [DAMPED, DAMPED / 3.0, DAMPED / 3.0, DAMPED])
        found = np.linalg.solve(square, np.einsum("nwi,nw->ni", weighed, z)[:, :, None])[:, :, 0]
        return np.asarray(found / size ** np.array([1, 1, 2, 2, 2, 3, 3, 3, 3]))

    def at(self, triangle: Index, weights: Array) -> Array:
        """(k, 3) points of the surface over weights (k, 3) in triangles (k,)."""
        flat = np.einsum("ki,kid->kd", weights, self.vertices[self.triangles[triangle]])
        return self.lift(triangle, weights, flat)

    def lift(self, triangle: Index, weights: Array, points: Array) -> Array:
        """(k, 3) points moved along the normals onto the surface; near which weights is known."""
        found = np.empty((len(points), 3))
        for start in range(0, len(points), BLOCK):
            some = slice(start, start + BLOCK)
            share = weights[some] ** 2
            share = share / share.sum(axis=1, keepdims=True)
            corners = self.triangles[triangle[some]]
            found[some] = sum(
                share[:, k, None] * self._over(corners[:, k], points[some]) for k in range(3)
            )
        return found

    def _over(self, vertex: Index, points: Array) -> Array:
        """Points (k, 3) moved along the normal of a vertex (k,) onto its cubic."""
        frame = self.frames[vertex]
        x, y, z = np.einsum("ked,kd->ek", frame, points - self.vertices[vertex])
        height = np.einsum("ki,ki->k", _terms(x, y), self.cubics[vertex])
        return np.asarray(points + (height - z)[:, None] * frame[:, 2])


def _terms(x: Array, y: Array) -> Array:
    xx, xy, yy = x * x, x * y, y * y
    return np.stack([x, y, xx, xy, yy, xx * x, xx * y, x * yy, yy * y], axis=-1)
