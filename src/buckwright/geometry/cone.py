"""The cone nearest to points: the other surface, beside plane and cylinder, that a shop rolls."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

__all__ = ["Cone", "fit_cone"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Cone:
    """One half of a circular cone: apex (3,), unit axis (3,) away from it, half angle in rad."""

    apex: Array
    axis: Array
    half_angle: float

    def off(self, points: Array) -> Array:
        """(n,) signed distances from the half that opens along the axis, positive outside."""
        along, out = self._upright(points)
        s, c = np.sin(self.half_angle), np.cos(self.half_angle)
        behind = along * c + out * s < 0.0
        apart = np.hypot(along, out)
        return np.asarray(np.where(behind, apart, out * c - along * s))

    def foot(self, points: Array) -> Array:
        """(n, 3) the nearest points of the cone."""
        along, out = self._upright(points)
        s, c = np.sin(self.half_angle), np.cos(self.half_angle)
        down = np.maximum(along * c + out * s, 0.0)
        across = points - self.apex - along[:, None] * self.axis
        across = across / np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-300)
        return np.asarray(self.apex + down[:, None] * (c * self.axis + s * across))

    def radius(self, points: Array) -> Array:
        """(n,) radius of curvature across the rulings at the points' feet."""
        down = np.linalg.norm(self.foot(points) - self.apex, axis=1)
        return np.asarray(down * np.tan(self.half_angle))

    def _upright(self, points: Array) -> tuple[Array, Array]:
        away = points - self.apex
        along = away @ self.axis
        return along, np.linalg.norm(away - along[:, None] * self.axis, axis=1)


def fit_cone(points: Array, normals: Array) -> Cone:
    """The cone of least squared distances to points (n, 3) with rough unit normals (n, 3).

    The start is exact on a cone: normals make one angle with its axis, and every tangent plane
    passes through its apex. Raises ValueError for fewer than seven points, and where no cone is
    near (all normals alike, or square to one axis).
    """
    if len(points) < 7:
        message = "a cone needs seven points at least"
        raise ValueError(message)
    middle, size = points.mean(axis=0), float(np.ptp(points, axis=0).max())
    local = (points - middle) / size
    spread = normals - normals.mean(axis=0)
    axis = np.linalg.svd(spread)[2][2]
    apex = np.linalg.lstsq(normals, np.einsum("ij,ij->i", normals, local), rcond=1e-10)[0]
    if (local - apex).mean(axis=0) @ axis < 0.0:
        axis = -axis
    half = float(np.arcsin(np.clip(np.abs(normals @ axis).mean(), 0.0, 1.0)))
    if not np.linalg.norm(apex) < 1e3 or not 1e-3 < half < 0.5 * np.pi - 1e-3:
        message = "no cone is near these points"
        raise ValueError(message)
    frame = np.linalg.svd(axis[None])[2]
    frame = np.vstack([frame[1:], axis])

    def cone(p: Array) -> Cone:
        lean = p[0] * frame[0] + p[1] * frame[1] + frame[2]
        return Cone(apex + p[2:5], lean / np.linalg.norm(lean), half + p[5])

    fit = least_squares(
        lambda p: cone(p).off(local), np.zeros(6), xtol=1e-15, ftol=1e-15, gtol=1e-15, max_nfev=100
    )
    best = cone(fit.x)
    return Cone(middle + size * best.apex, best.axis, best.half_angle)
