"""Which lines meet which, and where, as the regions ask for it."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.polyline import arc_lengths, crossing_of_polylines
from buckwright.geometry.polyline_meetings import Meeting, polyline_meetings
from buckwright.model.fields import MEET
from buckwright.model.lines import Crossing, Line, LineNetwork
from buckwright.model.skin import RegionSpec
from buckwright.skin.ruler import Ruler

__all__ = ["line_named", "missing_corners", "near_misses", "partners_of"]

Array = NDArray[np.float64]

MISS = 0.6
"""Neighbours on a boundary meet though they miss each other by this share of the edge length."""
BESIDE = 15.0 * MEET
"""mm: lines that stay near each other for longer run along each other there, and do not cross."""
SAME = 8.0 * MEET
"""mm between a listed crossing of two lines and a place where they come near: one place."""


def line_named(network: LineNetwork, name: str) -> Line:
    """The line of that name; JobError if a region names one that does not exist."""
    try:
        return network.line(name)
    except KeyError:
        raise JobError(
            f"A region names the line '{name}', which does not exist.",
            "Trace that line in two pictures at least, or take it out of the region.",
        ) from None


def partners_of(regions: Iterable[RegionSpec]) -> dict[str, set[str]]:
    """For each line the lines it shares a region with."""
    found: dict[str, set[str]] = {}
    for region in regions:
        names = {*region.boundary, *region.inner, *region.holes}
        for name in names:
            found.setdefault(name, set()).update(names - {name})
    return found


def missing_corners(
    regions: Sequence[RegionSpec],
    crossings: Sequence[Crossing],
    rulers: dict[str, Ruler],
    edge_length: float,
) -> list[Crossing]:
    """Meetings that the network does not list: near misses, and corners of boundaries.

    Neighbours on a boundary meet where they come closest, other lines within `MEET`.
    """
    added = near_misses(partners_of(regions), crossings, rulers)
    known = {frozenset(c.lines) for c in (*crossings, *added)}
    for region in regions:
        following = (*region.boundary[1:], region.boundary[0])
        for pair in zip(region.boundary, following, strict=True):
            if len(set(pair)) < 2 or frozenset(pair) in known:
                continue
            known.add(frozenset(pair))
            added.append(_closest_approach(region.name, pair, rulers, edge_length))
    return added


def _closest_approach(
    region: str, pair: tuple[str, str], rulers: dict[str, Ruler], edge_length: float
) -> Crossing:
    first, second = (rulers[name] for name in pair)
    gap, p, q, along, other = crossing_of_polylines(first.points[::4], second.points[::4])
    if gap > MISS * edge_length:
        raise JobError(
            f"On the boundary of '{region}', '{pair[0]}' and '{pair[1]}' do not meet: "
            f"they are {gap:.0f} mm apart where they come closest.",
            "Put the boundary's lines in order, or lengthen the shorter line until they cross.",
        )
    parameters = (
        float(np.interp(along, first.along, first.at)),
        float(np.interp(other, second.along, second.at)),
    )
    return Crossing(lines=pair, parameters=parameters, point=0.5 * (p + q), gap=gap)


def near_misses(
    partners: dict[str, set[str]], crossings: Sequence[Crossing], rulers: dict[str, Ruler]
) -> list[Crossing]:
    """Places where two lines of one region come within `MEET` of each other, and no crossing is.

    Lines that run along each other do not cross there.
    """
    listed: dict[frozenset[str], list[Array]] = {}
    for crossing in crossings:
        listed.setdefault(frozenset(crossing.lines), []).append(crossing.point)
    pairs = {(min(a, b), max(a, b)) for a, others in partners.items() for b in others}
    added: list[Crossing] = []
    for pair in sorted(pairs):
        first, second = (rulers[name] for name in pair)
        known = listed.get(frozenset(pair), [])
        for place in polyline_meetings(_thinned(first)[0], _thinned(second)[0], within=MEET):
            beside = place.stretch > BESIDE
            if not beside and all(np.linalg.norm(place.point - p) > SAME for p in known):
                added.append(_met_at(pair, place, first, second))
    return added


def _thinned(ruler: Ruler) -> tuple[Array, Array]:
    """Every fourth point of a ruler and its parameter, both ends kept."""
    chosen = np.unique(np.append(np.arange(0, len(ruler.at), 4), len(ruler.at) - 1))
    return ruler.points[chosen], ruler.at[chosen]


def _met_at(pair: tuple[str, str], place: Meeting, first: Ruler, second: Ruler) -> Crossing:
    at = []
    for ruler, along in ((first, place.first), (second, place.second)):
        points, parameters = _thinned(ruler)
        at.append(float(np.interp(along, arc_lengths(points), parameters)))
    return Crossing(lines=pair, parameters=(at[0], at[1]), point=place.point, gap=place.gap)
