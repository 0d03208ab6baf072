"""What the errors of the cameras do to a point that their views place."""

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.views import Views
from buckwright.geometry.camera import distort_slopes, rotation_matrix
from buckwright.model.pictures import Calibration

__all__ = ["camera_variance", "centre_variance", "point_covariance"]

Array = NDArray[np.float64]


def camera_variance(
    points: Array, views: Views, pulls: Array, across: Array, calibration: Calibration
) -> Array:
    """(n,) mm^2, mean of two directions `across` (n, 2, 3) the line, from the cameras alone.

    `pulls` (n, k, 3) px that each view sees across the line to a mm of motion, zero in views that
    do not see the point. Each view's errors push the point through the same least squares that
    placed it; errors that the pictures share (the lens, the mat) push together.
    """
    covariance = _square(calibration.covariance)
    flat = np.einsum("nvk,njk->nvj", pulls, across)
    told = np.einsum("nvi,nvj->nij", flat, flat)
    # A direction that no view tells has its doubt from the fit.
    size = np.trace(told, axis1=1, axis2=2)
    told += (1e-3 * size + 1e-12)[:, None, None] * np.eye(2)
    weights = np.linalg.solve(told, np.swapaxes(flat, 1, 2))
    pushes = np.zeros((len(points), 2, len(covariance)))
    for view in range(len(views.names)):
        columns, slopes = _push(points, pulls[:, view], view, views, calibration)
        pushes[:, :, columns] += weights[:, :, view, None] * slopes[:, None, :]
    square = np.einsum("nip,pq,niq->ni", pushes, covariance, pushes, optimize=True)
    return np.asarray(square.mean(axis=1))


def point_covariance(point: Array, views: Views, pulls: Array, calibration: Calibration) -> Array:
    """(3, 3) mm^2 of a point (3,) from the cameras alone.

    `pulls` (k, 2, 3) px that each view sees, right and down, to a mm of motion. Where the
    cameras' covariance was not kept, they are taken as independent.
    """
    if not len(calibration.covariance):
        square = centre_variance(views, calibration)
        return np.asarray(square.sum() / len(square) ** 2 * np.eye(3))
    rows = pulls.reshape(-1, 3)
    normal = rows.T @ rows
    normal += 1e-9 * np.trace(normal) * np.eye(3)
    weights = np.linalg.solve(normal, rows.T).reshape(3, -1, 2)
    covariance = _square(calibration.covariance)
    pushes = np.zeros((3, len(covariance)))
    for view in range(len(views.names)):
        for axis in range(2):
            columns, slopes = _push(point[None], pulls[view, axis][None], view, views, calibration)
            pushes[:, columns] += weights[:, view, axis, None] * slopes
    return np.asarray(pushes @ covariance @ pushes.T)


def centre_variance(views: Views, calibration: Calibration) -> Array:
    """(k,) mm^2 of the views' places."""
    known = {p.name: s for p, s in zip(calibration.pictures, calibration.centre_sigma, strict=True)}
    return np.array([known[name] ** 2 for name in views.names])


def _square(triangle: Array) -> Array:
    """The symmetric matrix of a lower triangle row by row."""
    size = int((np.sqrt(8.0 * len(triangle) + 1.0) - 1.0) / 2.0)
    square = np.zeros((size, size))
    rows, columns = np.tril_indices(size)
    square[rows, columns] = square[columns, rows] = triangle
    return square


def _push(
    points: Array, pull: Array, view: int, views: Views, calibration: Calibration
) -> tuple[NDArray[np.int64], Array]:
    """Columns of the covariance, and (n, 14) px across the line to each of those parameters."""
    place = [picture.name for picture in calibration.pictures].index(views.names[view])
    picture, count = calibration.pictures[place], len(calibration.pictures)
    group = int(calibration.group_of[place])
    turn = rotation_matrix(picture.rotation_vector)
    local = (points - views.centre[view]) @ turn.T
    seen = pull @ turn.T
    flat = local[:, :2] / local[:, 2:]
    normal = seen[:, :2] * (local[:, 2:] / picture.focal)
    by_lens = picture.focal * distort_slopes(flat, np.asarray(picture.distortion))[1]
    slopes = np.hstack(
        [
            np.cross(local, seen),
            -pull,
            np.sum(normal * flat, axis=1, keepdims=True),
            normal,
            np.einsum("ni,nij->nj", normal, by_lens),
        ]
    )
    own, lens = 9 * place + np.arange(9), 9 * count + 5 * group + np.arange(5)
    return np.concatenate([own, lens]), slopes
