"""Posts: straight rods from the inner frame to tacks, spread over the body."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.frame import member_body
from buckwright.buck.inner_face import InnerFace
from buckwright.buck.meeting import room_beside
from buckwright.buck.rods import Rod
from buckwright.geometry.polyline import crossing_of_polylines
from buckwright.model.buck import BuckSpec, FrameMember, Post, Tack
from buckwright.tables.steel import rod_mass_per_mm

__all__ = ["place_posts"]

Array = NDArray[np.float64]

SPACING = 350.0
"""mm between the wire ends of posts."""
SHORTEST, LONGEST = 15.0, 700.0
"""mm: shorter cannot be welded at both ends, longer bends under the hammer."""
SLANT = 0.5
"""A post stands within 60 degrees of the skin's normal, and 30 or more off the wire's direction."""


@dataclass(frozen=True, slots=True, eq=False)
class _Reach:
    """A post that could be: from a member's face to the inner side of a rod."""

    member: FrameMember
    rod: Rod
    start: Array
    end: Array
    axis: Array

    @property
    def length(self) -> float:
        return float(np.linalg.norm(self.end - self.start))

    @property
    def direction(self) -> Array:
        return np.asarray((self.end - self.start) / self.length)


def place_posts(
    spec: BuckSpec,
    rods: Sequence[Rod],
    tacks: Sequence[Tack],
    members: Sequence[FrameMember],
    skin: InnerFace,
) -> tuple[Post, ...]:
    """Posts to tacks that a straight rod reaches without touching skin, wires or each other.

    Only tacks where one wire passes inside another are used: the post stands on the inner one,
    at the nearest place of the frame from which it has a way. They are spread over the body,
    350 mm apart at least.
    """
    every = [_reaches_to(tack, spec, rods, members) for tack in tacks]
    free = []
    for reaches in every:
        found = next((r for r in reaches if _is_free(r, spec, rods, members, skin)), None)
        if found is not None:
            free.append(found)
    chosen = _spread(free, apart=spec.rod_diameter)
    mass = rod_mass_per_mm(spec.rod_diameter)
    return tuple(_post(number, reach, mass) for number, reach in enumerate(chosen, 1))


def _reaches_to(
    tack: Tack, spec: BuckSpec, rods: Sequence[Rod], members: Sequence[FrameMember]
) -> list[_Reach]:
    """Posts of a fit length and slant to the inner wire of a tack, shortest first."""
    named = {rod.path.name: rod for rod in rods}
    pair = [(named[name], at) for name, at in zip(tack.wires, tack.at, strict=True)]
    if pair[0][0].layer == pair[1][0].layer:
        return []
    rod, along = max(pair, key=lambda p: p[0].layer)
    at = np.interp([along], rod.along, rod.at)
    target = rod.path.axis(at, rod.set_in)[0]
    normal, axis = rod.path.outside(at)[1][0], rod.path.directions(at, rod.set_in)[0]
    found = []
    for member in members:
        start = np.clip(target, *member_body(member, spec.frame_section))
        away = target - start
        length = float(np.linalg.norm(away))
        across = float(np.linalg.norm(np.cross(away, axis)))
        if away @ normal < SLANT * length or across < SLANT * length:
            continue
        # The post's own axis ends where it enters the wire.
        end = target - 0.5 * spec.rod_diameter * away / across
        found.append(_Reach(member, rod, start, end, axis))
    fit = [reach for reach in found if SHORTEST <= reach.length <= LONGEST]
    return sorted(fit, key=lambda reach: reach.length)


def _is_free(
    reach: _Reach,
    spec: BuckSpec,
    rods: Sequence[Rod],
    members: Sequence[FrameMember],
    skin: InnerFace,
) -> bool:
    """Whether the post keeps off the sheet, every rod and every member but its own."""
    count = max(int(reach.length / 3.0), 2)
    share = np.linspace(0.0, 1.0, count + 1)[:, None]
    points = reach.start + share * (reach.end - reach.start)
    # A post cannot cross the skin without a sample within 1.5 mm of it.
    needed = spec.sheet_thickness + 0.5 * spec.rod_diameter - 0.01
    if float(skin.gap(points, below=needed).min()) < needed:
        return False
    for member in members:
        low, high = member_body(member, spec.frame_section)
        if member is not reach.member and _passes_box(points, low, high, 0.5 * spec.rod_diameter):
            return False
    directions = np.broadcast_to(reach.direction, points.shape)
    low, high = points.min(axis=0) - 20.0, points.max(axis=0) + 20.0
    for rod in rods:
        if rod is reach.rod or not np.all((rod.points > low) & (rod.points < high), axis=1).any():
            continue
        _, room = room_beside(points, directions, rod, diameter=spec.rod_diameter)
        if room.min() < 0.0:
            return False
    return True


def _passes_box(points: Array, low: Array, high: Array, room: float) -> bool:
    """Whether a point beyond the first few, which stand on a node of two members, is too near."""
    away = np.maximum(np.maximum(low - points, points - high), 0.0)
    return bool((np.linalg.norm(away[3:], axis=1) < room).any())


def _spread(reaches: list[_Reach], *, apart: float) -> list[_Reach]:
    """Farthest first: each next post is the one farthest from those already standing.

    One that would touch a standing post is passed over.
    """
    if not reaches:
        return []
    ends = np.array([reach.end for reach in reaches])
    gap = np.linalg.norm(ends - ends.mean(axis=0), axis=1) + SPACING
    chosen: list[int] = []
    while gap.max() >= SPACING:
        here = int(np.argmax(gap))
        if all(_gap_between(reaches[here], reaches[k]) >= apart for k in chosen):
            gap = gap if chosen else np.full(len(reaches), np.inf)
            gap = np.minimum(gap, np.linalg.norm(ends - ends[here], axis=1))
            chosen.append(here)
        gap[here] = 0.0
    return [reaches[k] for k in sorted(chosen)]


def _gap_between(first: _Reach, second: _Reach) -> float:
    lines = [np.vstack([reach.start, reach.end]) for reach in (first, second)]
    return crossing_of_polylines(lines[0], lines[1])[0]


def _post(number: int, reach: _Reach, mass_per_mm: float) -> Post:
    cosine = min(abs(float(reach.direction @ reach.axis)), 1.0)
    return Post(
        name=f"post {number}",
        member=reach.member.name,
        wire=reach.rod.path.name,
        start=reach.start,
        end=reach.end,
        cut_length=reach.length,
        angle_at_wire_deg=float(np.degrees(np.arccos(cosine))),
        mass=reach.length * mass_per_mm,
    )
