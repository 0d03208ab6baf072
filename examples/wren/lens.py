"""Phone-like cameras: where they stand, and the exact way from pixel to ray and back.

Pixels have their centres at integers; a camera looks along its z, x to the right, y down.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

__all__ = ["SIZE", "Camera", "cameras", "distort", "undistort"]

Array = NDArray[np.float64]

SIZE = (4032, 3024)
FOCAL = 3050.0
DISTORTION = np.array([0.11, -0.28, 0.0006, -0.0004, 0.17])
"""k1, k2, p1, p2, k3."""
DRIFT_SEED = 19
FOCAL_DRIFT, CENTRE_DRIFT = 2e-5, 0.1
"""Greatest change from picture to picture, with focus and stabiliser switched off as the guide
asks: share of the focal length, and px."""


@dataclass(frozen=True)
class Camera:
    """One picture's camera: p_camera = rotation @ p_mat + translation."""

    name: str
    rotation: Array
    translation: Array
    focal: float
    principal: Array

    @property
    def centre(self) -> Array:
        """Where it stands, in the mat frame."""
        return -self.rotation.T @ self.translation

    def project(self, points: Array) -> Array:
        """Pixels (n, 2) of points (n, 3) of the mat frame."""
        local = points @ self.rotation.T + self.translation
        return self.focal * distort(local[:, :2] / local[:, 2:]) + self.principal

    def rays(self, px: Array) -> Array:
        """Unit directions (n, 3) in the mat frame through pixels (n, 2)."""
        flat = undistort((px - self.principal) / self.focal)
        local = np.column_stack([flat, np.ones(len(flat))])
        local /= np.linalg.norm(local, axis=1, keepdims=True)
        return local @ self.rotation


def distort(flat: Array) -> Array:
    """Where a lens puts the direction (x / z, y / z), (n, 2): Brown's polynomial model."""
    k1, k2, p1, p2, k3 = DISTORTION
    x, y = flat[:, 0], flat[:, 1]
    rr = x * x + y * y
    radial = 1.0 + rr * (k1 + rr * (k2 + rr * k3))
    return np.column_stack(
        [
            x * radial + 2.0 * p1 * x * y + p2 * (rr + 2.0 * x * x),
            y * radial + p1 * (rr + 2.0 * y * y) + 2.0 * p2 * x * y,
        ]
    )


def _slopes(flat: Array) -> tuple[Array, Array, Array]:
    """Entries xx, xy, yy of the (symmetric) derivative of `distort`."""
    k1, k2, p1, p2, k3 = DISTORTION
    x, y = flat[:, 0], flat[:, 1]
    rr = x * x + y * y
    radial = 1.0 + rr * (k1 + rr * (k2 + rr * k3))
    growth = 2.0 * (k1 + rr * (2.0 * k2 + 3.0 * rr * k3))
    return (
        radial + x * x * growth + 2.0 * p1 * y + 6.0 * p2 * x,
        x * y * growth + 2.0 * p1 * x + 2.0 * p2 * y,
        radial + y * y * growth + 6.0 * p1 * y + 2.0 * p2 * x,
    )


def undistort(bent: Array) -> Array:
    """The inverse of `distort` by Newton's method, to rounding error."""
    flat = bent.copy()
    for _ in range(6):
        error = distort(flat) - bent
        xx, xy, yy = _slopes(flat)
        det = xx * yy - xy * xy
        flat[:, 0] -= (yy * error[:, 0] - xy * error[:, 1]) / det
        flat[:, 1] -= (xx * error[:, 1] - xy * error[:, 0]) / det
    return flat


# Where the photographer stood: azimuth and height in degrees as seen from the model (0 behind
# it, 90 on its right), distance and aim in mm of the model's place, roll in degrees.
_STANDS = (
    (17.0, 13.0, 490.0, 0.0),
    (40.0, 20.0, 490.0, 0.0),
    (94.0, 20.0, 490.0, 0.0),
    (152.0, 10.0, 490.0, 0.0),
    (207.0, 10.0, 490.0, 0.0),
    (246.0, 21.0, 490.0, 0.0),
    (285.0, 20.0, 530.0, 90.0),
    (332.0, 16.0, 490.0, 0.0),
    (347.0, 12.0, 490.0, 0.0),
    (8.0, 47.0, 490.0, 0.0),
    (66.0, 47.0, 490.0, 0.0),
    (118.0, 49.0, 490.0, 0.0),
    (176.0, 48.0, 530.0, 90.0),
    (238.0, 47.0, 490.0, 0.0),
    (300.0, 46.0, 490.0, 0.0),
    (262.0, 84.0, 520.0, 0.0),
)


def cameras(place: Array) -> tuple[Camera, ...]:
    """The sixteen cameras, aimed near the middle of the model at `place` (3,) in the mat frame."""
    random = np.random.default_rng(DRIFT_SEED)
    found = []
    for number, (azimuth, height, distance, roll) in enumerate(_STANDS, start=1):
        wobble = random.uniform(-1.0, 1.0, 6)
        a, h = np.radians(azimuth + 2.0 * wobble[0]), np.radians(height)
        towards = np.array([np.cos(a) * np.cos(h), np.sin(a) * np.cos(h), np.sin(h)])
        aim = place + np.array([12.0, 10.0, 4.0]) * wobble[1:4]
        rotation = _looking(-towards, np.radians(roll + 3.0 * wobble[4]))
        centre = aim + (distance + 12.0 * wobble[5]) * towards
        drift = random.uniform(-1.0, 1.0, 3)
        middle = 0.5 * (np.array(SIZE) - 1.0) + np.array([6.5, -9.0])
        found.append(
            Camera(
                name=f"wren_{number:02d}.jpg",
                rotation=rotation,
                translation=-rotation @ centre,
                focal=FOCAL * (1.0 + FOCAL_DRIFT * drift[0]),
                principal=middle + CENTRE_DRIFT * drift[1:],
            )
        )
    return tuple(found)


def _looking(forward: Array, roll: float) -> Array:
    """Rotation, mat to camera, that looks along `forward`, turned by `roll` about that axis."""
    right = np.cross(forward, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    down = np.cross(forward, right)
    upright = np.array([right, down, forward])
    return Rotation.from_euler("z", roll).as_matrix() @ upright
