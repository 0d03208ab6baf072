"""The inner frame: a box of square tube, stiffened by rings, and what it is cut into.

The box has square corners and stands upright, the same on both sides of the centre plane. Its
four rails (along x) run through from outside to outside. At both ends and at each inner ring
uprights stand between a lower and an upper rail and cross tubes lie between the rails of the two
sides. All ends are cut square.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.rods import Rod
from buckwright.model.buck import BuckSpec, FrameMember
from buckwright.tables.steel import tube_mass_per_mm

__all__ = ["Box", "frame_members", "member_body", "member_nodes", "ring_stations"]

Array = NDArray[np.float64]

RING_SPACING = 900.0
"""mm of rail that stand free between two rings at most."""
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


def ring_stations(front: float, rear: float, rods: Sequence[Rod]) -> tuple[float, ...]:
    """Stations of the inner rings: evenly spread, each moved under the nearest arch of wire."""
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
        near = [x for x in arches if abs(x - even) < 0.35 * spacing]
        stations.append(min(near, key=lambda x: abs(x - even)) if near else float(even))
    return tuple(stations)


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


def member_body(member: FrameMember, section: float) -> tuple[Array, Array]:
    """Lowest and highest corner (3,) of the tube, nodes included: it lies along an axis."""
    half = 0.5 * section
    return (
        np.minimum(member.start, member.end) - half,
        np.maximum(member.start, member.end) + half,
    )


def frame_members(box: Box, spec: BuckSpec) -> tuple[FrameMember, ...]:
    """The members with the lengths to cut them to, ends square."""
    per_mm = tube_mass_per_mm(spec.frame_section, spec.frame_wall)
    members = []
    for name, start, end in member_nodes(box):
        through = name.startswith("rail")
        length = float(np.linalg.norm(end - start))
        cut = length + spec.frame_section * (1.0 if through else -1.0)
        members.append(
            FrameMember(name=name, start=start, end=end, cut_length=cut, mass=cut * per_mm)
        )
    return tuple(members)
