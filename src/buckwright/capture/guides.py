"""Where lines, and places of other pictures, must lie in a picture: help for the next trace."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.camera import camera_centre, project, rotation_matrix, undistort
from buckwright.model.pictures import Calibration, Picture

__all__ = ["epipolar_bands", "model_box", "projected_pieces"]

Array = NDArray[np.float64]

_SAMPLES = 25
_LEAST_DEPTH = 1.0
_BESIDE, _HIGH = 0.15, 0.8
"""Of the mat's size: how far beside it and above it the model can be."""
_AROUND = 0.06
"""Of the model's size: room round the lines that are known."""
_LENS_MARGIN = 1.25


def model_box(calibration: Calibration, known: tuple[Array, ...] = ()) -> Array:
    """(2, 3) mm of the mat: where the model can be.

    The lines known (each (n, 3)) with a little room round them; without any, what lies above
    the mat and a little beside it.
    """
    if known:
        points = np.vstack(known)
        low, high = points.min(axis=0), points.max(axis=0)
        room = _AROUND * float(np.linalg.norm(high - low))
        return np.array([low - room, high + room])
    low, high = calibration.mat_points.min(axis=0), calibration.mat_points.max(axis=0)
    size = float(np.linalg.norm((high - low)[:2]))
    beside = np.array([_BESIDE, _BESIDE, 0.03]) * size
    return np.array([low - beside, high + beside + np.array([0.0, 0.0, _HIGH * size])])


def projected_pieces(points: Array, picture: Picture, *, closed: bool = False) -> list[Array]:
    """The runs of a line (n, 3), mm of the mat, that fall inside a picture: each (k, 2) px.

    Whether something stands before the line is not known.
    """
    looped = np.vstack([points, points[:1]]) if closed else points
    px, ahead = _seen(looped, picture)
    inside = ahead & np.all((px > -0.5) & (px < np.array(picture.size) - 0.5), axis=1)
    change = np.flatnonzero(np.diff(inside)) + 1
    runs = np.split(np.arange(len(px)), change)
    return [px[run] for run in runs if inside[run[0]] and len(run) > 1]


def epipolar_bands(
    px: Array, seen_in: Picture, picture: Picture, box: Array
) -> list[tuple[Array, Array]]:
    """For places (n, 2) of one picture where each must lie in another, the near end first.

    Parameters: box (2, 3) mm, the least and the greatest that the model reaches to; the place
    lies on its ray between where that enters and where it leaves the box.
    Returns: for each place the curve (k, 2) px in the other picture, bent as its lens bends it,
    and the points (k, 3) mm of the ray; k is 25, less where the other camera cannot see that far
    aside, 0 where the ray misses the box.
    """
    centre = camera_centre(seen_in.rotation_vector, seen_in.translation)
    flat = undistort((px - np.array(seen_in.principal)) / seen_in.focal, seen_in.distortion)
    turn = rotation_matrix(seen_in.rotation_vector)
    ways = np.column_stack([flat, np.ones(len(flat))]) @ turn
    bands = []
    for way in ways:
        near, far = _through(box, centre, way)
        if near >= far:
            bands.append((np.zeros((0, 2)), np.zeros((0, 3))))
            continue
        points = centre + np.linspace(near, far, _SAMPLES)[:, None] * way
        seen, ahead = _seen(points, picture)
        bands.append((seen[ahead], points[ahead]))
    return bands


def _through(box: Array, centre: Array, way: Array) -> tuple[float, float]:
    """Where a ray enters and leaves a box, in lengths of `way`; it misses if the first is more."""
    safe = np.where(np.abs(way) > 1e-12, way, 1e-12)
    ends = (box - centre) / safe
    near, far = ends.min(axis=0).max(), ends.max(axis=0).min()
    return max(float(near), 1e-6), float(far)


def _seen(points: Array, picture: Picture) -> tuple[Array, NDArray[np.bool_]]:
    """Pixels of points, and which of them lie before the camera and within its lens's model."""
    turn, shift = picture.rotation_vector, picture.translation
    local = points @ rotation_matrix(turn).T + shift
    ahead = local[:, 2] > _LEAST_DEPTH
    safe = np.where(ahead, local[:, 2], 1.0)
    # Beyond the picture's corners a lens model may fold back into the picture.
    corner = np.hypot(*(np.array(picture.size) / 2.0)) / picture.focal * _LENS_MARGIN
    ahead &= np.hypot(local[:, 0], local[:, 1]) / safe < corner
    px = project(
        np.where(ahead[:, None], points, _somewhere(picture)),
        turn=turn,
        shift=shift,
        focal=np.array(picture.focal),
        principal=np.array(picture.principal),
        lens=picture.distortion,
    )
    return px, ahead


def _somewhere(picture: Picture) -> Array:
    """A point before the camera, to stand in for one that it cannot see."""
    turn = rotation_matrix(picture.rotation_vector)
    return np.asarray((np.array([0.0, 0.0, 1000.0]) - picture.translation) @ turn)
