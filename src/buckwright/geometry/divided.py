"""Triangles divided where vertices have been put into their edges."""

import numpy as np
from numpy.typing import NDArray

__all__ = ["divided_triangles"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def divided_triangles(points: Array, triangles: Index, new: Index) -> Index:
    """(k, 3) triangles divided at new vertices, turned as they were.

    Parameters: points (n, 3), new ones included; triangles (m, 3); new (m, 3) the new vertex
    opposite each corner, -1 where there is none. Raises ValueError where all three sides of a
    triangle are divided.
    """
    count = (new >= 0).sum(axis=1)
    if np.any(count == 3):
        message = "a triangle is divided on all three sides"
        raise ValueError(message)
    parts = [triangles[count == 0]]
    for k in range(3):
        i, j = (k + 1) % 3, (k + 2) % 3
        one = (count == 1) & (new[:, k] >= 0)
        apex, left, right, middle = (
            triangles[one, k],
            triangles[one, i],
            triangles[one, j],
            new[one, k],
        )
        parts += [np.column_stack([apex, left, middle]), np.column_stack([apex, middle, right])]
        two = (count == 2) & (new[:, k] < 0)
        apex, left, right = triangles[two, k], triangles[two, i], triangles[two, j]
        on_left, on_right = new[two, j], new[two, i]
        parts.append(np.column_stack([apex, on_left, on_right]))
        # The four-sided rest is divided along its shorter diagonal.
        down = np.linalg.norm(points[on_left] - points[right], axis=1)
        up = np.linalg.norm(points[on_right] - points[left], axis=1)
        short = (down <= up)[:, None]
        first = [
            np.column_stack([on_left, left, right]),
            np.column_stack([on_left, right, on_right]),
        ]
        second = [
            np.column_stack([on_left, left, on_right]),
            np.column_stack([on_right, left, right]),
        ]
        parts += [np.where(short, f, s) for f, s in zip(first, second, strict=True)]
    return np.vstack(parts).astype(np.int64)
