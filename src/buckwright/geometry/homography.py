"""Homographies: how a picture shows a plane, and where its camera stood.

A homography is a 3 x 3 matrix up to scale; a plane's own axes run right and up, a picture's
right and down.

Reference: Z. Zhang, 'A flexible new technique for camera calibration', IEEE Transactions on
Pattern Analysis 22 (2000), doi:10.1109/34.888718; R. Hartley and A. Zisserman, Multiple View
Geometry (2nd ed. 2003), sections 4.1, 4.4.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

__all__ = [
    "apply_homography",
    "camera_over_plane",
    "fit_homography",
    "focal_of_homography",
    "proportions_of_rectangle",
]

Array = NDArray[np.float64]

_FLAT = 1e-9


def apply_homography(matrix: Array, points: Array) -> Array:
    """(n, 2) images of the points (n, 2)."""
    wide = points @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(wide[:, :2] / wide[:, 2:])


def fit_homography(source: Array, target: Array) -> Array:
    """(3, 3) that takes `source` (n, 2) to `target` (n, 2); of more than four the nearest.

    Least squares of distances in the target. Raises ValueError for fewer than four points, or
    where no four of them make a quadrilateral.
    """
    if len(source) < 4 or len(source) != len(target):
        message = "a homography needs four pairs of points"
        raise ValueError(message)
    before, after = _normaliser(source), _normaliser(target)
    here, there = apply_homography(before, source), apply_homography(after, target)
    start = _linear(here, there)
    if len(source) > 4:
        start = _nearest(start, here, there)
    matrix = np.linalg.inv(after) @ start @ before
    return np.asarray(matrix / np.linalg.norm(matrix))


def _normaliser(points: Array) -> Array:
    """Moves the middle to nothing and the mean distance to the root of two."""
    middle = points.mean(axis=0)
    spread = float(np.linalg.norm(points - middle, axis=1).mean())
    if spread < _FLAT:
        message = "the points lie in one place"
        raise ValueError(message)
    size = np.sqrt(2.0) / spread
    return np.array([[size, 0.0, -size * middle[0]], [0.0, size, -size * middle[1]], [0, 0, 1]])


def _linear(here: Array, there: Array) -> Array:
    one, none = np.column_stack([here, np.ones(len(here))]), np.zeros((len(here), 3))
    rows = np.vstack(
        [
            np.hstack([one, none, -there[:, :1] * one]),
            np.hstack([none, one, -there[:, 1:] * one]),
        ]
    )
    _, sizes, turned = np.linalg.svd(rows)
    # A second matrix that would do as well: three of four points lie on one line.
    if sizes[7] < 1e-7 * sizes[0] or abs(np.linalg.det(turned[8].reshape(3, 3))) < _FLAT:
        message = "the points make no quadrilateral"
        raise ValueError(message)
    return np.asarray(turned[8].reshape(3, 3))


def _nearest(start: Array, here: Array, there: Array) -> Array:
    found = least_squares(
        lambda flat: (apply_homography(flat.reshape(3, 3), here) - there).ravel(),
        start.ravel(),
        x_scale=1.0,
        method="trf",
    )
    return np.asarray(found.x.reshape(3, 3))


def _columns(to_picture: Array, principal: Array) -> Array:
    """The matrix (3, 3) with the picture's middle as its origin."""
    moved = np.array([[1.0, 0.0, -principal[0]], [0.0, 1.0, -principal[1]], [0.0, 0.0, 1.0]])
    return np.asarray(moved @ to_picture)


def focal_of_homography(to_picture: Array, principal: Array) -> float:
    """Focal length in px by which right and up of the plane are square and alike; nan for none.

    Parameters: to_picture takes the plane to pixels, principal (2,) the middle of the picture.
    A picture square to the plane says nothing of it.
    """
    a, b = _columns(to_picture, principal)[:, :2].T
    square = float(a[:2] @ a[:2] + b[:2] @ b[:2])
    size = np.array([2.0 * a[:2] @ b[:2], a[:2] @ a[:2] - b[:2] @ b[:2]]) / square
    depth = np.array([2.0 * a[2] * b[2], a[2] ** 2 - b[2] ** 2]) / square
    if not float(depth @ depth) > 0.0 or not float(size @ size) > 0.0:
        return float("nan")
    per_square = -float(size @ depth) / float(size @ size)
    return per_square**-0.5 if per_square > 0.0 else float("nan")


def proportions_of_rectangle(to_picture: Array, principal: Array) -> float:
    """Height over width of the rectangle that a homography takes from the unit square; or nan.

    By the vanishing points of its sides; nan where the picture shows a pair of sides parallel.
    """
    a, b = _columns(to_picture, principal)[:, :2].T
    across, depth = float(a[:2] @ b[:2]), float(a[2] * b[2])
    lengths = np.linalg.norm(a[:2]) * np.linalg.norm(b[:2])
    if abs(across) < _FLAT * lengths or -depth / across <= 0.0:
        return float("nan")
    per_square = -depth / across
    wide = float(a[:2] @ a[:2]) * per_square + a[2] ** 2
    high = float(b[:2] @ b[:2]) * per_square + b[2] ** 2
    return float(np.sqrt(high / wide))


def camera_over_plane(to_picture: Array, principal: Array, focal: float) -> Array:
    """(3,) where the camera stands: right, up, and how far before the plane, which is positive.

    Exact for the true focal length; for another, of the turn nearest to what the picture shows.
    """
    scaled = _columns(to_picture, principal)
    scaled = np.array([[1.0 / focal], [1.0 / focal], [1.0]]) * scaled
    size = 0.5 * (np.linalg.norm(scaled[:, 0]) + np.linalg.norm(scaled[:, 1]))
    scaled = scaled / size
    left, _, right = np.linalg.svd(scaled[:, :2], full_matrices=False)
    first, second = (left @ right).T
    turn = np.column_stack([first, second, np.cross(first, second)])
    centre = -turn.T @ scaled[:, 2]
    # A homography with the other sign is the same, and puts the camera behind the plane.
    return np.array([centre[0], centre[1], abs(centre[2])])
