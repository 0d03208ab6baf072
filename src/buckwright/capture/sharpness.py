"""How blurred a picture is, told from the mat's own edges."""

import cv2
import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.board import inner_corners
from buckwright.model.pictures import Corners, Mat

__all__ = ["blur_at", "steepest_edge", "too_blurred"]

Array = NDArray[np.float64]

_MOST_OF_A_SQUARE, _MOST_PX, _ALWAYS_PX = 0.12, 6.0, 1.5
_WINDOW = 1000
_SHAKEN = 1.5
"""How much steeper edges may be in one direction than in another."""
_LOOKED_AT = 40
"""Corners looked at: enough for a median."""


def blur_at(grey: NDArray[np.uint8], corners: Corners, mat: Mat) -> tuple[float, float]:
    """Standard deviation of the blur in px, and how much is allowed there.

    An edge between black and white that a bell curve of sigma blurs is nowhere steeper than its
    contrast over sigma sqrt(2 pi). The two edges through a corner are looked at apart, and the
    softer counts, so that a picture shaken in one direction is blurred too.
    """
    card = corners.ids // mat.corners_each
    softest, sides = [], []
    for number in np.unique(card):
        mine = np.flatnonzero(card == number)
        if len(mine) < 4:
            continue
        flat = inner_corners(mat.squares, mat.square_mm)[corners.ids[mine] % mat.corners_each, :2]
        plane = np.asarray(
            cv2.findHomography(flat, corners.px[mine], cv2.RANSAC, 5.0)[0], np.float64
        )
        if plane.shape != (3, 3):
            continue
        for k in mine[:: max(1, len(mine) // _LOOKED_AT)]:
            at = np.asarray(flat[np.searchsorted(mine, k)], np.float64)
            along = _sides(plane, at, mat.square_mm)
            told = _softest_edge(grey, corners.px[k], along)
            if told is not None:
                softest.append(told)
                sides.append(min(np.linalg.norm(side) for side in along))
    if not softest:
        return 0.0, _ALWAYS_PX
    side = float(np.median(sides))
    allowed = max(min(_MOST_OF_A_SQUARE * side, _MOST_PX), _ALWAYS_PX)
    return float(np.median(softest)), allowed


def steepest_edge(grey: NDArray[np.uint8], contrast: float) -> float:
    """Blur in px of the sharpest edges of a picture, whatever it shows, by the same rule."""
    middle = grey[: 3 * _WINDOW, : 3 * _WINDOW]
    if max(grey.shape) > 3 * _WINDOW:
        rows, columns = (max((side - 2 * _WINDOW) // 2, 0) for side in grey.shape)
        middle = grey[rows : rows + 2 * _WINDOW, columns : columns + 2 * _WINDOW]
    across, down = (
        cv2.Scharr(middle, cv2.CV_32F, *axis, scale=1.0 / 32.0) for axis in ((1, 0), (0, 1))
    )
    steep = float(np.percentile(np.hypot(across, down), 99.9))
    # A picture shaken in one direction has no steep edge across it.
    turned = (across, down, (across + down) / np.sqrt(2.0), (across - down) / np.sqrt(2.0))
    weakest = min(float(np.percentile(np.abs(slope), 99.9)) for slope in turned)
    steep = min(steep, _SHAKEN * weakest)
    return contrast / max(steep, 1e-6) / float(np.sqrt(2.0 * np.pi))


def too_blurred(picture: str, blur: float) -> JobError:
    """What to say of it."""
    return JobError(
        f"The picture {picture} is too blurred: an edge of the mat is smeared over "
        f"{2.0 * blur:.0f} px.",
        "Take it again with the phone held still, in more light, and the focus on the model.",
    )


def _sides(plane: Array, at: Array, square: float) -> tuple[Array, Array]:
    """Sides of a square at this corner as they lie in the picture, px."""
    around = np.array([[0.5, 0.0], [-0.5, 0.0], [0.0, 0.5], [0.0, -0.5]]) * square + at
    right, left, up, down = cv2.perspectiveTransform(around[None], plane)[0]
    return right - left, up - down


def _softest_edge(grey: NDArray[np.uint8], at: Array, along: tuple[Array, Array]) -> float | None:
    """Blur in px of the softer of the two edges through a corner; None where nothing is seen."""
    told = []
    for edge, across in (along, along[::-1]):
        length = float(np.linalg.norm(across))
        if length < 6.0:
            return None
        steps = np.linspace(-0.45, 0.45, max(int(1.8 * length), 9))
        step = length * (steps[1] - steps[0])
        profiles = [
            _read(grey, at + side * edge + steps[:, None] * across) for side in (0.22, -0.22)
        ]
        for profile in profiles:
            contrast = float(np.ptp(profile))
            if contrast < 25.0:
                continue
            slope = float(np.abs(np.gradient(profile)).max()) / step
            told.append(contrast / slope / np.sqrt(2.0 * np.pi))
    return max(told) if told else None


def _read(grey: NDArray[np.uint8], px: Array) -> Array:
    """(n,) grey values between the pixels."""
    places = px.astype(np.float32)
    return np.asarray(
        cv2.remap(grey, places[None, :, 0], places[None, :, 1], cv2.INTER_LINEAR)[0], np.float64
    )
