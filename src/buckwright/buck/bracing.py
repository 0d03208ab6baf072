"""Diagonals of the inner frame: one in each face of each bay, with the cuts at their ends.

A box of bars jointed at its corners is stiff when every outer face of every bay has its diagonal:
it then has just as many bars as it needs, 3 for each node less 6 (Maxwell 1864; that triangles
on a convex box suffice was proved by Dehn 1916).

A diagonal lies between two rails (or two cross tubes, or two uprights): both ends are cut to lie
flat on them, and it touches the tube across at one corner. Between tubes W apart along those it
lands on and H apart across them, s wide itself, it stands at the angle t to them with
W sin t - H cos t = s, so t = atan2(H, W) + asin(s / sqrt(W^2 + H^2)).
"""

from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.frame import Box, member_bar
from buckwright.buck.frame_stock import FrameStock
from buckwright.buck.obstacles import Obstacles
from buckwright.model.buck import FrameMember

__all__ = ["brace_box", "diagonal_angle", "diagonal_ends"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Face:
    """A rectangle of tube axes: its corners along axis u (0, 1, 2) and v, at `level` of the third.

    `low` and `high` hold (u, v).
    """

    name: str
    plane: str
    u: int
    v: int
    low: tuple[float, float]
    high: tuple[float, float]
    level: float

    def point(self, at: Array) -> Array:
        """(3,) of (u, v)."""
        found = np.full(3, self.level)
        found[self.u], found[self.v] = at
        return found


def diagonal_angle(width: float, height: float, side: float) -> float:
    """Angle in rad between a diagonal and the tubes it lands on.

    `width` lies clear between the tubes along these, `height` across; `side` is the diagonal's
    own. Raises ValueError where it does not fit in between.
    """
    across = float(np.hypot(width, height))
    if side >= width or side >= height:
        message = "a diagonal needs more room than its own width"
        raise ValueError(message)
    return float(np.arctan2(height, width) + np.arcsin(side / across))


def diagonal_ends(width: float, height: float, side: float) -> tuple[Array, Array]:
    """Both ends (2,) of the diagonal's axis, from the corner of the clear rectangle."""
    half_cut = 0.5 * side / np.sin(diagonal_angle(width, height, side))
    return np.array([half_cut, 0.0]), np.array([width - half_cut, height])


def brace_box(
    box: Box, stock: FrameStock, obstacles: Obstacles, empty: Obstacles | None = None
) -> tuple[tuple[FrameMember, ...], tuple[tuple[str, tuple[str, ...]], ...]]:
    """The diagonals that have room, and the faces without one, each with what stands in its way.

    Where `empty` is given (the same without people) a diagonal that only people hinder stands
    all the same: it can be taken out. Neighbouring faces lean differently where both ways are
    free.
    """
    members: list[FrameMember] = []
    bare: list[tuple[str, tuple[str, ...]]] = []
    for number, face in enumerate(_faces(box)):
        ways = [_diagonal(face, stock, backward=way) for way in (bool(number % 2), not number % 2)]
        fitting = [way for way in ways if way is not None]
        if not fitting:
            bare.append((face.name, ("its own width",)))
            continue
        bars = [member_bar(way, stock.side) for way in fitting]
        blocked = [obstacles.in_way_of(bar) for bar in bars]
        if all(blocked) and empty is not None:
            blocked = [empty.in_way_of(bar) for bar in bars]
        free = [way for way, things in zip(fitting, blocked, strict=True) if not things]
        if free:
            members.append(free[0])
        else:
            bare.append((face.name, tuple(sorted({t for things in blocked for t in things}))))
    return tuple(members), tuple(bare)


def _faces(box: Box) -> list[_Face]:
    """Outer faces: by bay the sides, floor and roof, then both ends."""
    y, z = (-box.half_width, box.half_width), (box.low, box.high)
    bays = list(enumerate(pairwise(box.stations), 1))
    sides = [
        _Face(f"side {word}, bay {k}", "side", 0, 2, (a, z[0]), (b, z[1]), level)
        for (word, level), (k, (a, b)) in product(zip(("left", "right"), y, strict=True), bays)
    ]
    plans = [
        _Face(f"{word}, bay {k}", "plan", 0, 1, (a, y[0]), (b, y[1]), level)
        for (word, level), (k, (a, b)) in product(zip(("floor", "roof"), z, strict=True), bays)
    ]
    ends = [
        _Face(f"{word} end", "end", 1, 2, (y[0], z[0]), (y[1], z[1]), level)
        for word, level in (("front", box.front), ("rear", box.rear))
    ]
    return [*sides, *plans, *ends]


def _diagonal(face: _Face, stock: FrameStock, *, backward: bool) -> FrameMember | None:
    """The diagonal of a face, from its low corner or (backward) from the other; None if too tight.

    It lands on the tubes along the shorter side, so that no cut is over 45 degrees off square by
    more than its own width asks for.
    """
    size = np.array(face.high) - np.array(face.low) - stock.side
    short = int(np.argmin(size))
    width, height = float(size[short]), float(size[1 - short])
    if min(width, height) <= 2.0 * stock.side:
        return None
    angle = diagonal_angle(width, height, stock.side)
    mitre = 90.0 - float(np.degrees(angle))
    ends = np.array(diagonal_ends(width, height, stock.side))
    if backward:
        ends[:, 0] = width - ends[:, 0]
    corner = np.array(face.low) + 0.5 * stock.side
    flat = np.empty((2, 2))
    flat[:, short], flat[:, 1 - short] = ends[:, 0], ends[:, 1]
    start, end = (face.point(corner + at) for at in flat)
    length = float(np.linalg.norm(end - start))
    return FrameMember(
        name=f"diagonal {face.name}",
        start=start,
        end=end,
        cut_length=length + stock.side / float(np.tan(angle)),
        mass=length * stock.mass_per_mm,
        role="diagonal",
        start_mitre_deg=mitre,
        end_mitre_deg=mitre,
        mitre_plane=face.plane,
    )
