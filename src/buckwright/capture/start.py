"""The first cameras: OpenCV's plain calibration on the nominal mat, wrong corners thrown out."""

import cv2
import numpy as np
from numpy.typing import NDArray

from buckwright.capture.sightings import Cameras, Sightings, residuals
from buckwright.errors import JobError
from buckwright.geometry.in_order import opencv_in_order

__all__ = ["check_seen_from_above", "plain_cameras", "robust_limit"]

Array = NDArray[np.float64]

_TIMES_SIGMA, _LEAST_LIMIT = 4.5, 0.12


def robust_limit(gaps: Array) -> float:
    """Distance in px beyond which a corner is wrong: 4.5 standard errors, judged by the median.

    1.1774 standard errors is the median length of a plane error.
    """
    return max(_TIMES_SIGMA * float(np.median(gaps)) / 1.1774, _LEAST_LIMIT)


def check_seen_from_above(seen: Sightings, nominal: Array) -> None:
    """Raises JobError for a picture that shows the mat mirrored, as if seen through the paper.

    `nominal` (corners, 3) is one board as drawn, y up the page. The sign of the plane map from
    mat to picture tells: y of a picture runs down, so that a true picture turns the sense round.
    """
    each = len(nominal)
    for k, name in enumerate(seen.names):
        mine = np.flatnonzero(seen.picture == k)
        cards, counts = np.unique(seen.corner[mine] // each, return_counts=True)
        fullest = mine[seen.corner[mine] // each == cards[counts.argmax()]]
        flat = nominal[seen.corner[fullest] % each, :2]
        plane, _ = cv2.findHomography(flat, seen.px[fullest], cv2.RANSAC, 5.0)
        middle = np.append(flat.mean(axis=0), 1.0)
        if plane is None or np.linalg.det(plane) * (plane @ middle)[2] > 0.0:
            raise JobError(
                f"The picture {name} shows the mat mirrored or garbled.",
                "Check that the picture was not flipped and that the mat was printed by this "
                "program, or leave the picture out.",
            )


def plain_cameras(seen: Sightings, nominal: Array) -> tuple[Cameras, Sightings]:
    """Cameras without drift on the mat as drawn, and the corners that agree with them.

    Calibrates, throws out corners beyond `robust_limit` of their camera's pictures, and repeats
    until none goes or four times. Raises JobError where a camera has no solution.
    """
    cameras, kept = _calibrated(seen, nominal), seen
    for _ in range(4):
        gap = np.linalg.norm(residuals(cameras, kept), axis=1)
        good = np.ones(len(gap), dtype=bool)
        for camera in np.unique(kept.group):
            mine = kept.group[kept.picture] == camera
            good[mine] = gap[mine] <= robust_limit(gap[mine])
        enough = kept.kept(good).counts() >= 6
        good |= ~enough[kept.picture]
        if good.all():
            break
        kept = kept.kept(good)
        cameras = _calibrated(kept, nominal)
    return cameras, kept


def _calibrated(seen: Sightings, nominal: Array) -> Cameras:
    pictures = len(seen.names)
    turn, shift = np.zeros((pictures, 3)), np.zeros((pictures, 3))
    lens = np.zeros((int(seen.group.max()) + 1, 8))
    for camera in range(len(lens)):
        members = np.flatnonzero(seen.group == camera)
        solved = _one_camera(seen, nominal, members)
        lens[camera], turn[members], shift[members] = solved
    return Cameras(lens=lens, turn=turn, shift=shift, drift=np.zeros((pictures, 3)), points=nominal)


def _one_camera(
    seen: Sightings, nominal: Array, members: NDArray[np.int64]
) -> tuple[Array, Array, Array]:
    mine = [seen.picture == k for k in members]
    points = [nominal[seen.corner[m]].astype(np.float32) for m in mine]
    px = [seen.px[m].astype(np.float32) for m in mine]
    flags = cv2.CALIB_FIX_ASPECT_RATIO
    if len(members) < 5:
        # Few pictures do not hold the finer terms; the bundle frees them under priors.
        flags |= cv2.CALIB_ZERO_TANGENT_DIST | cv2.CALIB_FIX_K3 | cv2.CALIB_FIX_PRINCIPAL_POINT
    if len(members) < 3:
        flags |= cv2.CALIB_FIX_K1 | cv2.CALIB_FIX_K2
    size = seen.sizes[members[0]]
    try:
        with opencv_in_order():
            _, matrix, bend, turn, shift = cv2.calibrateCamera(
                points, px, size, np.eye(3), np.zeros(5), flags=flags
            )
    except cv2.error as error:
        raise _no_camera(seen, members) from error
    lens = np.concatenate([[matrix[0, 0]], matrix[:2, 2], np.ravel(bend)[:5]])
    turns = np.array(turn, dtype=np.float64).reshape(-1, 3)
    shifts = np.array(shift, dtype=np.float64).reshape(-1, 3)
    if not (np.all(np.isfinite(lens)) and 0.2 < lens[0] / max(size) < 20.0):
        raise _no_camera(seen, members)
    return lens, turns, shifts


def _no_camera(seen: Sightings, members: NDArray[np.int64]) -> JobError:
    names = ", ".join(seen.names[k] for k in members[:3])
    more = ", ..." if len(members) > 3 else ""
    return JobError(
        f"The pictures {names}{more} do not fit one camera.",
        "Take them with one camera at one zoom, from several sides and heights, with the mat "
        "in view.",
    )
