"""One set of vertices along all lines, so that regions which share a line share its vertices.

node    a vertex where lines meet, or where a line ends
arc     the piece of a line between two nodes next to each other, sampled evenly but for bends
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from buckwright.model.creases import CreaseSpec
from buckwright.model.lines import Crossing, LineNetwork
from buckwright.model.skin import RegionSpec
from buckwright.skin.meeting import line_named, missing_corners, partners_of
from buckwright.skin.ruler import Ruler

__all__ = ["Arc", "Run", "Samples", "sample_network"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

MERGE = 0.2
"""Crossings of one line nearer to each other than this share of the edge length are one node."""
FADE = 8
"""Steps over which a line is led to a node that lies off it."""
STUB = 1.0
"""Ends that stick out past a crossing by less than this share of the edge length are left off."""


@dataclass(frozen=True, eq=False, slots=True)
class Arc:
    """A sampled piece of a line; a closed line that meets no other is one arc with equal ends."""

    line: str
    vertices: Index
    """In the sense of the line, both nodes included."""
    along: Array
    """mm along the line to each; past the whole length where a closed line starts anew."""

    @property
    def ends(self) -> tuple[int, int]:
        """The two nodes."""
        return int(self.vertices[0]), int(self.vertices[-1])


@dataclass(frozen=True, slots=True)
class Run:
    """Arcs of one line that follow each other, by number."""

    line: str
    numbers: tuple[int, ...]
    turned: bool = False
    """True when it is followed against the sense of its line."""
    closed: bool = False


@dataclass(frozen=True, eq=False, slots=True)
class Samples:
    """All vertices along lines, and the arcs of each line in order."""

    points: Array
    arcs: dict[str, tuple[Arc, ...]]
    _rulers: dict[str, Ruler]
    fade: int = FADE
    """Steps over which lines are led to nodes that lie off them."""

    def nodes(self, line: str) -> set[int]:
        """Nodes of a line."""
        return {end for arc in self.arcs[line] for end in arc.ends}

    def between_samples(self, run: Run, count: int) -> Array:
        """(k, 3) points of the line itself, `count` to a step between samples of a run."""
        ruler = self._rulers[run.line]
        arcs = [self.arcs[run.line][k] for k in run.numbers]
        return np.vstack(
            [
                ruler.places(
                    ruler.between(arc.along[0], arc.along[-1], count * (len(arc.along) - 1))
                )
                for arc in arcs
            ]
        )

    def finer(self, line: str, number: int, parts: int) -> tuple[Array, Array]:
        """One arc with each step divided in so many: mm along the line (k,), points (k, 3)."""
        arc = self.arcs[line][number]
        ruler = self._rulers[line]
        along = ruler.between(arc.along[0], arc.along[-1], parts * (len(arc.along) - 1))
        start, end = (self.points[node] for node in arc.ends)
        inner = _drawn_to_nodes(ruler.places(along), start, end, self.fade * parts)
        return along, np.vstack([start, inner, end])

    def divided(self, parts: int) -> "Samples":
        """The same nodes and arcs with each step divided in so many."""
        if parts == 1:
            return self
        nodes = 1 + max(end for arcs in self.arcs.values() for arc in arcs for end in arc.ends)
        pieces, count = [self.points[:nodes]], nodes
        arcs: dict[str, tuple[Arc, ...]] = {}
        for line, old in self.arcs.items():
            new = []
            for number, arc in enumerate(old):
                along, points = self.finer(line, number, parts)
                inner = np.arange(count, count + len(points) - 2)
                vertices = np.concatenate([[arc.ends[0]], inner, [arc.ends[1]]])
                new.append(Arc(line, vertices.astype(np.int64), along))
                pieces.append(points[1:-1])
                count += len(inner)
            arcs[line] = tuple(new)
        return Samples(np.vstack(pieces), arcs, self._rulers, parts * self.fade)

    def within(self, crease: CreaseSpec) -> list[int]:
        """Numbers of the arcs along which a line is sharp."""
        middles = [0.5 * (arc.along[0] + arc.along[-1]) for arc in self.arcs.get(crease.line, ())]
        end = np.inf if crease.end is None else crease.end
        return [k for k, middle in enumerate(middles) if crease.start <= middle <= end]

    def along(self, run: Run) -> Index:
        """Vertices of a run in its order; a closed run does not repeat its first."""
        parts = [self.arcs[run.line][k].vertices for k in run.numbers]
        vertices = np.concatenate([part[:-1] for part in parts] + [parts[-1][-1:]])
        vertices = vertices[::-1] if run.turned else vertices
        return vertices[:-1] if run.closed else vertices


@dataclass(slots=True)
class _Stop:
    """A place on a line that must be a vertex: a crossing, or an end (crossing -1)."""

    line: str
    distance: float
    crossing: int


def sample_network(
    network: LineNetwork, regions: Sequence[RegionSpec], *, edge_length: float, step: float
) -> Samples:
    """Vertices about `step` apart along every line that a region names.

    `edge_length` of the skin decides which crossings are one and which ends are stubs, so that
    samples of different steps have the same arcs.

    Raises JobError for a line that is missing, or neighbours on a boundary that do not meet.
    """
    partners = partners_of(regions)
    rulers = {name: Ruler(line_named(network, name), step) for name in sorted(partners)}
    crossings = [c for c in network.crossings if c.lines[1] in partners.get(c.lines[0], ())]
    crossings += missing_corners(regions, crossings, rulers, edge_length)
    stops = _stops(rulers, crossings, edge_length)
    for crease in (crease for region in regions for crease in region.creases):
        if crease.line in rulers:
            _stop_at_ends(stops[crease.line], rulers[crease.line], crease, edge_length)
    node_of, points = _nodes(stops, crossings, rulers, edge_length)
    return _sampled(stops, node_of, points, rulers)


def _stops(
    rulers: dict[str, Ruler], crossings: Sequence[Crossing], edge_length: float
) -> dict[str, list[_Stop]]:
    """Stops of each line in order along it; ends that only stick out past a crossing left off."""
    found: dict[str, list[_Stop]] = {name: [] for name in rulers}
    for number, crossing in enumerate(crossings):
        for name, parameter in zip(crossing.lines, crossing.parameters, strict=True):
            found[name].append(_Stop(name, rulers[name].distance(parameter), number))
    for name, stops in found.items():
        stops.sort(key=lambda stop: stop.distance)
        ruler = rulers[name]
        if ruler.line.closed:
            if not stops:
                stops.append(_Stop(name, 0.0, -1))
            continue
        for end, place in ((0.0, 0), (ruler.length, len(stops))):
            if all(abs(stop.distance - end) > STUB * edge_length for stop in stops):
                stops.insert(place if end == 0.0 else len(stops), _Stop(name, end, -1))
    return found


def _stop_at_ends(stops: list[_Stop], ruler: Ruler, crease: CreaseSpec, edge_length: float) -> None:
    """Stops where a crease begins and ends, unless another stop is as near as an edge."""
    for place in (crease.start, crease.end):
        if place is None or not 0.0 < place < ruler.length:
            continue
        near = [abs(stop.distance - place) for stop in stops]
        near += [gap for gap in (place, ruler.length - place) if not ruler.line.closed]
        if min(near, default=np.inf) > edge_length:
            stops.append(_Stop(ruler.line.name, place, -1))
    stops.sort(key=lambda stop: stop.distance)


class _Groups:
    """Union-find over crossing numbers."""

    def __init__(self, count: int) -> None:
        self.parent = list(range(count))

    def top(self, item: int) -> int:
        while self.parent[item] != item:
            item = self.parent[item]
        return item

    def join(self, a: int, b: int) -> None:
        self.parent[max(self.top(a), self.top(b))] = min(self.top(a), self.top(b))


def _nodes(
    stops: dict[str, list[_Stop]],
    crossings: Sequence[Crossing],
    rulers: dict[str, Ruler],
    edge_length: float,
) -> tuple[dict[tuple[str, int], int], list[Array]]:
    """The node of each (line, stop number), and the nodes' points."""
    groups = _Groups(len(crossings))
    for name, on_line in stops.items():
        for a, b in combinations([s for s in on_line if s.crossing >= 0], 2):
            gap = abs(b.distance - a.distance)
            if rulers[name].line.closed:
                gap = min(gap, rulers[name].length - gap)
            if gap < MERGE * edge_length:
                groups.join(a.crossing, b.crossing)
    members: dict[int, list[Array]] = {}
    for number, crossing in enumerate(crossings):
        members.setdefault(groups.top(number), []).append(crossing.point)
    number_of = {top: k for k, top in enumerate(members)}
    points = [np.mean(near, axis=0) for near in members.values()]
    node_of = {}
    for name, on_line in stops.items():
        for k, stop in enumerate(on_line):
            if stop.crossing >= 0:
                node_of[name, k] = number_of[groups.top(stop.crossing)]
            else:
                node_of[name, k] = len(points)
                points.append(rulers[name].places(np.array([stop.distance]))[0])
    return node_of, points


def _sampled(
    stops: dict[str, list[_Stop]],
    node_of: dict[tuple[str, int], int],
    points: list[Array],
    rulers: dict[str, Ruler],
) -> Samples:
    arcs: dict[str, tuple[Arc, ...]] = {}
    count, parts = len(points), [np.array(points).reshape(-1, 3)]
    for name, on_line in stops.items():
        of_line = []
        for start, end, span in _legs(on_line, node_of, rulers[name]):
            least = 1 if start != end else 3
            along = rulers[name].between(*span, max(least, round(rulers[name].steps(*span))))
            inner = _drawn_to_nodes(rulers[name].places(along), points[start], points[end])
            vertices = [start, *range(count, count + len(inner)), end]
            of_line.append(Arc(name, np.array(vertices, dtype=np.int64), along))
            parts.append(inner)
            count += len(inner)
        arcs[name] = tuple(of_line)
    return Samples(np.vstack(parts), arcs, rulers)


def _legs(
    on_line: list[_Stop], node_of: dict[tuple[str, int], int], ruler: Ruler
) -> list[tuple[int, int, tuple[float, float]]]:
    """From each stop to the next: the two nodes and their distances along the line."""
    name, legs = ruler.line.name, []
    for k, stop in enumerate(on_line):
        last = k + 1 == len(on_line)
        if last and not ruler.line.closed:
            break
        reach = ruler.length + on_line[0].distance if last else on_line[k + 1].distance
        start, end = node_of[name, k], node_of[name, 0 if last else k + 1]
        # Stops that became one node leave nothing between them.
        if start != end or reach - stop.distance > 0.5 * ruler.length:
            legs.append((start, end, (stop.distance, reach)))
    return legs


def _drawn_to_nodes(along: Array, start: Array, end: Array, fade: int = FADE) -> Array:
    """The arc's inner samples, led smoothly to its nodes where these lie off the line.

    The correction fades out over so many samples, with no slope at either end.
    """
    count = len(along) - 1
    reach = min(fade, count)
    part = np.clip(np.arange(count + 1) / reach, 0.0, 1.0)
    left = 1.0 - part**3 * (10.0 - 15.0 * part + 6.0 * part**2)
    off = left[:, None] * (start - along[0]) + left[::-1, None] * (end - along[-1])
    return np.asarray((along + off)[1:-1])
