"""The grain of a skin: the way in which its shape changes least.

Nearly everywhere a body is bent more one way than the other, and its section is carried along
the less bent way. Where lines are far apart the skin is asked to vary less along that grain than
across it; a skin that is fair in all directions alike would cut the corners of a long field.
"""

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from buckwright.geometry.flat_start import factor_positive
from buckwright.geometry.mesh import (
    cotangent_laplacian,
    triangle_areas,
    vertex_areas,
    vertex_normals,
)

__all__ = ["MOST", "no_grain", "skin_grain"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

MOST = 4.0
"""Lengths across the grain count for at most this many times as much as lengths along it."""
SPREAD, FLAT = 0.1, 0.3
"""Of the region's size (root of its area): how far bends are averaged; a radius that is flat is
the size over this."""


def no_grain(count: int) -> Array:
    """(count, 2, 2) for a skin of which nothing is known."""
    return np.tile(np.eye(2), (count, 1, 1))


def skin_grain(chart: Array, triangles: Index, vertices: Array, *, most: float = MOST) -> Array:
    """(n, 2, 2) stretch of the chart at each vertex: symmetric, determinant 1.

    Its larger axis lies across the grain. The ratio of its axes is that of the mean curvatures
    the two ways in the neighbourhood, the root mean square being taken.
    """
    areas = np.abs(triangle_areas(chart, triangles))
    size = float(np.sqrt(areas.sum()))
    a, b, c = _second_forms(chart, triangles, vertices).T
    squares = np.stack([a * a + b * b, b * (a + c), b * b + c * c], axis=1)
    smooth = _averaged(chart, triangles, areas, squares, SPREAD * size)
    matrix = np.stack([smooth[:, [0, 1]], smooth[:, [1, 2]]], axis=1)
    square, axes = np.linalg.eigh(matrix)
    bend = np.sqrt(np.maximum(square, 0.0) + (FLAT / size) ** 2)
    ratio = np.minimum(bend[:, 1] / bend[:, 0], most)
    stretch = np.stack([ratio**-0.5, ratio**0.5], axis=1)
    return np.asarray(np.einsum("nij,nj,nkj->nik", axes, stretch, axes))


def _second_forms(chart: Array, triangles: Index, vertices: Array) -> Array:
    """(m, 3) the second fundamental form (uu, uv, vv) of each triangle, in the chart's axes."""
    normals = vertex_normals(vertices, triangles)
    rows, values = [], []
    for k in range(3):
        i, j = triangles[:, k], triangles[:, (k + 1) % 3]
        flat = chart[j] - chart[i]
        square = np.einsum("ij,ij->i", flat, flat)
        u, v = (flat / np.sqrt(square)[:, None]).T
        rows.append(np.stack([u * u, 2.0 * u * v, v * v], axis=1))
        turn = np.einsum("ij,ij->i", normals[j] - normals[i], vertices[j] - vertices[i])
        values.append(turn / square)
    right = np.stack(values, axis=1)[:, :, None]
    return np.asarray(np.linalg.solve(np.stack(rows, axis=1), right)[:, :, 0])


def _averaged(
    chart: Array, triangles: Index, areas: Array, values: Array, distance: float
) -> Array:
    """Values (m, k) of triangles, at vertices (n, k), averaged over about a distance."""
    count = len(chart)
    corner = triangles.ravel()
    right = np.column_stack(
        [np.bincount(corner, np.repeat(areas * v / 3.0, 3), count) for v in values.T]
    )
    matrix = sparse.diags(vertex_areas(chart, triangles))
    matrix = matrix + distance**2 * cotangent_laplacian(chart, triangles)
    return np.asarray(factor_positive(matrix).solve(right))
