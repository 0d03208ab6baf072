"""Which lines meet which, and where, as the regions ask for it."""

from collections.abc import Iterable, Sequence

import numpy as np

from buckwright.errors import JobError
from buckwright.geometry.polyline import crossing_of_polylines
from buckwright.model.lines import Crossing, Line, LineNetwork
from buckwright.model.skin import RegionSpec
from buckwright.skin.ruler import Ruler

__all__ = ["line_named", "missing_corners", "partners_of"]

MISS = 0.6
"""Neighbours on a boundary meet though they miss each other by this share of the edge length."""


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
    """Corners of boundaries that the network does not list: where the neighbours come closest."""
    known = {frozenset(c.lines) for c in crossings}
    added: list[Crossing] = []
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
