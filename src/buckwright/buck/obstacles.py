"""Everything that the inner frame must keep off, as points with the room that each asks for."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.rods import Rod
from buckwright.geometry.box_gaps import SquareBar, near_boxes, square_gaps_to_boxes
from buckwright.geometry.mesh import edges_of
from buckwright.geometry.polyline import resample_polyline
from buckwright.model.buck import BuckSpec
from buckwright.model.frame import BodyPart, Wheel
from buckwright.model.skin import LineTrack, SkinRegion, loop_of

__all__ = ["WIRE_ROOM", "Obstacles", "find_obstacles", "points_of_wheel"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Kind = Literal["metal", "opening", "wire", "wheel"]

WIRE_ROOM = 5.0
"""mm kept between the frame's faces and the wires' tubes."""
PITCH = 25.0
"""mm between the points that close an opening, or stand for a wheel."""


@dataclass(frozen=True, slots=True, eq=False)
class Obstacles:
    """`points` (n, 3) with `need` (n,) mm of room, and `owner` (n,) into `names`.

    Points stand in order of x. `spread` (n,) is how far a place of the surface may lie from the
    nearest point. People are boxes (k, 3), with the frame's clearance.
    """

    points: Array
    need: Array
    spread: Array
    owner: Index
    names: tuple[str, ...]
    kinds: tuple[Kind, ...]
    """Of the things named."""
    people_low: Array
    people_high: Array
    clearance: float

    @property
    def farthest_need(self) -> float:
        """Distance, mm, beyond which no point is too near to anything."""
        return float(self.need.max(initial=0.0) + self.spread.max(initial=0.0))

    def near(self, low: Array, high: Array) -> "Obstacles":
        """Only the points in a box; all people."""
        return self.only(self.indices_in(low, high))

    def indices_in(self, low: Array, high: Array) -> Index:
        """Indices of the points in a box."""
        first, last = np.searchsorted(self.points[:, 0], [low[0], high[0]])
        _, y, z = self.points[first:last].T
        inside = (y >= low[1]) & (y <= high[1]) & (z >= low[2]) & (z <= high[2])
        return np.asarray(first + np.flatnonzero(inside))

    def only(self, which: NDArray[np.bool_] | Index) -> "Obstacles":
        """Only those points; all people."""
        return replace(
            self,
            points=self.points[which],
            need=self.need[which],
            spread=self.spread[which],
            owner=self.owner[which],
        )

    def of_kinds(self, *kinds: Kind) -> "Obstacles":
        """Only the points of things of those kinds; no people."""
        kept = np.array([kind in kinds for kind in self.kinds])
        return self.only(np.flatnonzero(kept[self.owner])).without_people()

    def without_people(self) -> "Obstacles":
        """The same with nobody inside."""
        none = np.zeros((0, 3))
        return replace(self, people_low=none, people_high=none)

    def in_way_of(self, bar: SquareBar) -> tuple[str, ...]:
        """Names of what stands too near to a bar; nothing is overlooked between the points."""
        low, high = bar.box()
        reach = self.farthest_need
        close = self.near(low - reach, high + reach)
        tight = bar.gaps(close.points) ** 2 < close.need**2 + close.spread**2
        found = {self.names[k] for k in np.unique(close.owner[tight])}
        lows, highs = self.people_low, self.people_high
        person = near_boxes(low, high, lows, highs, self.clearance)
        if person.any():
            gaps = square_gaps_to_boxes(bar.surface(10.0), lows[person], highs[person])
            if gaps.min() < self.clearance**2:
                found.add("people")
        return tuple(sorted(found))


def find_obstacles(
    spec: BuckSpec,
    regions: Sequence[SkinRegion],
    rods: Sequence[Rod],
    wheels: Sequence[Wheel],
    people: Sequence[BodyPart],
) -> Obstacles:
    """Metal (its openings closed, so that no member leans out of a window), wires, wheels, people.

    Skin is held by its vertices and the middles of its edges.
    """
    groups: list[tuple[Kind, str, Array, float, float]] = []
    metal = spec.frame_clearance + spec.sheet_thickness
    for region in regions:
        edges, _ = edges_of(region.triangles)
        ends = region.vertices[edges]
        longest = float(np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1).max(initial=0.0))
        points = np.vstack([region.vertices, ends.mean(axis=1)])
        groups.append(("metal", region.name, points, metal, 0.5 * longest / np.sqrt(3.0)))
        groups += [
            ("opening", " and ".join(t.line for t in ring), _closing(region, ring), metal, 0.0)
            for ring in region.openings()
        ]
    for rod in rods:
        step = float(np.diff(rod.along).max(initial=0.0))
        need = 0.5 * spec.rod_diameter + WIRE_ROOM
        groups.append(("wire", rod.path.name, rod.points, need, 0.5 * step))
    for wheel in wheels:
        groups.append(
            ("wheel", wheel.name, points_of_wheel(wheel), spec.frame_clearance, 0.5 * PITCH)
        )
    counts = [len(points) for _, _, points, _, _ in groups]
    points = np.vstack([points for _, _, points, _, _ in groups])
    order = np.argsort(points[:, 0], kind="stable")
    return Obstacles(
        points=points[order],
        need=np.repeat([need for _, _, _, need, _ in groups], counts)[order],
        spread=np.repeat([spread for _, _, _, _, spread in groups], counts)[order],
        owner=np.repeat(np.arange(len(groups)), counts)[order],
        names=tuple(name for _, name, _, _, _ in groups),
        kinds=tuple(kind for kind, _, _, _, _ in groups),
        people_low=np.array([part.low for part in people]).reshape(-1, 3),
        people_high=np.array([part.high for part in people]).reshape(-1, 3),
        clearance=spec.frame_clearance,
    )


def points_of_wheel(wheel: Wheel) -> Array:
    """(n, 3) points on the outside of a wheel, both faces and the tread, about 25 mm apart."""
    around = np.linspace(0.0, 2.0 * np.pi, int(2.0 * np.pi * wheel.radius / PITCH), endpoint=False)
    circle = np.column_stack([np.cos(around), np.zeros(len(around)), np.sin(around)])
    across = np.linspace(-0.5, 0.5, max(int(wheel.width / PITCH), 1) + 1) * wheel.width
    tread = wheel.radius * circle[None] + across[:, None, None] * np.array([0.0, 1.0, 0.0])
    spokes = np.arange(wheel.radius - PITCH, 0.0, -PITCH)
    face = (spokes[:, None, None] * circle).reshape(-1, 3)
    faces = [face + np.array([0.0, s * 0.5 * wheel.width, 0.0]) for s in (-1.0, 1.0)]
    return np.asarray(np.vstack([tread.reshape(-1, 3), *faces]) + wheel.centre)


def _closing(region: SkinRegion, ring: tuple[LineTrack, ...]) -> Array:
    """Points on straight lines from the middle of an opening to its edge."""
    rim = region.vertices[loop_of(ring)]
    length = float(np.linalg.norm(np.roll(rim, -1, axis=0) - rim, axis=1).sum())
    rim = resample_polyline(rim, max(int(length / PITCH), 3), closed=True)
    middle = rim.mean(axis=0)
    reach = float(np.linalg.norm(rim - middle, axis=1).max())
    shares = np.arange(0.0, 1.0, PITCH / max(reach, PITCH))
    return np.asarray((middle + shares[:, None, None] * (rim - middle)).reshape(-1, 3))
