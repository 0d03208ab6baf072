"""Where straight rays meet a triangle mesh."""

import numpy as np
from numpy.typing import NDArray

__all__ = ["first_hit"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def first_hit(vertices: Array, triangles: Index, origin: Array, direction: Array) -> float | None:
    """How far along the unit `direction` (3,) from `origin` (3,) the first triangle is met.

    Either face counts, and edges belong to their triangles. None where nothing is met.
    Reference: Moller and Trumbore, J. Graphics Tools 2 (1997), doi:10.1080/10867651.1997.10487468.
    """
    a = vertices[triangles[:, 0]]
    u, v = vertices[triangles[:, 1]] - a, vertices[triangles[:, 2]] - a
    across = np.cross(direction, v)
    determinant = np.einsum("ij,ij->i", u, across)
    facing = np.abs(determinant) > 1e-12 * np.einsum("ij,ij->i", u, u)
    scale = 1.0 / np.where(facing, determinant, 1.0)
    off = origin - a
    first = np.einsum("ij,ij->i", off, across) * scale
    turned = np.cross(off, u)
    second = turned @ direction * scale
    along = np.einsum("ij,ij->i", v, turned) * scale
    slack = 1e-9
    met = facing & (first >= -slack) & (second >= -slack) & (first + second <= 1.0 + slack)
    met &= along >= 0.0
    return float(along[met].min()) if met.any() else None
