"""The frame and the scale of an adjusted figure, and the errors that remain in that frame.

Frame: z = 0 is the plane that fits the adjusted mat best, z up out of the paper; x runs along the
columns, y up the page; the origin is where the drawn mat's top-left outer corner would lie.
Scale: only from the mat's calipered bars. Without one, millimetres are those of the drawing.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from buckwright.capture.bundle import Adjusted
from buckwright.capture.sightings import Cameras
from buckwright.geometry.camera import camera_centre, rotation_matrix, turn_slopes
from buckwright.model.pictures import Bar, Mat

__all__ = ["BAR_SIGMA", "Placed", "place", "usable_bars"]

Array = NDArray[np.float64]

BAR_SIGMA = 0.05
"""mm, standard error of a bar read with a caliper on printed corners."""
_PRINT_SIGMA = 0.003
"""Relative error of the scale of an unmeasured print."""


@dataclass(frozen=True, eq=False, slots=True)
class Placed:
    """Cameras in the frame of the mat, at the scale of its bars."""

    cameras: Cameras
    centre_sigma: Array
    """(k,) mm, root of a third of the variance of each camera centre."""
    scale_sigma: float
    bar_gaps: Array
    """(bars,) mm: each bar as typed, less what all bars together make it."""


def usable_bars(mat: Mat, adjusted: Adjusted) -> tuple[Bar, ...]:
    """The bars whose two ends were seen in two pictures at least."""
    seen = _often_seen(adjusted)
    return tuple(b for b in mat.bars if all(seen[k] for k in _ends(b, mat)))


def place(adjusted: Adjusted, mat: Mat, nominal: Array) -> Placed:
    """Put the figure into the mat's frame and to the scale of its usable bars.

    `nominal` (corners, 3) is the mat as drawn. Each bar counts by the square of its length.
    """
    bars = usable_bars(mat, adjusted)
    ends = np.array([_ends(bar, mat) for bar in bars], dtype=np.int64).reshape(-1, 2)
    typed = np.array([bar.mm for bar in bars])
    points = adjusted.cameras.points
    solved = np.linalg.norm(points[ends[:, 1]] - points[ends[:, 0]], axis=1)
    scale, scale_sigma, caliper = 1.0, _PRINT_SIGMA, 0.0
    if bars:
        scale = float(typed @ solved / (solved @ solved))
        scale_sigma = caliper = BAR_SIGMA / float(np.linalg.norm(typed))
    rotation, shift = _frame(points, nominal)
    centres = camera_centre(adjusted.cameras.turn, adjusted.cameras.shift)
    reach = np.linalg.norm(centres - points.mean(axis=0), axis=1)
    sigma = np.sqrt(_centre_sigma(adjusted, ends) ** 2 + (caliper * reach) ** 2 / 3.0)
    return Placed(
        cameras=_moved(adjusted.cameras, rotation, shift, scale),
        centre_sigma=scale * sigma,
        scale_sigma=scale_sigma,
        bar_gaps=typed - scale * solved,
    )


def _ends(bar: Bar, mat: Mat) -> tuple[int, int]:
    across = mat.squares[0] - 1
    first, second = ((row - 1) * across + column - 1 for column, row in (bar.start, bar.end))
    return first, second


def _often_seen(adjusted: Adjusted) -> NDArray[np.bool_]:
    """(corners,) whether each corner was seen in two pictures at least."""
    count = np.bincount(adjusted.seen.corner, minlength=len(adjusted.cameras.points))
    return np.asarray(count >= 2)


def _frame(points: Array, nominal: Array) -> tuple[Array, Array]:
    """Rotation and origin of the mat's frame: p_mat = rotation @ (p - origin).

    Corners that no picture shows count too, where the bundle expects them from their neighbours:
    else the frame would hang on where the model happens to stand.
    """
    flat = np.column_stack([np.ones(len(points)), nominal[:, :2]])
    origin, along, up = np.linalg.lstsq(flat, points, rcond=None)[0]
    # The drawn mat maps onto a plane, stretched and sheared a little; the nearest square
    # axes on that plane halve the shear.
    normal = np.cross(along, up)
    axes = np.column_stack([along, up, normal / np.linalg.norm(normal)])
    left, _, right = np.linalg.svd(axes)
    return np.asarray((left @ right).T), np.asarray(origin)


def _moved(cameras: Cameras, rotation: Array, origin: Array, scale: float) -> Cameras:
    """The figure with every point p moved to scale * rotation @ (p - origin)."""
    turns = rotation_matrix(cameras.turn) @ rotation.T
    centres = (camera_centre(cameras.turn, cameras.shift) - origin) @ rotation.T * scale
    return replace(
        cameras,
        turn=np.asarray(Rotation.from_matrix(turns).as_rotvec()),
        shift=-np.einsum("kij,kj->ki", turns, centres),
        points=(cameras.points - origin) @ rotation.T * scale,
    )


def _centre_sigma(adjusted: Adjusted, ends: NDArray[np.int64]) -> Array:
    """(k,) standard errors of the camera centres in the frame that the mat's points make.

    The figure's place and turn are taken off by the mat's points, its size by the bars (by the
    points where there are none): errors common to everything do not count.
    """
    cameras = adjusted.cameras
    centres = camera_centre(cameras.turn, cameras.shift)
    seen = np.flatnonzero(_often_seen(adjusted))
    points = cameras.points[seen]
    slopes = _centre_and_point_slopes(cameras, seen)
    common = _similarity_motions(np.vstack([centres, points]))
    frame = np.zeros((7, 3 * len(centres) + 3 * len(points)))
    frame[:, 3 * len(centres) :] = np.linalg.pinv(common[3 * len(centres) :])
    if len(ends):
        frame[6] = 0.0
        sides = cameras.points[ends[:, 1]] - cameras.points[ends[:, 0]]
        for (start, end), side in zip(np.searchsorted(seen, ends), sides, strict=True):
            pull = side / np.sum(sides**2)
            for at, sign in ((start, -1.0), (end, 1.0)):
                first = 3 * (len(centres) + at)
                frame[6, first : first + 3] += sign * pull
    fixed = slopes - common @ np.linalg.solve(frame @ common, frame @ slopes)
    rows = fixed[: 3 * len(centres)]
    variance = np.einsum("ij,jk,ik->i", rows, adjusted.covariance, rows, optimize=True)
    return np.asarray(np.sqrt(variance.reshape(-1, 3).mean(axis=1)))


def _centre_and_point_slopes(cameras: Cameras, seen: NDArray[np.int64]) -> Array:
    """Derivative of the camera centres, then of the points `seen`, by all parameters."""
    lenses, pictures = cameras.lens.size, len(cameras.turn)
    slopes = np.zeros((3 * (pictures + len(seen)), lenses + 9 * pictures + cameras.points.size))
    turned = turn_slopes(-cameras.turn, -cameras.shift)
    inverse = np.swapaxes(rotation_matrix(cameras.turn), 1, 2)
    for k in range(pictures):
        first = lenses + 9 * k
        slopes[3 * k : 3 * k + 3, first : first + 3] = -turned[k]
        slopes[3 * k : 3 * k + 3, first + 3 : first + 6] = -inverse[k]
    rows = 3 * pictures + np.arange(3 * len(seen))
    columns = lenses + 9 * pictures + (3 * seen[:, None] + np.arange(3)).ravel()
    slopes[rows, columns] = 1.0
    return slopes


def _similarity_motions(points: Array) -> Array:
    """(3 n, 7) how points move with a shift, a turn about each axis, and growth."""
    count = len(points)
    motions = np.zeros((count, 3, 7))
    motions[:, :, :3] = np.eye(3)
    for axis in range(3):
        motions[:, :, 3 + axis] = np.cross(np.eye(3)[axis], points)
    motions[:, :, 6] = points
    return motions.reshape(3 * count, 7)
