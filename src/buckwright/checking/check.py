"""`check_survey`: points on a built part against its region of the skin."""

from collections.abc import Mapping
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.checking.doubts import check_points, check_seat, findings_of_check, region_of
from buckwright.checking.seating import Region, seat_points
from buckwright.checking.skin_doubt import skin_doubt
from buckwright.checking.spots import (
    LEAST_POINTS,
    Heap,
    find_heaps,
    point_areas,
    point_spacing,
)
from buckwright.checking.words import spot_words
from buckwright.model.checking import CheckResult, Spot, Survey
from buckwright.model.skin import Skin, SkinRegion

__all__ = ["check_survey"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

SURE = 3.0
"""Standard errors by which a point must stand out, beside the tolerance."""


def check_survey(
    survey: Survey, skin: Skin, *, tolerance: float, sigmas: Mapping[str, float] | None = None
) -> CheckResult:
    """Where the metal stands too high or lies too low, in mm along the skin's normal.

    The points may be in any frame: they are turned and shifted on to their region so that the
    many that fit decide, not those of a dent. A spot is three or more neighbouring points that
    stand off on the same side by more than `tolerance` (mm) and three standard errors; points
    beyond the region's edge count for nothing. Spots come with the largest height first.

    Heights are above the skin as it is: whether metal follows it does not hang on how sure it is.
    How far they are sure to be heights above the shape that was meant is told beside them, from
    the scan, the seating, and the skin: `sigmas` holds the standard error of each line, mm.

    Raises ValueError for a tolerance or a sigma that is not positive, JobError for a survey that
    cannot be seated: too few points, all on one line, other units, another part.
    """
    if not (tolerance > 0.0 and survey.sigma > 0.0):
        message = "the tolerance and the survey's sigma must be positive"
        raise ValueError(message)
    built = region_of(survey, skin)
    check_points(survey, built)
    region = Region(built.vertices, built.triangles, edge_margin=max(tolerance, 3.0 * survey.sigma))
    seats = seat_points(survey.points, region, sigma=survey.sigma)
    seat = seats[0]
    seated = seat.apply(survey.points)
    touch = region.touch(seated)
    check_seat(survey, built, seat, touch.off_edge)
    doubt = seat.distance_sigma(seated, touch.normal)
    on = np.flatnonzero(~touch.off_edge)
    spacing = point_spacing(seated[on])
    heaps, lone = find_heaps(
        seated[on],
        touch.distance[on],
        np.maximum(tolerance, SURE * np.hypot(survey.sigma, doubt[on])),
        point_areas(seated[on], built.vertices, built.triangles, spacing=spacing),
        spacing=spacing,
    )
    own = skin_doubt(built, seated, {} if sigmas is None else sigmas)
    sigma = np.sqrt(survey.sigma**2 + doubt**2 + own**2)
    spots = tuple(
        _spot(heap, region, built, _doubt(heap, on, survey.sigma, doubt, own)) for heap in heaps
    )
    quiet = np.delete(touch.distance[on], np.concatenate([lone, *(heap.rows for heap in heaps)]))
    return CheckResult(
        survey=survey.name,
        region=survey.region,
        rotation=seat.rotation,
        translation=seat.translation,
        seated=seated,
        distance=touch.distance,
        rms=float(np.sqrt(np.mean(quiet**2))) if len(quiet) else 0.0,
        seating_sigma=float(np.sqrt(np.mean(doubt[on] ** 2))),
        tolerance=tolerance,
        spots=spots,
        sigma=sigma,
        skin_sigma=float(np.sqrt(np.mean(own[on] ** 2))),
        findings=findings_of_check(survey, seats, touch.off_edge, seated[on][lone], spacing, spots),
    )


def _doubt(heap: Heap, on: Index, sigma: float, seat: Array, own: Array) -> float:
    """Two standard errors of a heap's height, which is the mean of so many points."""
    rows = on[heap.rows]
    together = np.sqrt(np.mean(seat[rows] ** 2 + own[rows] ** 2))
    return float(2.0 * np.hypot(sigma / np.sqrt(LEAST_POINTS), together))


def _spot(heap: Heap, region: Region, built: SkinRegion, doubt: float) -> Spot:
    touch = region.touch(heap.middle[None])
    centre = heap.middle - touch.distance[0] * touch.normal[0]
    kind: Literal["high", "low"] = "high" if heap.height > 0.0 else "low"
    return Spot(
        kind=kind,
        centre=centre,
        height=heap.height,
        mean=heap.mean,
        area=heap.area,
        points=len(heap.rows),
        words=spot_words(kind, heap.height, heap.area, centre, built),
        doubt=doubt,
    )
