"""The inner frame: a box of square tube, stiffened by rings, and what it is cut into.

The box has square corners and stands upright, the same on both sides of the centre plane. Its
four rails (along x) run through from outside to outside. At both ends and at each inner ring
uprights stand between a lower and an upper rail and cross tubes lie between the rails of the two
sides. All ends are cut square.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.frame_stock import frame_stock
from buckwright.buck.rods import Rod
from buckwright.geometry.box_gaps import SquareBar
from buckwright.model.buck import BuckSpec, FrameMember

__all__ = ["Box", "frame_members", "member_bar", "member_nodes", "ring_stations"]

Array = NDArray[np.float64]

RING_SPACING = 900.0
"""mm of rail that stand free between two rings at most."""
ROLES: dict[str, Literal["rail", "cross", "upright"]] = {
    "rail": "rail",
    "cross": "cross",
    "upright": "upright",
}
MERGE = 150.0
"""mm from an end of the box within which no ring is worth having."""
ARCH_DEPTH = 250.0
"""mm along x within which a wire across the body counts as an arch that a ring can stand under."""


@dataclass(frozen=True, slots=True)
class Box:
    """Axes of the members: x from `front` to `rear`, y to `half_width` both ways, z."""

    front: float
    rear: float
    rings: tuple[float, ...]
    """Stations of the rings between the ends."""
    half_width: float
    low: float
    high: float

    @property
    def section_area(self) -> float:
        """What the search makes as large as it can: mm^2 across x."""
        return 2.0 * self.half_width * (self.high - self.low)

    def moved(self, *, wider: float, lower: float, higher: float) -> "Box":
        """The box with its sides, bottom and top moved outwards by so many mm (bottom: up)."""
        return replace(
            self,
            half_width=self.half_width + wider,
            low=self.low + lower,
            high=self.high + higher,
        )

    def farthest_from(self, other: "Box") -> float:
        """How far, mm, a face of the box has moved from the other's, at most."""
        return max(
            abs(self.half_width - other.half_width),
            abs(self.low - other.low),
            abs(self.high - other.high),
        )

    @property
    def stations(self) -> tuple[float, ...]:
        """Stations of all rings, both ends included."""
        return (self.front, *self.rings, self.rear)


def ring_stations(
    front: float,
    rear: float,
    rods: Sequence[Rod],
    *,
    taken: Sequence[tuple[float, float]] = (),
) -> tuple[float, ...]:
    """Stations of the inner rings: evenly spread, each moved under the nearest arch of wire.

    None stands within a stretch that is `taken`: it is moved to the nearer end of it.
    """
    count = int(np.ceil((rear - front) / RING_SPACING)) - 1
    if count < 1:
        return ()
    spacing = (rear - front) / (count + 1)
    arches = [
        float(rod.points[:, 0].mean())
        for rod in rods
        if np.ptp(rod.points[:, 0]) < ARCH_DEPTH and np.ptp(rod.points[:, 1]) > ARCH_DEPTH
    ]
    stations = []
    for even in front + spacing * np.arange(1, count + 1):
        near = [
            x
            for x in arches
            if abs(x - even) < 0.35 * spacing and not any(a < x < b for a, b in taken)
        ]
        best = min(near, key=lambda x: abs(x - even)) if near else float(even)
        stations.append(_moved_out(best, taken))
    return tuple(sorted({x for x in stations if front + MERGE < x < rear - MERGE}))


def _moved_out(x: float, taken: Sequence[tuple[float, float]]) -> float:
    """The station, or the nearest one beyond all stretches that hold it."""
    inside = [(a, b) for a, b in taken if a < x < b]
    if not inside:
        return x
    low, high = min(a for a, _ in inside), max(b for _, b in inside)
    return low if x - low < high - x else high


def member_nodes(box: Box) -> list[tuple[str, Array, Array]]:
    """Name, start and end node of every member."""
    z = {"lower": box.low, "upper": box.high}
    y = {"left": -box.half_width, "right": box.half_width}
    x = {"front": box.front}
    x |= {f"ring {k}": station for k, station in enumerate(box.rings, 1)}
    x["rear"] = box.rear
    rails = [
        (f"rail {a} {s}", np.array([box.front, y[s], z[a]]), np.array([box.rear, y[s], z[a]]))
        for a, s in product(z, y)
    ]
    crosses = [
        (f"cross {a} {e}", np.array([x[e], y["left"], z[a]]), np.array([x[e], y["right"], z[a]]))
        for a, e in product(z, x)
    ]
    uprights = [
        (f"upright {e} {s}", np.array([x[e], y[s], box.low]), np.array([x[e], y[s], box.high]))
        for e, s in product(x, y)
    ]
    return [*rails, *crosses, *uprights]


def member_bar(member: FrameMember, section: float) -> SquareBar:
    """The member's body.

    Rails, cross tubes and uprights reach to the far side of their nodes; of a diagonal the long
    points count; arms and legs end where their axes end.
    """
    half = 0.5 * section
    along = (member.end - member.start) / np.linalg.norm(member.end - member.start)
    if member.role in ("rail", "cross", "upright"):
        past = (half, half)
    else:
        past = (
            half * float(np.tan(np.radians(member.start_mitre_deg))),
            half * float(np.tan(np.radians(member.end_mitre_deg))),
        )
    return SquareBar(member.start - past[0] * along, member.end + past[1] * along, half)


def frame_members(box: Box, spec: BuckSpec) -> tuple[FrameMember, ...]:
    """The members with the lengths to cut them to, ends square."""
    stock = frame_stock(spec)
    members = []
    for name, start, end in member_nodes(box):
        role = ROLES[name.split()[0]]
        length = float(np.linalg.norm(end - start))
        cut = length + stock.side * (1.0 if role == "rail" else -1.0)
        mass = cut * stock.mass_per_mm
        members.append(
            FrameMember(name=name, start=start, end=end, cut_length=cut, mass=mass, role=role)
        )
    return tuple(members)
