"""Lines that cannot bound anything, each with the place where it shows."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.polyline import (
    closest_on_polyline,
    polyline_length,
    resample_polyline,
)
from buckwright.geometry.polyline_meetings import self_meetings
from buckwright.model.fields import MEET, PlacedFinding
from buckwright.model.finding import told_place
from buckwright.model.lines import Line
from buckwright.skin.line_map import LineMap, Piece

__all__ = ["line_faults", "loose_ends", "tangles"]

Array = NDArray[np.float64]

LEAST = 5.0
"""mm: a line shorter than this is none."""
TWICE = 0.5
"""Share of the shorter line's length over which two lines are one line traced twice."""
BACK = 25.0
"""mm along a line, within which its own neighbourhood does not count as crossing itself."""
STEP = 5.0
"""mm between the points with which lines are compared."""


def line_faults(lines: Sequence[Line]) -> tuple[set[str], list[PlacedFinding]]:
    """Names of lines to leave out (without length, or traced twice), and what is wrong.

    Lines that cross themselves are told, and kept.
    """
    out: set[str] = set()
    found: list[PlacedFinding] = []
    points: dict[str, Array] = {}
    for line in lines:
        rough = line.points(64)
        length = polyline_length(rough)
        if length < LEAST:
            out.add(line.name)
            found.append(_without_length(line.name, length, rough[0]))
            continue
        fine = line.points(max(65, 2 * int(length / STEP)))
        points[line.name] = resample_polyline(fine, max(9, int(length / STEP)))
    kept = [line for line in lines if line.name not in out]
    found += [fault for line in kept for fault in _self_crossings(line, points[line.name])]
    for k, line in enumerate(kept):
        for other in kept[:k]:
            place = _traced_twice(points[other.name], points[line.name])
            if place is not None and other.name not in out:
                out.add(line.name)
                found.append(_doubled(other.name, line.name, place))
                break
    return out, found


def _self_crossings(line: Line, points: Array) -> list[PlacedFinding]:
    open_points = points[:-1] if line.closed else points
    met = self_meetings(open_points, within=MEET, apart=BACK, closed=line.closed)
    return [
        PlacedFinding(
            code="self-crossing-line",
            where=line.name,
            message=f"'{line.name}' crosses itself {_at(one.point)}.",
            remedy="Trace it anew as two lines, or move the trace that strays.",
            place=told_place(one.point),
        )
        for one in met
    ]


def _traced_twice(first: Array, second: Array) -> Array | None:
    """The middle of the stretch over which two lines are one, None if they are two."""
    short, long = sorted((first, second), key=polyline_length)
    low, high = long.min(axis=0) - MEET, long.max(axis=0) + MEET
    if (short.max(axis=0) < low).any() or (short.min(axis=0) > high).any():
        return None
    # The points of the other are half a step away at most along it.
    near = cKDTree(long).query(short)[0] <= np.hypot(MEET, 0.5 * STEP)
    if near.mean() < TWICE:
        return None
    where = np.flatnonzero(near)
    return np.asarray(short[where[len(where) // 2]])


def _without_length(name: str, length: float, point: Array) -> PlacedFinding:
    return PlacedFinding(
        code="line-without-length",
        where=name,
        message=f"'{name}' is {length:.1f} mm long: it bounds nothing.",
        remedy="Take it out, or trace the whole of it.",
        place=told_place(point),
    )


def _doubled(first: str, second: str, place: Array) -> PlacedFinding:
    return PlacedFinding(
        code="doubled-line",
        where=second,
        message=f"'{second}' lies on '{first}': the same line twice.",
        remedy=f"Take one of them out; '{second}' was left out here.",
        place=told_place(place),
    )


def loose_ends(lines: LineMap, edges: frozenset[Piece]) -> list[PlacedFinding]:
    """Ends of edges that meet nothing: the loop they should close is open there."""
    found = []
    for name in sorted({piece[0] for piece in edges}):
        arcs = lines.samples.arcs[name]
        for node in (int(arcs[0].vertices[0]), int(arcs[-1].vertices[-1])):
            if len(lines.ring[node]) == 1:
                found.append(_open_end(lines, name, node))
    return found


def _open_end(lines: LineMap, name: str, node: int) -> PlacedFinding:
    point = lines.samples.points[node]
    gaps = {
        other: float(closest_on_polyline(point[None], lines.samples.points[vertices])[0][0])
        for (other, _), vertices in lines.pieces.items()
        if other != name
    }
    told = "and meets no other line"
    if gaps:
        nearest = min(gaps, key=lambda other: _least(lines, point, other))
        gap = _least(lines, point, nearest)
        told = f"{gap:.0f} mm from '{nearest}', the nearest line"
    return PlacedFinding(
        code="open-loop",
        where=name,
        message=f"The edge '{name}' ends {_at(point)}, {told}: the loop is open there.",
        remedy="Trace it until it meets, or mark it as tape if no metal ends on it.",
        place=told_place(point),
    )


def _least(lines: LineMap, point: Array, name: str) -> float:
    return min(
        float(closest_on_polyline(point[None], lines.samples.points[v])[0][0])
        for (other, _), v in lines.pieces.items()
        if other == name
    )


def tangles(lines: LineMap, without: Sequence[tuple[str, LineMap]]) -> tuple[str, PlacedFinding]:
    """The line that keeps a part from lying in order on one surface, and where it shows.

    `without` holds, for each line that may be the culprit, the map of the others.
    """
    suspects = _suspects(lines, without)
    name = suspects[0]
    nodes = [v for v in lines.samples.nodes(name) if len(lines.ring[v]) > 2]
    nodes = nodes or sorted(lines.samples.nodes(name))
    node = max(nodes, key=lambda v: _unflat(lines, v))
    point = lines.samples.points[node]
    others = "".join(f", or without '{other}'" for other in suspects[1:3])
    return name, PlacedFinding(
        code="tangled-lines",
        where=name,
        message=f"The lines round '{name}' pass over each other without meeting, as {_at(point)}; "
        f"without it{others} they lie in order.",
        remedy=f"Look for a crossing that is missing or wrong; '{name}' was left out here.",
        place=told_place(point),
    )


def _suspects(lines: LineMap, without: Sequence[tuple[str, LineMap]]) -> list[str]:
    """Lines without which there is least disorder, that with fewest meetings first."""
    left = {name: sum(max(0, rest.excess(p)) for p in rest.parts) for name, rest in without}
    least = min(left.values())
    suspects = [name for name in left if left[name] == least]
    return sorted(suspects, key=lambda n: (len(lines.samples.nodes(n)), _length(lines, n)))


def _length(lines: LineMap, name: str) -> float:
    return sum(lines.length(piece) for piece in lines.pieces if piece[0] == name)


def _unflat(lines: LineMap, node: int) -> float:
    """How far the directions at a node are from lying in one plane."""
    off = lines.samples.points[lines.ring[node]] - lines.samples.points[node]
    unit = off / np.linalg.norm(off, axis=1, keepdims=True)
    return float(np.linalg.svd(unit, compute_uv=False)[-1]) if len(unit) > 2 else 0.0


def _at(point: Array) -> str:
    # Nothing is not written as -0.
    x, y, z = (round(float(v)) + 0 for v in point)
    side = "" if y == 0 else f", {abs(y)} mm to the {'left' if y < 0 else 'right'}"
    return f"at station {x} mm, {z} mm up{side}"
