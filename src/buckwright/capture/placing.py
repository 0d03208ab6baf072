"""The frame and the scale of an adjusted figure, and the errors that remain in that frame.

Frame: z = 0 is the plane that fits the adjusted mat best, z up out of the paper; x runs along the
columns, y up the page; the origin is where the drawn mat's top-left outer corner would lie.
Scale: only from the mat's calipered bars. Without one, millimetres are those of the drawing.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from buckwright.capture.bundle import Adjusted, Lengths
from buckwright.capture.sightings import Cameras, Sightings
from buckwright.capture.sureness import sureness_of
from buckwright.geometry.camera import camera_centre, rotation_matrix
from buckwright.model.pictures import Bar, Mat

__all__ = ["BAR_SIGMA", "Placed", "measured_lengths", "place", "usable_bars"]

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
    covariance: Array
    """(9 k + 5 g) square, of the pictures and lenses as `Sureness` orders them."""
    bar_gaps: Array
    """(bars,) mm: each bar as typed, less what all bars together make it."""


def usable_bars(mat: Mat, seen: Sightings) -> tuple[Bar, ...]:
    """The bars whose two ends were seen in two pictures at least."""
    often = _often_seen(seen, mat)
    return tuple(b for b in mat.bars if all(often[k] for k in _ends(b, mat)))


def measured_lengths(mat: Mat, seen: Sightings) -> Lengths:
    """The usable bars as distances between corners."""
    bars = usable_bars(mat, seen)
    return Lengths(
        ends=np.array([_ends(bar, mat) for bar in bars], dtype=np.int64).reshape(-1, 2),
        mm=np.array([bar.mm for bar in bars], dtype=np.float64),
        sigma=np.array([bar.sigma or BAR_SIGMA for bar in bars], dtype=np.float64),
    )


def place(adjusted: Adjusted, mat: Mat, nominal: Array, bars: Lengths) -> Placed:
    """Put the figure into the mat's frame and to the scale of its bars.

    `nominal` (corners, 3) is the mat as drawn. Each bar counts by the square of its length in
    standard errors. The frame of a set of cards is that of the first card that was seen.
    """
    cameras = adjusted.cameras
    solved = (bars.gap(cameras.points) * bars.sigma + bars.mm) / bars.sigma
    typed = bars.mm / bars.sigma
    scale, scale_sigma, caliper = 1.0, _PRINT_SIGMA, 0.0
    if len(typed):
        scale = float(typed @ solved / (solved @ solved))
        caliper = 1.0 / float(np.linalg.norm(typed))
    framing = _framing(adjusted.seen, mat)
    rotation, shift = _frame(cameras.points[framing], nominal[framing % mat.corners_each])
    seen = np.flatnonzero(_often_seen(adjusted.seen, mat))
    sure = sureness_of(adjusted, seen, bars)
    if len(typed):
        scale_sigma = float(np.hypot(caliper, sure.growth_sigma))
    centres = camera_centre(cameras.turn, cameras.shift)
    reach = np.linalg.norm(centres - cameras.points[seen].mean(axis=0), axis=1)
    variance = sure.centre_variance(len(centres)) + (caliper * reach) ** 2 / 3.0
    return Placed(
        cameras=_moved(cameras, rotation, shift, scale),
        covariance=sure.moved(rotation, scale, len(centres)),
        centre_sigma=scale * np.sqrt(variance),
        scale_sigma=scale_sigma,
        bar_gaps=(typed - scale * solved) * bars.sigma,
    )


def _ends(bar: Bar, mat: Mat) -> tuple[int, int]:
    return mat.corner(bar.start_card, bar.start), mat.corner(bar.end_card, bar.end)


def _often_seen(seen: Sightings, mat: Mat) -> NDArray[np.bool_]:
    """(corners,) whether each corner was seen in two pictures at least."""
    count = np.bincount(seen.corner, minlength=mat.corners_each * mat.cards)
    return np.asarray(count >= 2)


def _framing(seen: Sightings, mat: Mat) -> NDArray[np.int64]:
    """Corners of the first card that was seen: they make the frame."""
    card = int(seen.corner.min()) // mat.corners_each
    return card * mat.corners_each + np.arange(mat.corners_each)


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
