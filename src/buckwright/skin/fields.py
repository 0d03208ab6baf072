"""Fields of a region: the faces of its lines, found from how the lines cross.

The lines, as a graph of samples, are drawn on the region without crossing each other. Round each
vertex the neighbours have a cyclic order, seen along the skin's normal; following it gives the
faces. Normals come from the lines that meet at a node; which way they point is carried from
node to node along the lines.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from heapq import heappop, heappush

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.errors import JobError

__all__ = ["Fields", "face_walks", "find_fields", "line_rings"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Pair = tuple[int, int]


@dataclass(frozen=True, eq=False, slots=True)
class Fields:
    """The faces inside an outer loop, as walks of vertices with the face on the left."""

    loop: Index
    """Outer loop, turned so that the region lies on its left."""
    walks: tuple[Index, ...]
    """A vertex occurs twice in a walk where a line ends inside the field."""
    metal: tuple[bool, ...]
    """False for fields inside a hole."""
    links: tuple[Pair, ...]
    """Pairs that were joined for the walks' sake, where lines do not touch the others."""


def find_fields(
    points: Array, loop: Index, sides: Iterable[Pair], hole_sides: Iterable[Pair], *, region: str
) -> Fields:
    """Fields of a region from its outer loop and the sides (pairs of vertices) of its lines.

    Sides that turn out to lie outside the loop bound no field. Raises JobError where the lines
    cannot lie on one surface without crossing.
    """
    rim = [(int(a), int(b)) for a, b in zip(loop, np.roll(loop, -1), strict=True)]
    graph = _Graph(points, [*rim, *sides, *hole_sides])
    links = graph.joined_up(int(loop[0]))
    ring = graph.rings(int(loop[0]))
    walks = face_walks(ring)
    vertices, edges = len(ring), sum(len(r) for r in ring.values()) // 2
    if vertices - edges + len(walks) != 2:
        raise JobError(
            f"The lines of '{region}' do not lie in order on one surface.",
            "Look for a line that crosses others in the wrong place, or belongs to another region.",
        )
    face_of = {side: k for k, walk in enumerate(walks) for side in _sides(walk)}
    loop, inside = _region_side(rim, face_of, walks)
    metal = _reached(loop, face_of, walks, {*_both(rim), *_both(hole_sides)})
    chosen = sorted(inside)
    return Fields(
        loop,
        tuple(np.array(walks[k], dtype=np.int64) for k in chosen),
        tuple(k in metal for k in chosen),
        tuple(links),
    )


def _both(sides: Iterable[Pair]) -> set[Pair]:
    return {pair for a, b in sides for pair in ((a, b), (b, a))}


def _sides(walk: list[int]) -> list[Pair]:
    return list(zip(walk, [*walk[1:], walk[0]], strict=True))


def line_rings(points: Array, sides: Iterable[Pair]) -> dict[int, list[int]]:
    """Neighbours of every vertex in counter-clockwise order, each connected part by itself.

    Which side is up is alike all over a part, but up or down at random from part to part.
    """
    graph = _Graph(points, sides)
    return graph.rings(min(graph.near))


def face_walks(ring: dict[int, list[int]]) -> list[list[int]]:
    """Faces: at each vertex, turn to the neighbour before the one we came from."""
    following = {}
    for here, near in ring.items():
        for k, came in enumerate(near):
            following[came, here] = (here, near[k - 1])
    walks = []
    while following:
        start, side = following.popitem()
        walk = [start[0], start[1]]
        while side != start:
            walk.append(side[1])
            side = following.pop(side)
        walks.append(walk[:-1])
    return walks


def _region_side(
    rim: list[Pair], face_of: dict[Pair, int], walks: list[list[int]]
) -> tuple[Index, set[int]]:
    """The loop turned so that the region is on its left, and the faces on that side."""
    barrier = _both(rim)
    left = _spread({face_of[a, b] for a, b in rim}, face_of, walks, barrier)
    right = _spread({face_of[b, a] for a, b in rim}, face_of, walks, barrier)
    inner = [sum(len(walks[k]) for k in side) for side in (left, right)]
    forward = np.array([a for a, _ in rim], dtype=np.int64)
    # Seen from its wrong side the loop shows nothing but itself, and stray ends.
    if inner[0] >= inner[1]:
        return forward, left
    return np.concatenate([forward[:1], forward[:0:-1]]), right


def _spread(
    start: set[int], face_of: dict[Pair, int], walks: list[list[int]], barrier: set[Pair]
) -> set[int]:
    found, fresh = set(start), list(start)
    while fresh:
        for a, b in _sides(walks[fresh.pop()]):
            if (a, b) in barrier:
                continue
            other = face_of[b, a]
            if other not in found:
                found.add(other)
                fresh.append(other)
    return found


def _reached(
    loop: Index, face_of: dict[Pair, int], walks: list[list[int]], barrier: set[Pair]
) -> set[int]:
    """Faces that can be reached from the outer loop without crossing a hole's line."""
    start = {face_of[a, b] for a, b in _sides([int(v) for v in loop])}
    return _spread(start, face_of, walks, barrier)


class _Graph:
    """Samples joined along lines."""

    def __init__(self, points: Array, sides: Iterable[Pair]) -> None:
        self.points = points
        self.near: dict[int, set[int]] = {}
        for a, b in sides:
            self._join(a, b)

    def _join(self, a: int, b: int) -> None:
        self.near.setdefault(a, set()).add(b)
        self.near.setdefault(b, set()).add(a)

    def _part(self, start: int) -> set[int]:
        found, fresh = {start}, [start]
        while fresh:
            for v in self.near[fresh.pop()] - found:
                found.add(v)
                fresh.append(v)
        return found

    def joined_up(self, start: int) -> list[Pair]:
        """Links added from each loose part to the nearest vertex of what is joined already."""
        links = []
        joined = self._part(start)
        while len(joined) < len(self.near):
            inside = np.array(sorted(joined))
            loose = np.array(sorted(set(self.near) - joined))
            gap, nearest = cKDTree(self.points[inside]).query(self.points[loose])
            k = int(np.argmin(gap))
            link = (int(inside[nearest[k]]), int(loose[k]))
            self._join(*link)
            links.append(link)
            joined = self._part(start)
        return links

    def rings(self, start: int) -> dict[int, list[int]]:
        """Neighbours of each vertex in counter-clockwise order."""
        normals = self._normals(start)
        ring = {}
        for v, near in self.near.items():
            order = sorted(near)
            if v in normals:
                angle = self._angles(v, order, normals[v])
                order = [order[k] for k in np.argsort(angle, kind="stable")]
            ring[v] = order
        return ring

    def _directions(self, v: int, near: list[int]) -> Array:
        off = self.points[near] - self.points[v]
        return np.asarray(off / np.linalg.norm(off, axis=1, keepdims=True))

    def _angles(self, v: int, near: list[int], normal: Array) -> Array:
        directions = self._directions(v, near)
        east = directions[0] - (directions[0] @ normal) * normal
        east = east / max(float(np.linalg.norm(east)), 1e-12)
        return np.asarray(np.arctan2(directions @ np.cross(normal, east), directions @ east))

    def _normal_line(self, v: int) -> Array:
        """The direction least along any line at the vertex; its sign means nothing yet."""
        _, _, axes = np.linalg.svd(self._directions(v, sorted(self.near[v])))
        return np.asarray(axes[2])

    def _normals(self, start: int) -> dict[int, Array]:
        """Normals where three sides or more meet, all on one side of the surface.

        Signs spread from a first node along lines, the surest step first.
        """
        nodes = {v for v, near in self.near.items() if len(near) > 2}
        lines = {v: self._normal_line(v) for v in sorted(nodes)}
        found: dict[int, Array] = {}
        queue: list[tuple[float, int, int, tuple[float, ...]]] = []
        for root in sorted(nodes, key=lambda v: (v != start, v)):
            if root not in found:
                heappush(queue, (-1.0, root, root, tuple(lines[root])))
            while queue:
                _, node, _, carried = heappop(queue)
                if node in found:
                    continue
                sign = 1.0 if lines[node] @ np.array(carried) >= 0.0 else -1.0
                found[node] = sign * lines[node]
                for other, normal in self._carried(node, found[node], nodes):
                    if other not in found:
                        sure = abs(float(lines[other] @ normal))
                        heappush(queue, (-sure, other, node, tuple(normal)))
        return found

    def _carried(self, node: int, normal: Array, nodes: set[int]) -> list[tuple[int, Array]]:
        """The normal carried along each line from a node to the next, turning with the line."""
        arrived = []
        for first in sorted(self.near[node]):
            before, here, carried = node, first, normal
            direction = self._directions(before, [here])[0]
            carried = _unit(carried - (carried @ direction) * direction)
            while here not in nodes and len(self.near[here]) == 2:
                (after,) = self.near[here] - {before}
                turned = self._directions(here, [after])[0]
                carried = _turned_along(carried, direction, turned)
                before, here, direction = here, after, turned
            if here in nodes:
                arrived.append((here, carried))
        return arrived


def _unit(vector: Array) -> Array:
    return np.asarray(vector / max(float(np.linalg.norm(vector)), 1e-12))


def _turned_along(vector: Array, before: Array, after: Array) -> Array:
    """The vector turned by the least turn that takes one direction to the next."""
    axis = before + after
    square = float(axis @ axis)
    if square < 1e-12:
        return vector
    mirrored = vector - 2.0 * (vector @ before) * before
    return np.asarray(mirrored - 2.0 * (mirrored @ axis) / square * axis)
