"""Whether a post has its room: past sheet, wires, tubes, wheels and people."""

from collections.abc import Sequence
from copy import copy

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.buck.frame import member_bar
from buckwright.buck.inner_face import InnerFaces
from buckwright.buck.meeting import TOUCH, room_beside
from buckwright.buck.posts import Reach
from buckwright.buck.rods import STEP_MOST, Rod
from buckwright.geometry.box_gaps import SquareBar, near_boxes, square_gaps_to_boxes
from buckwright.model.buck import BuckSpec, FrameMember
from buckwright.model.frame import BodyPart, Wheel

__all__ = ["PostRoom", "gaps_to_wheel"]

Array = NDArray[np.float64]

KEPT_OFF = 10.0
"""mm of air between a post and a wheel or a person."""
AT_FOOT = 9.0
"""mm from its foot within which a post may touch the tubes that meet there."""
STEP = 3.0
"""mm between the points of a post that are looked at."""


def gaps_to_wheel(points: Array, wheel: Wheel) -> Array:
    """(n,) mm from points to the wheel's cylinder, 0 inside."""
    offset = points - wheel.centre
    out = np.hypot(offset[:, 0], offset[:, 2]) - wheel.radius
    beside = np.abs(offset[:, 1]) - 0.5 * wheel.width
    return np.asarray(np.hypot(np.maximum(out, 0.0), np.maximum(beside, 0.0)))


class PostRoom:
    """What a post must get past; build once, ask for many."""

    def __init__(
        self,
        spec: BuckSpec,
        rods: Sequence[Rod],
        faces: InnerFaces,
        wheels: Sequence[Wheel],
        people: Sequence[BodyPart],
    ) -> None:
        self.radius, self.section = 0.5 * spec.rod_diameter, spec.frame_section
        self.sheet, self.faces, self.rods, self.wheels = spec.sheet_thickness, faces, rods, wheels
        self._lows = np.array([part.low for part in people]).reshape(-1, 3)
        self._highs = np.array([part.high for part in people]).reshape(-1, 3)
        self._tree = cKDTree(np.vstack([rod.points for rod in rods]))
        self._bodies: dict[FrameMember, tuple[SquareBar, Array, Array]] = {}
        self._owner = np.repeat(np.arange(len(rods)), [len(rod.points) for rod in rods])

    def emptied(self) -> "PostRoom":
        """The same with nobody inside."""
        found = copy(self)
        found._lows = found._highs = np.zeros((0, 3))
        return found

    def is_free(self, reach: Reach, members: Sequence[FrameMember]) -> bool:
        """Whether a post has its room, the frame being those members."""
        share = np.linspace(0.0, 1.0, max(int(reach.length / STEP), 2) + 1)[:, None]
        points = reach.start + share * (reach.end - reach.start)
        return (
            self._past_what_moves(points)
            and self._past_members(points, reach.member, members)
            and self._past_wires(points, reach.direction, reach.target.rod)
            and self._past_sheet(points)
        )

    def _past_sheet(self, points: Array) -> bool:
        # A post cannot cross the skin without a sample within 1.5 mm of it.
        needed = self.sheet + self.radius - 0.01
        return float(self.faces.gap(points, below=needed).min()) >= needed

    def _past_members(self, points: Array, own: str, members: Sequence[FrameMember]) -> bool:
        beyond = points[int(AT_FOOT / STEP) :]
        low, high = beyond.min(axis=0) - self.radius, beyond.max(axis=0) + self.radius
        for member in members:
            if member.name == own:
                continue
            bar, least, most = self._body(member)
            near = (least <= high).all() and (most >= low).all()
            if near and float(bar.gaps(beyond).min()) < self.radius:
                return False
        return True

    def _body(self, member: FrameMember) -> tuple[SquareBar, Array, Array]:
        if member not in self._bodies:
            bar = member_bar(member, self.section)
            self._bodies[member] = (bar, *bar.box())
        return self._bodies[member]

    def _past_wires(self, points: Array, direction: Array, own: Rod) -> bool:
        middle, half = points[len(points) // 2], 0.5 * float(np.linalg.norm(points[-1] - points[0]))
        near = np.array(self._tree.query_ball_point(middle, half + 20.0), dtype=np.int64)
        directions = np.broadcast_to(direction, points.shape)
        for k in np.unique(self._owner[near]):
            rod = self.rods[k]
            if rod is own:
                continue
            close = rod.locator.near(points) < 2.0 * self.radius + STEP_MOST
            if not close.any():
                continue
            _, room = room_beside(points[close], directions[close], rod, diameter=2.0 * self.radius)
            if room.min() < -TOUCH:
                return False
        return True

    def _past_what_moves(self, points: Array) -> bool:
        keep = self.radius + KEPT_OFF
        low, high = points.min(axis=0), points.max(axis=0)
        person = near_boxes(low, high, self._lows, self._highs, keep)
        if person.any():
            gaps = square_gaps_to_boxes(points, self._lows[person], self._highs[person])
            if gaps.min() < keep**2:
                return False
        return all(float(gaps_to_wheel(points, w).min()) >= keep for w in self.wheels)
