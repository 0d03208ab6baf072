"""Pictures taken at another zoom than the rest, told from the pictures themselves."""

import cv2
import numpy as np
from numpy.typing import NDArray

from buckwright.capture.sightings import Cameras, Sightings, residuals
from buckwright.errors import JobError
from buckwright.geometry.in_order import opencv_in_order

__all__ = ["check_one_zoom"]

Array = NDArray[np.float64]

_PLAIN_SHARE = 7.5e-4
"""Of the longer side: stretched and wavy mats and a drifting lens leave less (3 of 4000 px)."""
_OTHER_ZOOM = 0.06


def check_one_zoom(cameras: Cameras, seen: Sightings, points: Array) -> None:
    """Raises JobError that names the pictures of a camera that were taken at another zoom.

    Only looked into where one lens leaves more in a picture than all else could. `points`
    (corners, 3) is the mat.
    """
    gap = residuals(cameras, seen)
    for group in range(len(cameras.lens)):
        members = np.flatnonzero(seen.group == group)
        worst = max((_rms(gap[seen.picture == k]) for k in members), default=0.0)
        if worst < _PLAIN_SHARE * max(seen.sizes[members[0]]):
            continue
        focal = np.array([_own_focal(int(k), seen, points) for k in members])
        known = focal[np.isfinite(focal)]
        if len(known) < 3:
            continue
        usual = _usual(known)
        odd = np.abs(np.log(focal / usual)) > _OTHER_ZOOM
        if odd.any() and not odd.all():
            names = [seen.names[k] for k in members[odd]]
            raise _mixed(names, float(np.median(focal[odd])) / usual)


def _rms(gap: Array) -> float:
    return float(np.sqrt(np.mean(gap**2))) if len(gap) else 0.0


def _usual(focal: Array) -> float:
    """The focal length that most pictures share, to a twentieth."""
    near = [np.count_nonzero(np.abs(np.log(focal / f)) < 0.05) for f in focal]
    chosen = focal[int(np.argmax(near))]
    return float(np.median(focal[np.abs(np.log(focal / chosen)) < 0.05]))


def _own_focal(picture: int, seen: Sightings, points: Array) -> float:
    """Focal length in px that one picture by itself tells; nan where it tells none."""
    mine = seen.picture == picture
    size = seen.sizes[picture]
    flags = (
        cv2.CALIB_FIX_ASPECT_RATIO
        | cv2.CALIB_FIX_PRINCIPAL_POINT
        | cv2.CALIB_ZERO_TANGENT_DIST
        | cv2.CALIB_FIX_K1
        | cv2.CALIB_FIX_K2
        | cv2.CALIB_FIX_K3
        | cv2.CALIB_USE_INTRINSIC_GUESS
    )
    guess = np.array(
        [[max(size), 0.0, 0.5 * size[0]], [0.0, max(size), 0.5 * size[1]], [0.0, 0.0, 1.0]]
    )
    try:
        with opencv_in_order():
            _, matrix, _, _, _ = cv2.calibrateCamera(
                [points[seen.corner[mine]].astype(np.float32)],
                [seen.px[mine].astype(np.float32)],
                size,
                guess,
                np.zeros(5),
                flags=flags,
            )
    except cv2.error:
        return float("nan")
    focal = float(matrix[0, 0])
    return focal if 0.2 < focal / max(size) < 20.0 else float("nan")


def _mixed(names: list[str], times: float) -> JobError:
    told = ", ".join(names[:4]) + (", ..." if len(names) > 4 else "")
    were = "was" if len(names) == 1 else "were"
    return JobError(
        f"{told} {were} taken at another zoom than the others, about {times:.2g} times.",
        "Leave them out, or take all pictures at one zoom.",
    )
