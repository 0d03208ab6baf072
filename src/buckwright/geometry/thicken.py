"""A skin given thickness: the same mesh set in along its normals, and walls round its edges."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.mesh import edges_of, triangle_normals

__all__ = ["folded_offsets", "mitred_normals", "thicken"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

BENT = 0.01
"""Share of the greatest eigenvalue below which the triangles round a vertex count as flat
(about 11 degrees to either side): within it the mean normal serves."""
LONGEST_MITRE = 4.0


def mitred_normals(vertices: Array, triangles: Index) -> Array:
    """(n, 3) by which a vertex moves so that every triangle round it moves by 1 along its normal.

    Exact where up to three planes meet, so a box stays a box; of least length where fewer do; no
    longer than 4, as at a knife edge. Zero for a vertex without triangles.
    """
    normals = triangle_normals(vertices, triangles)
    square, pull = np.zeros((len(vertices), 3, 3)), np.zeros((len(vertices), 3))
    for k in range(3):
        here = vertices[triangles[:, k]]
        u = vertices[triangles[:, (k + 1) % 3]] - here
        v = vertices[triangles[:, (k + 2) % 3]] - here
        angle = np.arctan2(np.linalg.norm(np.cross(u, v), axis=1), np.einsum("ij,ij->i", u, v))
        weighed = normals * angle[:, None]
        np.add.at(pull, triangles[:, k], weighed)
        np.add.at(square, triangles[:, k], weighed[:, :, None] * normals[:, None, :])
    values, axes = np.linalg.eigh(square)
    kept = values > BENT * np.maximum(values[:, 2:], 1e-300)
    along = np.einsum("nij,ni->nj", axes, pull)
    share = np.where(kept, along / np.where(kept, values, 1.0), 0.0)
    moves = np.einsum("nij,nj->ni", axes, share)
    length = np.linalg.norm(moves, axis=1, keepdims=True)
    return np.asarray(moves * np.minimum(1.0, LONGEST_MITRE / np.maximum(length, 1e-300)))


def folded_offsets(vertices: Array, triangles: Index, moved: Array) -> Index:
    """Triangles that turn over when the vertices move there: the offset is too far for the bend."""
    was, now = triangle_normals(vertices, triangles), triangle_normals(moved, triangles)
    return np.flatnonzero(np.einsum("ij,ij->i", was, now) <= 0.0)


def thicken(vertices: Array, triangles: Index, thickness: float) -> tuple[Array, Index]:
    """The closed mesh between a skin and the same skin set in by `thickness`.

    The given vertices come first, the inner ones after them. Walls stand along every free edge.
    Raises ValueError where more than two triangles meet at an edge, or thickness is not positive.
    """
    if not (np.isfinite(thickness) and thickness > 0.0):
        message = "a thickness must be more than nothing"
        raise ValueError(message)
    edges, of_triangle = edges_of(triangles)
    shared = np.bincount(of_triangle.ravel(), minlength=len(edges))
    if shared.max(initial=0) > 2:
        message = "more than two triangles meet at an edge"
        raise ValueError(message)
    count = len(vertices)
    inner = vertices - thickness * mitred_normals(vertices, triangles)
    sides = [triangles[:, [1, 2]], triangles[:, [2, 0]], triangles[:, [0, 1]]]
    rim = np.vstack([side[shared[of_triangle[:, k]] == 1] for k, side in enumerate(sides)])
    a, b = rim.T
    walls = np.vstack(
        [np.column_stack([a, a + count, b]), np.column_stack([b, a + count, b + count])]
    )
    return (
        np.vstack([vertices, inner]),
        np.vstack([triangles, triangles[:, ::-1] + count, walls]).astype(np.int64),
    )
