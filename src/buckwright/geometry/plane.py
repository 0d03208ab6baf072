"""The plane nearest to points in space, and views on planes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Plane", "fit_plane", "project"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Plane:
    """A plane with its own right-handed axes.

    Attributes: origin (3,); axes (3, 3), rows are u and v in the plane and the normal.
    """

    origin: Array
    axes: Array


def fit_plane(points: Array) -> Plane:
    """The plane through the centre of the points (n, 3) with the least sum of squared distances.

    u runs along the greatest spread and keeps the sense from the first half of the points to
    the second; the normal's largest component is positive. Straight or coincident points get
    one of the planes they lie in. Raises ValueError for fewer than two points.
    """
    if len(points) < 2:
        message = "a plane needs two points at least"
        raise ValueError(message)
    origin = points.mean(axis=0)
    # All three axes, but never the (n, n) matrix of many points.
    _, _, axes = np.linalg.svd(points - origin, full_matrices=len(points) < 3)
    half = len(points) // 2
    u, normal = axes[0], axes[2]
    if (points[-half:].mean(axis=0) - points[:half].mean(axis=0)) @ u < 0.0:
        u = -u
    if normal[np.argmax(np.abs(normal))] < 0.0:
        normal = -normal
    return Plane(origin, np.stack([u, np.cross(normal, u), normal]))


def project(points: Array, plane: Plane) -> tuple[Array, Array]:
    """(n, 2) coordinates along u and v, and (n,) heights along the normal."""
    local = (points - plane.origin) @ plane.axes.T
    return local[:, :2], local[:, 2]
