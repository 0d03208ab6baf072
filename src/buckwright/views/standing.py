"""Where the camera of a squared picture stood before the plane of scale, and how sure that is."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.homography import (
    apply_homography,
    camera_over_plane,
    fit_homography,
    focal_of_homography,
)

__all__ = ["Stand", "stand_of"]

Array = NDArray[np.float64]

_CLICK_PX = 1.0
_UNSURE = 0.3
"""A distance with more doubt than this share of it is not told."""


class Stand(NamedTuple):
    """The camera before the plane."""

    distance: float
    """mm; 0: not known."""
    sigma: float
    foot: tuple[float, float]


def stand_of(
    to_plane: Array, corners: Array, middle: Array, *, longest: float, asked: float
) -> Stand:
    """From the perspective of the corners (n, 2) px, or from a distance that was measured.

    Parameters: to_plane (3, 3) pixels to mm; middle (2,) px of the picture, longest its longer
    side in px; `asked` the measured distance in mm, 0 for none. A picture that was taken square
    on, or that is not squared by corners, tells no distance by itself.
    """
    if len(corners) == 0:
        right, up = apply_homography(to_plane, middle[None])[0]
        return Stand(asked, 0.0, (float(right), float(up)))
    back = np.asarray(np.linalg.inv(to_plane), dtype=np.float64)
    if asked > 0.0:
        place = _at_distance(back, middle, longest, asked)
        return Stand(asked, 0.0, (float(place[0]), float(place[1])))
    place = _by_perspective(back, middle)
    at = apply_homography(to_plane, corners)
    nudges = np.eye(2 * len(corners)).reshape(-1, len(corners), 2) * _CLICK_PX
    others = np.array([_by_perspective(fit_homography(at, corners + n), middle) for n in nudges])
    sigma = float(np.sqrt(np.sum((others[:, 2] - place[2]) ** 2)))
    if not np.isfinite(sigma) or sigma > _UNSURE * place[2]:
        foot = apply_homography(to_plane, middle[None])[0]
        return Stand(0.0, 0.0, (float(foot[0]), float(foot[1])))
    return Stand(float(place[2]), sigma, (float(place[0]), float(place[1])))


def _by_perspective(back: Array, middle: Array) -> Array:
    focal = focal_of_homography(back, middle)
    if not np.isfinite(focal):
        return np.full(3, np.nan)
    return camera_over_plane(back, middle, focal)


def _at_distance(back: Array, middle: Array, longest: float, asked: float) -> Array:
    """The camera so far away: its focal length is sought, to which the distance is nearly alike."""
    focal = longest
    for _ in range(60):
        place = camera_over_plane(back, middle, focal)
        if abs(place[2] - asked) < 1e-9 * asked:
            break
        focal *= float(asked / place[2])
    return camera_over_plane(back, middle, focal)
