"""What may be wrong with a survey: refusals, and findings beside an answer."""

import numpy as np
from numpy.typing import NDArray

from buckwright.checking.seating import Seat
from buckwright.checking.starts import principal_axes, region_samples
from buckwright.errors import JobError
from buckwright.model.checking import Spot, Survey
from buckwright.model.finding import Finding
from buckwright.model.skin import Skin, SkinRegion

__all__ = ["check_points", "check_seat", "findings_of_check", "region_of"]

Array = NDArray[np.float64]

LEAST_POINTS = 12
THIN = 0.01
"""Points whose second spread is less than this share of the first lie on one line."""
UNITS = (("inches", 25.4), ("centimetres", 10.0), ("metres", 1000.0))
LARGEST, SMALLEST = 1.6, 0.2
"""Size of a survey over the size of its region that is believed."""
MISFIT_SHARE = 0.01
"""Typical distance, as a share of the region's size, beyond which the points do not fit it."""
WIDE_SPACING = 50.0
LOOSE = 8.0
"""mm that the points may be able to slide before it is said."""
ALIKE = 1.3
"""Two seats whose misfit differs by less than this factor are equally good."""


def region_of(survey: Survey, skin: Skin) -> SkinRegion:
    """The region that was measured. Raises JobError if the skin has none of that name."""
    for region in skin.regions:
        if region.name == survey.region and region.side == survey.side:
            return region
    there = ", ".join(f"{r.name} ({r.side})" for r in skin.regions) or "none"
    raise JobError(
        f"The survey '{survey.name}' is of '{survey.region}' ({survey.side}), which the skin "
        "does not have.",
        f"Name one of: {there}.",
    )


def check_points(survey: Survey, region: SkinRegion) -> None:
    """Raises JobError for points that cannot be seated: too few, on a line, in other units."""
    count = len(survey.points)
    if count < LEAST_POINTS:
        raise JobError(
            f"The survey '{survey.name}' has {count} points, too few to seat it on the "
            f"{region.name}.",
            f"Measure {LEAST_POINTS} at least, better 100, spread over the whole panel.",
        )
    _, _, spread = principal_axes(survey.points, np.ones(count))
    if spread[1] <= THIN * spread[0]:
        raise JobError(
            f"The points of the survey '{survey.name}' lie on one line.",
            "Measure points spread over the whole panel.",
        )
    samples, _, area = region_samples(region.vertices, region.triangles)
    _, _, own = principal_axes(samples, area)
    ratio = float(np.linalg.norm(spread) / np.linalg.norm(own))
    if not SMALLEST <= ratio <= LARGEST:
        raise JobError(_size_words(survey, region, ratio), _size_remedy(ratio))


def _size_words(survey: Survey, region: SkinRegion, ratio: float) -> str:
    times = f"{ratio:.3g} times as large as" if ratio > 1.0 else f"only {ratio:.2g} of the size of"
    return f"The survey '{survey.name}' is {times} the {region.name}."


def _size_remedy(ratio: float) -> str:
    for name, factor in UNITS:
        if 0.5 < ratio * factor < 1.3:
            return f"It looks like {name} read as millimetres: write '# units: {name}' before it."
        if 0.5 < ratio / factor < 1.3:
            return f"It looks like millimetres read as {name}: write '# units: mm' before it."
    return "Measure over the whole panel, and see that the right region is named."


def check_seat(survey: Survey, region: SkinRegion, seat: Seat, off_edge: NDArray[np.bool_]) -> None:
    """Raises JobError where even the best seat does not fit."""
    size = float(np.linalg.norm(np.ptp(region.vertices, axis=0)))
    most = max(MISFIT_SHARE * size, 4.0 * survey.sigma)
    if seat.spread > most:
        raise JobError(
            f"The survey '{survey.name}' does not fit the {region.name} ({region.side}): at best "
            f"its points lie {seat.spread:.0f} mm off.",
            "See that region, side and units are right.",
        )
    if off_edge.mean() > 0.5:
        raise JobError(
            f"Most points of the survey '{survey.name}' lie beyond the edge of the {region.name} "
            f"({region.side}).",
            "See that region, side and units are right, and leave out points beside the panel.",
        )


def findings_of_check(
    survey: Survey,
    seats: tuple[Seat, ...],
    off_edge: NDArray[np.bool_],
    lone: Array,
    spacing: float,
    spots: tuple[Spot, ...] = (),
) -> tuple[Finding, ...]:
    """Doubts about a survey that was seated; `lone` (k, 3) are single points that stand out."""
    found = [
        _two_ways(survey, seats),
        _loose(survey, seats[0]),
        _off_edge(survey, int(off_edge.sum())),
        _lone(survey, lone),
        _wide(survey, spacing),
        _unsure(survey, spots),
    ]
    return tuple(finding for finding in found if finding is not None)


def _two_ways(survey: Survey, seats: tuple[Seat, ...]) -> Finding | None:
    if len(seats) < 2 or seats[1].misfit > ALIKE * seats[0].misfit:
        return None
    return Finding(
        code="seated-two-ways",
        where=survey.name,
        message="The points fit the skin equally well in another position, so that a spot may "
        "lie elsewhere.",
        remedy="Measure with the panel lying as it will on the vehicle, or measure more points.",
    )


def _loose(survey: Survey, seat: Seat) -> Finding | None:
    if seat.loose <= LOOSE:
        return None
    far = "any distance" if np.isinf(seat.loose) else f"{seat.loose:.0f} mm"
    return Finding(
        code="seating-loose",
        where=survey.name,
        message=f"The points could slide along the skin by {far} without its showing: heights "
        "are right, places less so.",
        remedy="Measure points over the whole panel, its most curved parts above all.",
    )


def _off_edge(survey: Survey, count: int) -> Finding | None:
    if count == 0:
        return None
    return Finding(
        code="points-off-edge",
        kind="note",
        where=survey.name,
        message=f"{count} points lie beyond the edge of the region and were left out.",
        remedy="Nothing, if they are on a flange or beside the panel; else measure them again.",
    )


def _lone(survey: Survey, lone: Array) -> Finding | None:
    if len(lone) == 0:
        return None
    x, y, z = lone[0]
    return Finding(
        code="lone-points",
        where=survey.name,
        message=f"{len(lone)} single points stand out without neighbours that do, the first at "
        f"station {x:.0f}, {abs(y):.0f} mm {'left' if y < 0.0 else 'right'}, height {z:.0f}.",
        remedy="Measure closer there: it is a small spot or a slip of the hand.",
    )


def _wide(survey: Survey, spacing: float) -> Finding | None:
    if spacing <= WIDE_SPACING:
        return None
    return Finding(
        code="points-wide-apart",
        where=survey.name,
        message=f"The points stand about {spacing:.0f} mm apart: a smaller spot may lie between.",
        remedy="Measure closer where the panel matters most.",
    )


def _unsure(survey: Survey, spots: tuple[Spot, ...]) -> Finding | None:
    """Spots no higher than what the points, the seating and the skin may be off."""
    small = [spot for spot in spots if abs(spot.height) < spot.doubt]
    if not small:
        return None
    many = "One spot is" if len(small) == 1 else f"{len(small)} spots are"
    most = max(small, key=lambda spot: spot.doubt)
    return Finding(
        code="spot-within-doubt",
        where=survey.name,
        message=f"{many} no more off than the skin itself may be from the shape that was meant: "
        f"{most.height:+.1f} mm, give or take {most.doubt:.1f}.",
        remedy="Work to the skin if it is the pattern; else trace a line across the spot first.",
    )
