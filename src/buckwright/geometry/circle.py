"""The circle nearest to points in space."""

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from buckwright.geometry.plane import fit_plane

__all__ = ["fit_circle"]

Array = NDArray[np.float64]


def fit_circle(points: Array) -> tuple[Array, Array, float, float]:
    """Circle of least squares through (n, 3) points: centre, unit normal, radius, rms distance.

    The plane is fitted first, then the circle in it by the distances to it (geometric fit). The
    rms holds both distances, off the plane and off the circle.
    Raises ValueError for fewer than three points, or for points on a straight line.
    """
    if len(points) < 3:
        message = "a circle needs three points at least"
        raise ValueError(message)
    plane = fit_plane(points)
    local = (points - plane.origin) @ plane.axes.T
    flat = local[:, :2]
    if np.ptp(flat[:, 1]) <= 1e-9 * np.ptp(flat[:, 0]):
        message = "points on a straight line lie on no circle"
        raise ValueError(message)
    # |p|^2 = 2 c.p + (r^2 - |c|^2) is linear in c: a start for the distances.
    start, *_ = np.linalg.lstsq(
        np.column_stack([2.0 * flat, np.ones(len(flat))]), (flat**2).sum(axis=1), rcond=None
    )
    radius = float(np.sqrt(max(start[2] + start[0] ** 2 + start[1] ** 2, 1e-30)))

    def distances(unknown: Array) -> Array:
        return np.asarray(np.hypot(*(flat - unknown[:2]).T) - unknown[2])

    found = least_squares(distances, np.array([start[0], start[1], radius]), x_scale=radius)
    square = np.mean(found.fun**2) + np.mean(local[:, 2] ** 2)
    centre = plane.origin + found.x[:2] @ plane.axes[:2]
    return centre, plane.axes[2], float(found.x[2]), float(np.sqrt(square))
