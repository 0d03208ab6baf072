"""The inner frame as a whole: box, diagonals, arms, legs and posts, and what is known of them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from buckwright.buck.arms import Arm, arms_to, possible_arms
from buckwright.buck.bracing import brace_box
from buckwright.buck.frame import Box, frame_members
from buckwright.buck.frame_doubts import (
    box_beside_people,
    doubts_about_bolts,
    doubts_about_bracing,
    doubts_about_frame,
    people_in_the_way,
)
from buckwright.buck.frame_rooms import frame_rooms
from buckwright.buck.frame_search import find_box
from buckwright.buck.frame_stock import FrameStock, frame_stock
from buckwright.buck.inner_face import InnerFaces
from buckwright.buck.lifting import people_to_lift
from buckwright.buck.obstacles import Obstacles, find_obstacles
from buckwright.buck.occupants import PEOPLE_SOURCE, boxes_of_people
from buckwright.buck.post_room import PostRoom
from buckwright.buck.posts import (
    SPACING,
    Footing,
    Reach,
    Target,
    posts_of,
    reaches_to,
    spread,
    targets_of,
)
from buckwright.buck.rods import Rod
from buckwright.buck.seating import bolted_out, rails_clear, stretches_of_trunks
from buckwright.buck.standing import Stand, feet_of, numbered, stand_frame, tipping_slope
from buckwright.buck.way_out import comes_down, find_way_out
from buckwright.buck.weight import centre_of_gravity
from buckwright.errors import JobError
from buckwright.model.buck import BuckSpec, FrameMember, Post, Tack, Wire
from buckwright.model.finding import Finding
from buckwright.model.frame import BodyPart, InnerFrame, Wheel
from buckwright.model.people import FitQuestion
from buckwright.model.skin import Skin

__all__ = ["FrameBuild", "build_frame"]

MARGIN = 1.0
"""mm more than asked between sill and side arms, for what lies between the points of the skin."""
HELD = 2
"""Posts that hold a region."""
LOOSE = 2.0 * SPACING
"""mm from the nearest post beyond which a tack is loose."""
ARMS_MOST = 4
"""Arms to one region."""
SHORTEST_BOX = 400.0
"""mm between the stations of a box that is worth having."""


@dataclass(frozen=True, slots=True, eq=False)
class FrameBuild:
    """Members and posts, the frame's facts (None without a frame), and doubts."""

    members: tuple[FrameMember, ...] = ()
    posts: tuple[Post, ...] = ()
    frame: InnerFrame | None = None
    findings: tuple[Finding, ...] = ()

    @property
    def clearance(self) -> float:
        """Least room to the skin's inner face, mm; 0 without a frame."""
        return 0.0 if self.frame is None else self.frame.rooms.skin


@dataclass(frozen=True, slots=True, eq=False)
class _Site:
    """What the frame is built into."""

    spec: BuckSpec
    rods: Sequence[Rod]
    faces: InnerFaces
    obstacles: Obstacles
    wheels: Sequence[Wheel]
    people: tuple[BodyPart, ...]
    lowest: float
    """Height of the lowest metal, mm."""

    @property
    def floor(self) -> float:
        """The body is open below: no axis of the box lies lower than this."""
        return self.lowest + self.spec.frame_clearance + 0.5 * self.spec.frame_section

    @property
    def under(self) -> float:
        """Height of the axes of tubes that pass below the sill."""
        keep = self.spec.frame_clearance + self.spec.sheet_thickness
        return self.lowest - keep - 0.5 * self.spec.frame_section - MARGIN

    def emptied(self) -> "_Site":
        return replace(self, obstacles=self.obstacles.without_people(), people=())


def build_frame(
    spec: BuckSpec,
    skin: Skin,
    rods: Sequence[Rod],
    wires: Sequence[Wire],
    tacks: Sequence[Tack],
    wheels: Sequence[Wheel] = (),
    people: FitQuestion | None = None,
) -> FrameBuild:
    """The frame between the stations that the spec gives; nothing if it gives none.

    The box is the largest that keeps off all it must; faces get a diagonal where there is room,
    regions that no post from the box reaches get an arm. Members that stand where people sit are
    bolted in, or the box ends before the people, as the spec says; if neither can be, people are
    ignored with a finding.
    Raises JobError if there is no room for a box.
    """
    whole = [region for region in skin.regions if region.side == "whole"]
    if spec.frame_x[1] <= spec.frame_x[0] or not whole:
        return FrameBuild()
    stock = frame_stock(spec)
    site, box, crowded = _sited(spec, skin, rods, wheels, people)
    empty = site.obstacles.without_people() if spec.frame_people == "bolt out" else None
    diagonals, bare = brace_box(box, stock, site.obstacles, empty)
    members = [*frame_members(box, spec), *diagonals]
    members, reaches = _posted(
        members, box, stock, site, targets_of(rods, tacks, rod_diameter=spec.rod_diameter)
    )
    stand = stand_frame(spec, stock, box, members, site.obstacles, lowest=site.lowest)
    members = bolted_out(numbered([*members, *stand.legs]), site.people, spec)
    posts = posts_of(reaches, spec)
    frame = _facts(spec, stock, site, box, members, (wires, posts), stand)
    frame = frame.model_copy(update={"unbraced": tuple(name for name, _ in bare)})
    findings = (
        *crowded,
        *doubts_about_bolts(members, posts),
        *doubts_about_bracing(bare),
        *stand.findings,
        *doubts_about_frame(frame),
    )
    return FrameBuild(tuple(members), posts, frame, findings)


def _facts(
    spec: BuckSpec,
    stock: FrameStock,
    site: _Site,
    box: Box,
    members: Sequence[FrameMember],
    rest: tuple[Sequence[Wire], Sequence[Post]],
    stand: Stand,
) -> InnerFrame:
    """What is known of the frame as it stands, with wires and posts on it."""
    wires, posts = rest
    alone = sum(member.mass for member in members)
    whole = alone + sum(wire.mass for wire in wires) + sum(post.mass for post in posts)
    centre = centre_of_gravity(wires, members, posts)
    feet = feet_of(spec, stand.legs, whole)
    height = float(centre[2]) + stand.raised
    return InnerFrame(
        kind=stock.kind,
        stock=stock.words,
        mass_per_m=1000.0 * stock.mass_per_mm,
        strip_width=stock.strip,
        rooms=frame_rooms(spec, members, site.faces, site.rods, site.wheels, site.people),
        wheels=tuple(site.wheels),
        people=site.people,
        people_source=PEOPLE_SOURCE if site.people else "",
        feet=feet,
        raised=stand.raised,
        sill_height=site.lowest + stand.raised,
        tips_at_deg=tipping_slope(feet, centre, height=height),
        members_mass=alone,
        centre_of_gravity=centre_of_gravity((), members, ()),
        lifts=(
            people_to_lift("inner frame", alone, reference=spec.lift_reference),
            people_to_lift("buck with frame", whole, reference=spec.lift_reference),
        ),
        way_out=find_way_out(
            members,
            box,
            site.obstacles.of_kinds("metal", "wire"),
            section=stock.side,
            rod_radius=0.5 * spec.rod_diameter,
        ),
    )


def _sited(
    spec: BuckSpec,
    skin: Skin,
    rods: Sequence[Rod],
    wheels: Sequence[Wheel],
    people: FitQuestion | None,
) -> tuple[_Site, Box, tuple[Finding, ...]]:
    """What the frame is built into, the box, and a finding where people had to be ignored."""
    whole = [region for region in skin.regions if region.side == "whole"]
    lowest = min(float(region.vertices[:, 2].min()) for region in whole)
    asked = people is not None and spec.frame_people != "ignore"
    parts = boxes_of_people(people, floor=lowest) if people and asked else ()
    faces = InnerFaces(skin.regions, sheet=spec.sheet_thickness)
    obstacles = find_obstacles(spec, skin.regions, rods, wheels, parts)
    site = _Site(spec, rods, faces, obstacles, wheels, parts, lowest)
    if spec.frame_people == "bolt out":
        box = _box(site, spec.frame_x, obstacles.without_people())
        return (site, box, ()) if rails_clear(box, parts, spec) else _ignored(site, box)
    for stations in _stretches(spec, parts):
        try:
            return site, _box(site, stations, obstacles), _moved(spec, stations)
        except JobError:
            if not parts:
                raise
    return _ignored(site, _box(site, spec.frame_x, obstacles.without_people()))


def _ignored(site: _Site, box: Box) -> tuple[_Site, Box, tuple[Finding, ...]]:
    return site.emptied(), box, (people_in_the_way(),)


def _box(site: _Site, stations: tuple[float, float], obstacles: Obstacles) -> Box:
    spec = site.spec.model_copy(update={"frame_x": stations})
    taken = stretches_of_trunks(site.people, spec)
    return find_box(spec, site.faces, obstacles, site.rods, floor=site.floor, taken=taken)


def _stretches(spec: BuckSpec, people: Sequence[BodyPart]) -> list[tuple[float, float]]:
    """Stations to try: those asked for, then behind the people, then before them, longer first."""
    front, rear = spec.frame_x
    found = [(front, rear)]
    if people:
        behind = max(float(part.high[0]) for part in people) + spec.frame_clearance + MARGIN
        before = min(float(part.low[0]) for part in people) - spec.frame_clearance - MARGIN
        parts = [(max(front, behind), rear), (front, min(rear, before))]
        parts = [(a, b) for a, b in parts if b - a >= SHORTEST_BOX]
        found += sorted(parts, key=lambda part: part[0] - part[1])
    return found


def _moved(spec: BuckSpec, stations: tuple[float, float]) -> tuple[Finding, ...]:
    return () if stations == spec.frame_x else (box_beside_people(*stations),)


def _posted(
    members: list[FrameMember],
    box: Box,
    stock: FrameStock,
    site: _Site,
    targets: Sequence[Target],
) -> tuple[list[FrameMember], list[Reach]]:
    """Posts from the box; then arms, one after another, to regions that have fewer than two."""
    spec = site.spec
    room = PostRoom(spec, site.rods, site.faces, site.wheels, site.people)

    def is_free(reach: Reach, more: Sequence[FrameMember] = ()) -> bool:
        return room.is_free(reach, [*members, *more])

    def is_free_in_empty(reach: Reach, more: Sequence[FrameMember]) -> bool:
        return room.emptied().is_free(reach, [*members, *more])

    footing = Footing.of(members, stock.side)
    choices = [ways for t in targets if (ways := reaches_to(t, spec, footing))]
    reaches = spread(choices, is_free, apart=spec.rod_diameter)
    metal = site.obstacles.of_kinds("metal")

    def comes_out(arm: Arm) -> bool:
        return comes_down(arm.members, metal, section=stock.side)

    arms = possible_arms(box, stock, site.obstacles, under=site.under)
    bolted: list[Arm] | None = None if spec.frame_people == "bolt out" and site.people else []
    for region in dict.fromkeys((t.rod.path.region, t.rod.path.side) for t in targets):
        mine = [t for t in targets if (t.rod.path.region, t.rod.path.side) == region]
        for _ in range(ARMS_MOST):
            held = [reach for reach in reaches if reach.target in mine]
            far = SPACING if len(held) < HELD else LOOSE
            open_ = [target for target in mine if _stands_off(target, held) >= far]
            arm = arms_to(open_, arms, spec, is_free, comes_out)
            if arm is None and open_:
                if bolted is None:
                    empty = site.emptied().obstacles
                    bolted = possible_arms(box, stock, empty, under=site.under)
                arm = arms_to(open_, bolted, spec, is_free_in_empty, comes_out)
                arm = arm and arm.bolted()
            if arm is None:
                break
            named = arm.named(1 + sum(m.role == "arm" and m.name[:4] != "drop" for m in members))
            members = [*members, *named.members]
            reaches = [*reaches, *named.reaches]
    return members, reaches


def _stands_off(target: Target, reaches: Sequence[Reach]) -> float:
    """Distance, mm, from a tack to the wire end of the nearest post."""
    gaps = [float(np.linalg.norm(target.point - reach.end)) for reach in reaches]
    return min(gaps, default=np.inf)
