"""Cameras: from points in space to pixels and back, with exact derivatives.

A camera turns a point into its own frame (x right, y down, z forward), p' = R p + t, divides by
z', bends the result by Brown's lens model (k1, k2, p1, p2, k3: the order of OpenCV), and puts it
on the picture: px = focal * bent + principal. Pixels have their centres at integers and are
square. Every argument of a camera may be one for all points, or one for each.

Reference: D. C. Brown, 'Close-range camera calibration', Photogrammetric Engineering 37 (1971).
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

__all__ = [
    "Projection",
    "camera_centre",
    "distort",
    "distort_slopes",
    "project",
    "project_slopes",
    "rotation_matrix",
    "rotation_vector",
    "turn_slopes",
    "undistort",
]

Array = NDArray[np.float64]


class Projection(NamedTuple):
    """Pixels of n points and how they move with everything that they depend on."""

    px: Array
    """(n, 2)."""
    by_point: Array
    """(n, 2, 3)."""
    by_turn: Array
    """(n, 2, 3), by the rotation vector."""
    by_shift: Array
    """(n, 2, 3), by the translation."""
    by_focal: Array
    """(n, 2)."""
    by_lens: Array
    """(n, 2, 5)."""


def rotation_matrix(vector: Array) -> Array:
    """(..., 3, 3) rotations from Rodrigues vectors (..., 3): axis times angle in rad."""
    flat = Rotation.from_rotvec(np.array(vector, dtype=np.float64).reshape(-1, 3)).as_matrix()
    return np.asarray(flat.reshape((*np.shape(vector), 3)), dtype=np.float64)


def rotation_vector(matrix: Array) -> Array:
    """(..., 3) Rodrigues vectors of rotations (..., 3, 3): the inverse of `rotation_matrix`."""
    flat = Rotation.from_matrix(np.array(matrix, dtype=np.float64).reshape(-1, 3, 3)).as_rotvec()
    return np.asarray(flat.reshape(np.shape(matrix)[:-1]), dtype=np.float64)


def camera_centre(rotation_vector: Array, translation: Array) -> Array:
    """(..., 3) where the camera stands: -R^T t."""
    turn = rotation_matrix(rotation_vector)
    return np.asarray(-np.einsum("...ji,...j->...i", turn, translation))


def _cross_matrix(vector: Array) -> Array:
    """(..., 3, 3) matrices M with M @ p = vector x p."""
    x, y, z = np.moveaxis(np.asarray(vector, dtype=np.float64), -1, 0)
    zero = np.zeros_like(x)
    rows = [[zero, -z, y], [z, zero, -x], [-y, x, zero]]
    return np.moveaxis(np.array(rows), (0, 1), (-2, -1))


def turn_slopes(vector: Array, points: Array) -> Array:
    """(n, 3, 3) derivative of R(vector) @ point by the rotation vector.

    Parameters: vector (3,) or (n, 3), points (n, 3). It is -R [p]x J with J the right Jacobian
    of the rotation group; its series serves below 1e-4 rad.
    Reference: G. S. Chirikjian, Stochastic Models, Information Theory, and Lie Groups 2 (2012).
    """
    vector = np.broadcast_to(vector, points.shape)
    angle = np.linalg.norm(vector, axis=1)
    small = angle < 1e-4
    safe = np.where(small, 1.0, angle)
    first = np.where(small, 0.5 - angle**2 / 24.0, (1.0 - np.cos(safe)) / safe**2)
    second = np.where(small, 1.0 / 6.0 - angle**2 / 120.0, (safe - np.sin(safe)) / safe**3)
    cross = _cross_matrix(vector)
    right = np.eye(3) - first[:, None, None] * cross + second[:, None, None] * (cross @ cross)
    return np.asarray(-rotation_matrix(vector) @ _cross_matrix(points) @ right)


def _terms(flat: Array, lens: Array) -> tuple[Array, ...]:
    k1, k2, p1, p2, k3 = np.moveaxis(np.asarray(lens, dtype=np.float64), -1, 0)
    x, y = flat[:, 0], flat[:, 1]
    rr = x * x + y * y
    radial = 1.0 + rr * (k1 + rr * (k2 + rr * k3))
    growth = 2.0 * (k1 + rr * (2.0 * k2 + 3.0 * rr * k3))
    return x, y, rr, radial, growth, p1, p2


def distort(flat: Array, lens: Array) -> Array:
    """(n, 2) where the lens puts the directions (x / z, y / z) of `flat` (n, 2); lens (5,)."""
    x, y, rr, radial, _, p1, p2 = _terms(flat, lens)
    xy = 2.0 * x * y
    return np.column_stack(
        [
            x * radial + p1 * xy + p2 * (rr + 2.0 * x * x),
            y * radial + p1 * (rr + 2.0 * y * y) + p2 * xy,
        ]
    )


def distort_slopes(flat: Array, lens: Array) -> tuple[Array, Array]:
    """Derivatives of `distort`: by the direction (n, 2, 2), by the lens (n, 2, 5)."""
    x, y, rr, radial, growth, p1, p2 = _terms(flat, lens)
    mixed = x * y * growth + 2.0 * (p1 * x + p2 * y)
    by_flat = np.array(
        [
            [radial + x * x * growth + 2.0 * p1 * y + 6.0 * p2 * x, mixed],
            [mixed, radial + y * y * growth + 6.0 * p1 * y + 2.0 * p2 * x],
        ]
    )
    xy = 2.0 * x * y
    by_lens = np.array(
        [
            [x * rr, x * rr**2, xy, rr + 2.0 * x * x, x * rr**3],
            [y * rr, y * rr**2, rr + 2.0 * y * y, xy, y * rr**3],
        ]
    )
    return np.moveaxis(by_flat, 2, 0), np.moveaxis(by_lens, 2, 0)


def undistort(bent: Array, lens: Array) -> Array:
    """(n, 2) directions whose image `distort` puts at `bent` (n, 2), to 1e-12, by Newton's method.

    Raises ValueError where the lens model folds over and has no inverse.
    """
    flat = np.array(bent, dtype=np.float64)
    for _ in range(20):
        error = distort(flat, lens) - bent
        if not np.all(np.isfinite(error)) or np.abs(flat).max(initial=0.0) > 20.0:
            break
        if np.abs(error).max(initial=0.0) < 1e-12:
            return flat
        slope, _ = distort_slopes(flat, lens)
        det = slope[:, 0, 0] * slope[:, 1, 1] - slope[:, 0, 1] * slope[:, 1, 0]
        det = np.where(np.abs(det) < 1e-9, 1e-9, det)
        flat[:, 0] -= (slope[:, 1, 1] * error[:, 0] - slope[:, 0, 1] * error[:, 1]) / det
        flat[:, 1] -= (slope[:, 0, 0] * error[:, 1] - slope[:, 1, 0] * error[:, 0]) / det
    message = "the lens model has no inverse at these pixels"
    raise ValueError(message)


def project(
    points: Array, *, turn: Array, shift: Array, focal: Array, principal: Array, lens: Array
) -> Array:
    """(n, 2) pixels of points (n, 3).

    Parameters: turn (3,) or (n, 3) rotation vectors, shift (3,) or (n, 3) translations, focal
    () or (n,) px, principal (2,) or (n, 2) px, lens (5,) or (n, 5). Points behind the camera
    get pixels too: the caller looks at the sign of z.
    """
    local = np.einsum("...ij,...j->...i", rotation_matrix(turn), points) + shift
    bent = distort(local[:, :2] / local[:, 2:], lens)
    return np.asarray(np.reshape(focal, (-1, 1)) * bent + principal, dtype=np.float64)


def project_slopes(
    points: Array, *, turn: Array, shift: Array, focal: Array, principal: Array, lens: Array
) -> Projection:
    """`project` with all its derivatives (those by the principal point are 1)."""
    rotation = rotation_matrix(turn)
    local = np.einsum("...ij,...j->...i", rotation, points) + shift
    flat = local[:, :2] / local[:, 2:]
    bent = distort(flat, lens)
    by_flat, by_lens = distort_slopes(flat, lens)
    size = np.broadcast_to(focal, (len(points),))
    by_local = np.empty((len(points), 2, 3))
    by_local[:, :, :2] = by_flat
    by_local[:, :, 2] = -np.einsum("nij,nj->ni", by_flat, flat)
    by_local *= (size / local[:, 2])[:, None, None]
    return Projection(
        px=size[:, None] * bent + principal,
        by_point=by_local @ rotation,
        by_turn=by_local @ turn_slopes(turn, points),
        by_shift=by_local,
        by_focal=bent,
        by_lens=size[:, None, None] * by_lens,
    )
