"""From corners to cameras: the whole of calibration, and the doubts about it."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.bundle import Adjusted, Lengths, adjust
from buckwright.capture.cards import first_figure, recentred
from buckwright.capture.corners import LEAST_CORNERS
from buckwright.capture.doubts import calibration_findings
from buckwright.capture.placing import Placed, measured_lengths, place
from buckwright.capture.priors import first_prior
from buckwright.capture.sightings import Cameras, Sightings, collect, residuals
from buckwright.capture.start import check_seen_from_above, plain_cameras
from buckwright.capture.zoom import check_one_zoom
from buckwright.errors import JobError
from buckwright.geometry.board import inner_corners
from buckwright.model.finding import Finding
from buckwright.model.pictures import Calibration, CameraGroup, Corners, Mat, Picture

__all__ = ["calibrate", "check_corners"]

Array = NDArray[np.float64]


def calibrate(corners: Sequence[Corners], mat: Mat) -> Calibration:
    """Where every camera stood, in true millimetres of the mat if it has a calipered bar.

    Pictures of one size count as taken by one camera at one zoom. Frame: z up out of the paper,
    x along the columns, y up the page, origin at the drawn top-left outer corner. The errors in
    `centre_sigma` hold in that frame and at that scale.

    Raises JobError with fewer than two pictures, with a picture that shows the mat mirrored or
    has too few corners, and where pictures do not fit one camera.
    """
    _check(corners, mat)
    board = inner_corners(mat.squares, mat.square_mm)
    seen = collect(corners)
    check_seen_from_above(seen, board)
    start, kept, nominal = _started(seen, board, mat)
    check_one_zoom(start, kept, nominal)
    plain_rms = _rms(residuals(start, kept))
    kept, start, dropped = _with_enough(kept, start)
    bars = measured_lengths(mat, kept)
    adjusted = _adjusted(start, kept, board, bars)
    bars = measured_lengths(mat, adjusted.seen)
    placed = place(adjusted, mat, board, bars)
    findings = calibration_findings(
        adjusted, placed, mat, nominal=nominal, plain_rms=plain_rms, left_out=dropped
    )
    return _answer(adjusted, placed, measured=bool(len(bars.mm)), findings=findings)


def _started(seen: Sightings, board: Array, mat: Mat) -> tuple[Cameras, Sightings, Array]:
    """Cameras before the adjustment, the corners that agree, and the mat as first laid."""
    if mat.cards == 1:
        start, kept = plain_cameras(seen, board)
        return start, kept, board
    start, kept, nominal, _ = first_figure(seen, board, mat.corners_each)
    return start, kept, nominal


def _adjusted(start: Cameras, kept: Sightings, board: Array, bars: Lengths) -> Adjusted:
    """The bundle; a set of cards twice, the second time round where they were found."""
    widths = np.array(
        [kept.sizes[int(np.flatnonzero(kept.group == g)[0])][0] for g in range(len(start.lens))],
        dtype=np.float64,
    )
    each = len(board)
    held = int(np.bincount(kept.corner // each).argmax())
    cards = len(start.points) // each
    for _ in range(1 if cards == 1 else 2):
        prior = first_prior(start, widths, each=each, held=held)
        adjusted = adjust(start, kept, prior=prior, bars=bars)
        now, kept = adjusted.cameras, adjusted.seen
        if cards > 1:
            start = replace(now, points=recentred(now.points, board), drift=np.zeros_like(now.turn))
    return adjusted


def check_corners(corners: Corners, mat: Mat) -> None:
    """Whether one picture may be calibrated with others.

    Raises JobError for one that shows the mat mirrored or has too few corners.
    """
    _check_one(corners, mat)
    check_seen_from_above(collect([corners]), inner_corners(mat.squares, mat.square_mm))


def _check(corners: Sequence[Corners], mat: Mat) -> None:
    if len(corners) < 2:
        raise JobError(
            f"There {'is only one picture' if corners else 'is no picture'} of the mat.",
            "Take eight or more, at two heights all round: a line needs two at the very least.",
        )
    names = [c.picture for c in corners]
    if len(set(names)) < len(names):
        message = "every picture needs a name of its own"
        raise ValueError(message)
    for seen in corners:
        _check_one(seen, mat)


def _check_one(seen: Corners, mat: Mat) -> None:
    most = mat.corners_each * mat.cards
    if len(seen.ids) != len(seen.px) or np.any((seen.ids < 0) | (seen.ids >= most)):
        message = f"corners of {seen.picture} do not belong to this mat"
        raise ValueError(message)
    if len(np.unique(seen.ids)) < LEAST_CORNERS:
        raise JobError(
            f"The picture {seen.picture} shows only {len(np.unique(seen.ids))} corners of the mat.",
            f"Leave it out, or take it again with at least {LEAST_CORNERS} in view.",
        )


def _with_enough(kept: Sightings, start: Cameras) -> tuple[Sightings, Cameras, tuple[str, ...]]:
    """Without the pictures in which too few corners agreed, and their names."""
    few = [k for k, count in enumerate(kept.counts()) if count < LEAST_CORNERS]
    if not few:
        return kept, start, ()
    stay = [k for k in range(len(kept.names)) if k not in few]
    if len(stay) < 2:
        raise JobError(
            "Fewer than two pictures agree about the mat.",
            "Take them again with the mat flat, sharp and well in view.",
        )
    used = np.unique(kept.group[stay])
    cameras = Cameras(
        lens=start.lens[used],
        turn=start.turn[stay],
        shift=start.shift[stay],
        drift=start.drift[stay],
        points=start.points,
    )
    return kept.without(few), cameras, tuple(kept.names[k] for k in few)


def _rms(gap: Array) -> float:
    return float(np.sqrt(np.mean(gap**2)))


def _answer(
    adjusted: Adjusted, placed: Placed, *, measured: bool, findings: tuple[Finding, ...]
) -> Calibration:
    seen, cameras = adjusted.seen, placed.cameras
    gap, counts = residuals(cameras, seen), seen.counts()
    focal, principal = cameras.focal(seen.group), cameras.principal(seen.group)
    pictures = tuple(
        Picture(
            name=name,
            size=seen.sizes[k],
            rotation_vector=cameras.turn[k],
            translation=cameras.shift[k],
            focal=float(focal[k]),
            principal=(float(principal[k, 0]), float(principal[k, 1])),
            distortion=cameras.lens[seen.group[k], 3:],
            residual_px=_rms(gap[seen.picture == k]),
            corners_used=int(counts[k]),
        )
        for k, name in enumerate(seen.names)
    )
    groups = tuple(
        CameraGroup(focal=lens[0], centre=(lens[1], lens[2]), distortion=lens[3:])
        for lens in cameras.lens.tolist()
    )
    return Calibration(
        pictures=pictures,
        groups=groups,
        mat_points=cameras.points,
        residual_px=_rms(gap),
        scale="bar" if measured else "not measured",
        scale_sigma=placed.scale_sigma,
        centre_sigma=placed.centre_sigma,
        covariance=placed.covariance[np.tril_indices(len(placed.covariance))],
        group_of=seen.group,
        findings=findings,
    )
