"""The plane or the cylinder nearest to points, and laying it out flat without stretch.

A plane is the cylinder whose curvature is nothing, so one class serves both.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from buckwright.geometry.plane import fit_plane, project

__all__ = ["Cylinder", "fit_cylinder", "flat_cylinder", "lay_cylinder"]

Array = NDArray[np.float64]

STRAIGHT = 1e-12
"""Curvature in 1/mm below which a cylinder is laid out as a plane: the radius is over the moon."""


@dataclass(frozen=True, eq=False, slots=True)
class Cylinder:
    """A piece of a cylinder, seen from one point of its surface.

    Attributes: origin (3,) on the surface; axes (3, 3), rows: across (tangent, square to the
    cylinder's axis), along (the axis' direction), normal (right-handed, towards the axis where
    the curvature is positive); curvature, 1/radius, negative if the axis lies behind.
    """

    origin: Array
    axes: Array
    curvature: float

    def off(self, points: Array) -> Array:
        """(n,) signed distances, positive on the side of the normal."""
        local = (points - self.origin) @ self.axes.T
        return -_distance(local, self.curvature)

    def develop(self, points: Array) -> Array:
        """(n, 2) where the points' feet lie when the surface is laid flat: across, along.

        Lengths are kept exactly. Points beyond the axis come out on the other side.
        """
        local = (points - self.origin) @ self.axes.T
        k = self.curvature
        if abs(k) < STRAIGHT:
            return np.asarray(local[:, :2])
        across = np.arctan2(k * local[:, 0], 1.0 - k * local[:, 2]) / k
        return np.column_stack([across, local[:, 1]])

    def roll(self, flat: Array, depth: float = 0.0) -> Array:
        """(n, 3) places of (n, 2) points of the flat, `depth` off the surface along the normal."""
        k = self.curvature
        turn = k * flat[:, 0]
        if abs(k) < STRAIGHT:
            across, rise = flat[:, 0], np.zeros(len(flat))
        else:
            across, rise = np.sin(turn) / k, 2.0 * np.sin(0.5 * turn) ** 2 / k
        local = np.column_stack(
            [across - depth * np.sin(turn), flat[:, 1], rise + depth * np.cos(turn)]
        )
        return np.asarray(self.origin + local @ self.axes)

    def moved(self, by: float) -> "Cylinder":
        """The parallel surface, `by` along the normal; ValueError beyond the axis."""
        if self.curvature * by >= 1.0:
            message = "a parallel surface cannot lie beyond the axis"
            raise ValueError(message)
        return Cylinder(
            self.origin + by * self.axes[2], self.axes, self.curvature / (1.0 - self.curvature * by)
        )

    def turned_over(self) -> "Cylinder":
        """The same surface with its normal to the other side."""
        return Cylinder(self.origin, self.axes * np.array([[-1.0], [1.0], [-1.0]]), -self.curvature)


def flat_cylinder(points: Array) -> Cylinder:
    """The plane of least squares through points (n, 3)."""
    plane = fit_plane(points)
    return Cylinder(plane.origin, plane.axes, 0.0)


def fit_cylinder(points: Array) -> Cylinder:
    """The cylinder of least squared distances to points (n, 3) that turn through a half at most.

    Raises ValueError for fewer than five points.
    """
    if len(points) < 5:
        message = "a cylinder needs five points at least"
        raise ValueError(message)
    plane = fit_plane(points)
    flat, height = project(points, plane)
    size = float(np.abs(flat).max())
    starts = [_start(flat / size, height / size, turned) for turned in (0.0, 0.5 * np.pi)]
    local = np.column_stack([flat, height]) / size
    fits = [
        least_squares(lambda p: _distance(*_placed(local, p)), start, xtol=1e-15, ftol=1e-15,
                      gtol=1e-15, max_nfev=200)
        for start in starts
    ]  # fmt: skip
    best = min(fits, key=lambda fit: fit.cost)
    axes, shift, curvature = _frame(best.x)
    origin = plane.origin + size * (shift * axes[2]) @ plane.axes
    return Cylinder(origin, axes @ plane.axes, curvature / size)


def lay_cylinder(points: Array, *, along: Array, curvature: float) -> Cylinder:
    """The cylinder of given axis direction and curvature laid nearest to points (n, 3).

    Of the two sides on which its axis may lie that of the normal nearest to the plane's is
    taken: the surface is dished as seen along that normal for a positive curvature.
    """
    plane = flat_cylinder(points)
    along = np.asarray(along) / np.linalg.norm(along)
    across = np.cross(along, plane.axes[2])
    across /= np.linalg.norm(across)
    axes = np.array([across, along, np.cross(across, along)])
    local = (points - plane.origin) @ axes.T
    size = float(np.abs(local).max())

    def distances(unknown: Array) -> Array:
        turned, shift = _rolled(axes, float(unknown[0])), float(unknown[1]) * size
        off = (points - plane.origin) @ turned.T - np.array([0.0, 0.0, shift])
        return _distance(off, curvature) / size

    found = least_squares(distances, np.zeros(2), xtol=1e-15, ftol=1e-15, gtol=1e-15)
    turned = _rolled(axes, float(found.x[0]))
    return Cylinder(plane.origin + found.x[1] * size * turned[2], turned, curvature)


def _rolled(axes: Array, angle: float) -> Array:
    """Axes turned about the second of them."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([c * axes[0] + s * axes[2], axes[1], c * axes[2] - s * axes[0]])


def _start(flat: Array, height: Array, turned: float) -> Array:
    """From the quadric over the plane: the axis along its lesser bend (or across it)."""
    x, y = flat.T
    terms = np.column_stack([np.ones(len(x)), x, y, 0.5 * x * x, x * y, 0.5 * y * y])
    found, *_ = np.linalg.lstsq(terms, height, rcond=None)
    bends, ways = np.linalg.eigh(np.array([[found[3], found[4]], [found[4], found[5]]]))
    most = int(np.argmax(np.abs(bends)))
    across = ways[:, most]
    spin = float(np.arctan2(across[1], across[0])) + turned
    return np.array([spin, 0.0, 0.0, found[0], bends[most] if turned == 0.0 else bends[1 - most]])


def _frame(parameters: Array) -> tuple[Array, float, float]:
    """Axes (3, 3) across, along, normal; the shift along the normal; the curvature."""
    spin, pitch, roll, shift, curvature = parameters
    c, s = np.cos(spin), np.sin(spin)
    across = np.array([c, s, 0.0])
    along = np.array([-s * np.cos(pitch), c * np.cos(pitch), np.sin(pitch)])
    normal = np.cross(across, along)
    axes = np.array(
        [np.cos(roll) * across + np.sin(roll) * normal, along,
         np.cos(roll) * normal - np.sin(roll) * across]
    )  # fmt: skip
    return axes, float(shift), float(curvature)


def _placed(local: Array, parameters: Array) -> tuple[Array, float]:
    axes, shift, curvature = _frame(parameters)
    return local @ axes.T - np.array([0.0, 0.0, shift]), curvature


def _distance(local: Array, curvature: float) -> Array:
    """(n,) from the surface, positive away from the axis: stable down to no curvature at all."""
    square = local[:, 0] ** 2 + local[:, 2] ** 2
    f = 0.5 * curvature * square - local[:, 2]
    return np.asarray(2.0 * f / (1.0 + np.sqrt(np.maximum(1.0 + 2.0 * curvature * f, 0.0))))
