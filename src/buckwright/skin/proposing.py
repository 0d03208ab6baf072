"""Regions and open fields, found from the lines and their crossings by themselves.

Edges divide the skin, tape lies on it. What is joined without crossing an edge is one smooth
region. A field with edges all round and no line on it is open; a line is laid on metal.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.model.fields import FieldChoice, FoundFields, PlacedFinding
from buckwright.model.lines import LineNetwork, LineSpec
from buckwright.model.skin import RegionSpec
from buckwright.skin.line_faults import line_faults, loose_ends, tangles
from buckwright.skin.line_map import LineMap, Piece, Territory
from buckwright.skin.opening_out import opening_cuts
from buckwright.skin.sampling import sample_network
from buckwright.skin.telling import Land, said_by_hand, told_regions
from buckwright.skin.walls import Walls, part_walls

__all__ = ["map_lines", "propose_fields"]

Array = NDArray[np.float64]

STEP = 25.0
"""mm between the samples along lines from which the fields are found."""
ROUNDS = 8
"""Times a ring round an opening is divided at most."""


def propose_fields(
    network: LineNetwork,
    specs: Sequence[LineSpec] = (),
    choices: Sequence[FieldChoice] = (),
    *,
    known: Sequence[RegionSpec] = (),
) -> FoundFields:
    """What the lines bound, each with why, largest first; and lines that bound nothing.

    Lines within 2 mm of each other (`MEET`) meet. `specs` tell edges from tape and which lines
    are no part of the body; `choices` are corrections by hand; `known` regions lend their names.
    Raises JobError where there is no line at all.
    """
    datum = {spec.name for spec in specs if spec.use == "datum"}
    asked = datum | {c.lines[0] for c in choices if c.what == "leave out"}
    body = [line for line in network.lines if line.name not in asked]
    out, findings = line_faults(body)
    names = [line.name for line in body if line.name not in out]
    if not names:
        raise JobError("There are no lines to bound a skin.", "Trace the body's lines first.")
    lines, more = _in_order(network, names)
    lands, doubts = _lands(lines, specs, choices)
    regions, rings = told_regions(lines, lands, specs, choices, known)
    return FoundFields(regions=regions, findings=(*findings, *more, *doubts, *rings))


def map_lines(network: LineNetwork, names: Sequence[str]) -> LineMap:
    """The map of these lines."""
    spec = RegionSpec(name="all lines", boundary=(names[0],), inner=tuple(names[1:]))
    return LineMap(sample_network(network, (spec,), edge_length=STEP, step=STEP))


def _in_order(network: LineNetwork, names: Sequence[str]) -> tuple[LineMap, list[PlacedFinding]]:
    """The map of those lines that lie in order on surfaces, and which do not."""
    findings: list[PlacedFinding] = []
    kept = list(names)
    while True:
        lines = map_lines(network, kept)
        tangled = [part for part in lines.parts if lines.excess(part) > 0]
        if not tangled:
            return lines, findings
        suspects = sorted({name for name, _ in tangled[0]})
        without = [(n, map_lines(network, [k for k in kept if k != n])) for n in suspects]
        name, finding = tangles(lines, without)
        kept.remove(name)
        findings.append(finding)


@dataclass(frozen=True, slots=True)
class _Part:
    """One connected part of the network, divided."""

    pieces: frozenset[Piece]
    walls: Walls
    lands: list[Territory]

    @property
    def bare(self) -> bool:
        """Whether it is one loop, or lines without any, with nothing inside."""
        return len(self.lands) < 3 and all(not (land.loops and land.inner) for land in self.lands)


def _lands(
    lines: LineMap, specs: Sequence[LineSpec], choices: Sequence[FieldChoice]
) -> tuple[list[Land], list[PlacedFinding]]:
    parts: list[_Part] = []
    findings: list[PlacedFinding] = []
    for pieces in lines.parts:
        walls = part_walls(lines, pieces, specs, choices)
        findings += loose_ends(lines, walls.edges)
        parts.append(_Part(pieces, walls, lines.territories(pieces, walls.pieces)))
    found = [
        said_by_hand(lines, land, choices)
        for part in parts
        if not part.bare
        for land in _opened_out(lines, part)
    ]
    for part in parts:
        if part.bare:
            found = _settled(lines, part, found, choices)
    return found, findings


def _opened_out(lines: LineMap, part: _Part) -> list[Land]:
    """The lands of a part, rings round openings divided; each told metal or open."""
    walls, found = part.walls.pieces, part.lands
    metal = {k for land in found if _is_metal(land, part.walls) for k in land.fields}
    cuts: frozenset[Piece] = frozenset()
    for _ in range(ROUNDS):
        rings = [land for land in found if len(land.loops) > 1 and land.fields & metal]
        fresh = frozenset(p for ring in rings for p in opening_cuts(lines, ring))
        fresh -= walls | part.walls.joined
        if not fresh:
            break
        cuts, walls = cuts | fresh, walls | fresh
        found = lines.territories(part.pieces, walls)
    return [
        Land(land, bool(land.fields & metal), part.walls, bool(land.border() & cuts))
        for land in found
        if land.loops
    ]


def _is_metal(land: Territory, walls: Walls) -> bool:
    return bool(land.inner) or bool(land.border() - walls.edges)


def _settled(
    lines: LineMap, part: _Part, found: list[Land], choices: Sequence[FieldChoice]
) -> list[Land]:
    """A part with nothing inside it put where it lies: a hole, a line on metal, or by itself."""
    pieces = sorted(part.pieces)
    points = np.vstack([lines.samples.points[lines.pieces[p]] for p in pieces])
    land = Land(part.lands[0], _is_metal(part.lands[0], part.walls), part.walls, divided=False)
    near = [k for k, host in enumerate(found) if host.metal and host.surrounds(lines, points)]
    alone = [said_by_hand(lines, land, choices)] if land.ground.loops else []
    if not near:
        return [*found, *alone]
    k = min(near, key=lambda k: found[k].distance(lines, points))
    names = tuple(dict.fromkeys(name for name, _ in pieces))
    hole = bool(alone) and _rings_an_opening(part, alone[0])
    if hole:
        host = replace(found[k], holes=(*found[k].holes, alone[0].boundary()))
    else:
        host = replace(found[k], laid=(*found[k].laid, *names))
    return [*found[:k], host, *found[k + 1 :], *(alone if hole else [])]


def _rings_an_opening(part: _Part, land: Land) -> bool:
    """Whether a part is nothing but one loop of edges with no metal in it, each line once."""
    names = land.boundary()
    return part.walls.edges >= part.pieces and not land.metal and len(set(names)) == len(names)
