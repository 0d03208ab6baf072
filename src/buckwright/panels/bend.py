"""How tightly a panel is bent."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.curved_mesh import quadric_normals

__all__ = ["least_radius"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_FLAT = 1e6
"""mm, the radius written where the panel is flat."""
_ROUNDS = 3
"""Rounds of averaging: a vertex speaks for the metal three triangles about it."""


def least_radius(vertices: Array, triangles: Index) -> Array:
    """(n,) least principal radius at each vertex, mm, a million where it is flat.

    On each triangle the curvature is how the smooth normals turn along its sides; a vertex has
    the mean of its triangles. Rusinkiewicz, 'Estimating curvatures and their derivatives on
    triangle meshes', 3DPVT 2004, doi:10.1109/TDPVT.2004.1335277.
    """
    normals = quadric_normals(vertices, triangles)
    corners, turned = vertices[triangles], normals[triangles]
    sides = np.roll(corners, -1, axis=1) - corners
    turns = np.roll(turned, -1, axis=1) - turned
    east = sides[:, 0] / np.linalg.norm(sides[:, 0], axis=1, keepdims=True)
    up = np.cross(sides[:, 0], sides[:, 1])
    area = np.linalg.norm(up, axis=1)
    north = np.cross(up / area[:, None], east)
    frame = np.stack([east, north], axis=1)
    along, turn = sides @ np.swapaxes(frame, 1, 2), turns @ np.swapaxes(frame, 1, 2)
    # Symmetric 2 x 2 with along @ curvature = turn, by least squares over the three sides.
    x, y = along[:, :, 0], along[:, :, 1]
    nought = np.zeros_like(x)
    rows = np.concatenate([np.stack([x, y, nought], 2), np.stack([nought, x, y], 2)], axis=1)
    right = np.concatenate([turn[:, :, 0], turn[:, :, 1]], axis=1)
    square = np.swapaxes(rows, 1, 2) @ rows
    a, b, c = np.linalg.solve(square, np.swapaxes(rows, 1, 2) @ right[:, :, None])[:, :, 0].T
    tensor = np.stack([np.stack([a, b], 1), np.stack([b, c], 1)], axis=1)
    in_space = np.swapaxes(frame, 1, 2) @ tensor @ frame
    for _ in range(_ROUNDS):
        at_vertex = _vertex_mean(in_space, area, triangles, len(vertices))
        in_space = at_vertex[triangles].mean(axis=1)
    greatest = np.abs(np.linalg.eigvalsh(at_vertex)).max(axis=1)
    return np.asarray(1.0 / np.maximum(greatest, 1.0 / _FLAT))


def _vertex_mean(values: Array, area: Array, triangles: Index, count: int) -> Array:
    """(n, 3, 3) means at the vertices of the values (m, 3, 3) of triangles."""
    total = np.zeros((count, 3, 3))
    for k in range(3):
        np.add.at(total, triangles[:, k], area[:, None, None] * values)
    weight = np.bincount(triangles.ravel(), np.repeat(area, 3), minlength=count)
    return np.asarray(total / weight[:, None, None])
