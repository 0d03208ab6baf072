"""What the frame stands on: legs under its lower rails and long arms, on feet or castors."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from buckwright.buck.frame import Box, member_bar
from buckwright.buck.frame_doubts import doubts_about_standing
from buckwright.buck.frame_stock import FrameStock
from buckwright.buck.obstacles import Obstacles
from buckwright.geometry.box_gaps import SquareBar
from buckwright.model.buck import BuckSpec, FrameMember
from buckwright.model.finding import Finding
from buckwright.model.frame import Foot

__all__ = ["Stand", "feet_of", "numbered", "stand_frame", "tipping_slope"]

Array = NDArray[np.float64]

LEG_SPACING = 1500.0
"""mm of rail between two legs at most."""
ASIDE = (0.0, 60.0, -60.0, 120.0, -120.0)
"""mm along its rail that a leg may be moved to find room."""
LONG_ARM = 600.0
"""mm from which an arm gets a leg of its own under its free end."""
SHORTEST_LEG = 5.0
CARRYING = 3
"""Feet that carry a stiff frame on a floor that is not flat."""


@dataclass(frozen=True, slots=True, eq=False)
class Stand:
    """Legs, how far the body stands above its true height, and doubts."""

    legs: tuple[FrameMember, ...]
    raised: float
    findings: tuple[Finding, ...]


def stand_frame(
    spec: BuckSpec,
    stock: FrameStock,
    box: Box,
    members: Sequence[FrameMember],
    obstacles: Obstacles,
    *,
    lowest: float,
) -> Stand:
    """Legs down to the floor: at both ends of the box, between if it is long, under long arms.

    The floor is the ground, unless the spec asks for a height of the sill: then the body stands
    above it by as much more. `lowest` is the height of the lowest metal.
    """
    if spec.stand == "none":
        return Stand((), 0.0, ())
    raised = 0.0 if spec.sill_height is None else spec.sill_height - lowest
    ground = spec.stand_height - raised
    legs: list[FrameMember] = []
    blocked: list[str] = []
    short = 0.0
    for name, top, along in _places(stock, box, members):
        if top[2] - ground < SHORTEST_LEG:
            short = max(short, ground + SHORTEST_LEG - float(top[2]))
            continue
        leg = _leg(name, top, along, ground, stock, [*members, *legs], obstacles)
        if leg is None:
            blocked.append(name)
        else:
            legs.append(leg)
    findings = doubts_about_standing(blocked=blocked, short=short or None, tips_at=None)
    return Stand(tuple(legs), raised, findings)


def _places(
    stock: FrameStock, box: Box, members: Sequence[FrameMember]
) -> list[tuple[str, Array, Array]]:
    """Name, top and direction along the carrying tube of each leg wanted."""
    half = 0.5 * stock.side
    bays = max(int(np.ceil((box.rear - box.front) / LEG_SPACING)), 1)
    stations = np.linspace(box.front, box.rear, bays + 1)
    found = [
        (
            f"leg {number} {word}",
            np.array([x, side * box.half_width, box.low - half]),
            np.array([1.0 if x < 0.5 * (box.front + box.rear) else -1.0, 0.0, 0.0]),
        )
        for number, x in enumerate(stations, 1)
        for word, side in (("left", -1.0), ("right", 1.0))
    ]
    for arm in members:
        low = abs(float(arm.end[2]) - box.low) < 1.0
        if arm.role == "arm" and low and arm.cut_length > LONG_ARM:
            back = (arm.start - arm.end) / arm.cut_length
            top = arm.end + half * back - np.array([0.0, 0.0, half])
            found.append((f"leg of {arm.name}", top, back))
    return found


def _leg(
    name: str,
    top: Array,
    along: Array,
    ground: float,
    stock: FrameStock,
    members: Sequence[FrameMember],
    obstacles: Obstacles,
) -> FrameMember | None:
    """The leg at the first place along its rail where nothing is in its way."""
    half = 0.5 * stock.side
    hanging = [member_bar(m, stock.side).box() for m in members if m.role in ("arm", "leg")]
    for aside in ASIDE:
        start = top + aside * along
        end = np.array([start[0], start[1], ground])
        bar = SquareBar(start, end, half)
        low, high = bar.box()
        touches = any(np.all(low < b - 0.5) and np.all(high > a + 0.5) for a, b in hanging)
        if touches or obstacles.in_way_of(bar):
            continue
        length = float(start[2] - ground)
        mass = length * stock.mass_per_mm
        return FrameMember(
            name=name, start=start, end=end, cut_length=length, mass=mass, role="leg"
        )
    return None


def numbered(members: Sequence[FrameMember]) -> list[FrameMember]:
    """The members with numbers from 1 in their order."""
    return [m.model_copy(update={"number": k}) for k, m in enumerate(members, 1)]


def feet_of(spec: BuckSpec, legs: Sequence[FrameMember], mass: float) -> tuple[Foot, ...]:
    """A foot under every leg. Each must bear a third of all: on an uneven floor three carry."""
    if not legs:
        return ()
    load = mass / min(len(legs), CARRYING)
    kind = "castor" if spec.stand == "castors" else "foot"
    return tuple(
        Foot(name=f"{kind} {k}", leg=leg.name, at=leg.end, kind=kind, load=load)
        for k, leg in enumerate(legs, 1)
    )


def tipping_slope(feet: Sequence[Foot], centre: Array, *, height: float) -> float:
    """Degrees of slope at which a thing falls over the nearest side of its feet.

    `centre` (3,) is its centre of mass and `height` how high that stands over the floor. 0 when
    it does not stand at all.
    """
    at = np.array([foot.at[:2] for foot in feet]).reshape(-1, 2)
    if len(at) < 3 or np.linalg.matrix_rank(at - at.mean(axis=0)) < 2 or height <= 0.0:
        return 0.0
    hull = at[ConvexHull(at).vertices]
    sides = np.roll(hull, -1, axis=0) - hull
    inward = np.column_stack([-sides[:, 1], sides[:, 0]])
    inward /= np.linalg.norm(inward, axis=1, keepdims=True)
    room = float(np.einsum("nd,nd->n", centre[:2] - hull, inward).min())
    return max(float(np.degrees(np.arctan2(room, height))), 0.0)
