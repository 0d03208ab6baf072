"""Arms of the frame: tubes that reach out where the box cannot, to what hangs beside or before it.

Forward and rearward arms run level along x from the cross tubes and uprights at the ends of the
box, through the open front or rear. Side arms hang under a lower rail on a short drop, pass
below the sill and reach out under a wing. An arm is cut just past its last post.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.frame import Box
from buckwright.buck.frame_stock import FrameStock
from buckwright.buck.obstacles import Obstacles
from buckwright.buck.posts import SPACING, Footing, Reach, Target, reaches_to
from buckwright.geometry.box_gaps import SquareBar
from buckwright.model.buck import BuckSpec, FrameMember

__all__ = ["Arm", "arms_to", "possible_arms"]

Array = NDArray[np.float64]

LONGEST_ARM = 1000.0
SHORTEST_ARM, SHORTEST_DROP = 60.0, 10.0
REACH = LONGEST_ARM + 200.0
"""mm beyond an end of the box within which what is in the way of its arms is looked at."""
PLACES = 100.0
"""mm between the places on the box from which arms are tried."""
PAST_POST = 25.0
"""mm that an arm reaches past the middle of its last post's foot."""
ARM_SLANT = 0.05
"""Least cosine between a post from an arm and the skin's normal: it holds the edge of a wing."""
TRIES = 8
"""Ways to a tack that are looked at closely for one arm."""
LOOKED_AT = 80
"""Arms looked at closely for each region, the most promising first."""
SHIFTS = (0.0, -120.0, 120.0, -240.0, 240.0)
"""mm along an arm from the place nearest to a tack at which a post may stand too."""


@dataclass(frozen=True, slots=True, eq=False)
class Arm:
    """A tube that reaches out, the drop that carries it (or None), and the posts it would carry."""

    tube: FrameMember
    drop: FrameMember | None
    reaches: tuple[Reach, ...] = ()

    @property
    def members(self) -> tuple[FrameMember, ...]:
        """What is to be cut for it."""
        return (self.tube,) if self.drop is None else (self.drop, self.tube)

    def bolted(self) -> "Arm":
        """The same, to be taken out while people sit in the body."""
        drop = self.drop and self.drop.model_copy(update={"bolted": True})
        return Arm(self.tube.model_copy(update={"bolted": True}), drop, self.reaches)

    def named(self, number: int) -> "Arm":
        """The arm with that number in the names of its tubes, its posts standing on them."""
        name = f"{self.tube.name.split(' at ')[0]} {number}"
        drop = self.drop and self.drop.model_copy(update={"name": f"drop of {name}"})
        return Arm(
            self.tube.model_copy(update={"name": name}),
            drop,
            tuple(replace(reach, member=name) for reach in self.reaches),
        )


def possible_arms(box: Box, stock: FrameStock, obstacles: Obstacles, *, under: float) -> list[Arm]:
    """Arms as long as they have room for, from all places of the box where one can start.

    `under` is the height of the axes of side arms, below the sill.
    """
    arms: list[Arm | None] = []
    for word, sense in (("front", -1.0), ("rear", 1.0)):
        end = box.front if sense < 0.0 else box.rear
        beyond = np.array([end - REACH if sense < 0.0 else end, -np.inf, -np.inf])
        there = obstacles.near(beyond, np.array([beyond[0] + REACH, np.inf, np.inf]))
        for k, start in enumerate(_level_starts(box, stock, front=sense < 0.0)):
            way = np.array([sense, 0.0, 0.0])
            arms.append(_arm(f"{word} arm at {k}", np.array(start), way, stock, there))
    if box.low - under >= stock.side + SHORTEST_DROP:
        lower = np.array([box.front - 100.0, -np.inf, -np.inf])
        there = obstacles.near(lower, np.array([box.rear + 100.0, np.inf, box.low + 100.0]))
        for x in np.arange(box.front, box.rear, 0.5 * PLACES):
            for side in (-1.0, 1.0):
                arms.append(_side_arm(float(x), side, box, stock, there, under))
    return [arm for arm in arms if arm is not None]


def _level_starts(box: Box, stock: FrameStock, *, front: bool) -> list[tuple[float, float, float]]:
    """Places on the face of an end of the box: along its cross tubes and its uprights."""
    x = box.front - 0.5 * stock.side if front else box.rear + 0.5 * stock.side
    inner = box.half_width - stock.side
    ys = np.linspace(-inner, inner, 2 * int(np.ceil(inner / PLACES)) + 1)
    zs = np.arange(box.low + PLACES, box.high - stock.side, PLACES)
    crosses = [(x, float(y), z) for z in (box.low, box.high) for y in ys]
    return [*crosses, *((x, s * box.half_width, float(z)) for s in (-1.0, 1.0) for z in zs)]


def _side_arm(
    x: float, side: float, box: Box, stock: FrameStock, obstacles: Obstacles, under: float
) -> Arm | None:
    start = np.array([x, side * (box.half_width - 0.5 * stock.side), under])
    arm = _arm(
        f"side arm at {x:.0f} {side:.0f}", start, np.array([0.0, side, 0.0]), stock, obstacles
    )
    top = np.array([x, side * box.half_width, box.low - 0.5 * stock.side])
    foot = np.array([x, side * box.half_width, under + 0.5 * stock.side])
    if arm is None or obstacles.in_way_of(SquareBar(top, foot, 0.5 * stock.side)):
        return None
    return replace(arm, drop=_member("drop", top, foot, stock))


def _arm(
    name: str, start: Array, direction: Array, stock: FrameStock, obstacles: Obstacles
) -> Arm | None:
    """The longest clear arm from a place; None where there is no room for a short one."""
    free = _free_length(start, direction, stock, obstacles)
    if free < SHORTEST_ARM:
        return None
    return Arm(_member(name, start, start + free * direction, stock), None)


def _member(name: str, start: Array, end: Array, stock: FrameStock) -> FrameMember:
    length = float(np.linalg.norm(end - start))
    return FrameMember(
        name=name,
        start=start,
        end=end,
        cut_length=length,
        mass=length * stock.mass_per_mm,
        role="arm",
    )


def _free_length(start: Array, direction: Array, stock: FrameStock, obstacles: Obstacles) -> float:
    """Length, mm, that a bar may reach from `start` along an axis before something is too near."""
    bar = SquareBar(start, start + LONGEST_ARM * direction, 0.5 * stock.side)
    low, high = bar.box()
    reach = obstacles.farthest_need
    near = obstacles.near(low - reach, high + reach)
    room = np.hypot(near.need, near.spread)
    axis = int(np.argmax(np.abs(direction)))
    beside = np.delete(np.abs(near.points - start), axis, axis=1) - bar.half
    aside = np.linalg.norm(np.maximum(beside, 0.0), axis=1)
    close = aside < room
    ahead = (near.points[close] - start)[:, axis] * direction[axis]
    ahead = ahead - np.sqrt(room[close] ** 2 - aside[close] ** 2)
    free = min(float(ahead.min(initial=LONGEST_ARM)), LONGEST_ARM)
    for people_low, people_high in zip(obstacles.people_low, obstacles.people_high, strict=True):
        grown = people_low - obstacles.clearance, people_high + obstacles.clearance
        across = np.delete(np.stack([low, high]), axis, axis=1)
        inside = np.all(across[0] < np.delete(grown[1], axis)) and np.all(
            across[1] > np.delete(grown[0], axis)
        )
        ends = sorted((np.array([g[axis] for g in grown]) - start[axis]) * direction[axis])
        if inside and ends[1] > 0.0:
            free = min(free, float(ends[0]))
    return free


def arms_to(
    targets: Sequence[Target],
    arms: Sequence[Arm],
    spec: BuckSpec,
    is_free: Callable[[Reach, Sequence[FrameMember]], bool],
    comes_out: Callable[[Arm], bool],
) -> Arm | None:
    """The arm from which most of the targets are reached, cut to length; None if none reaches one.

    Arms that come out of the body with the frame go before others; of arms that do as well the
    one with the shortest tube and posts is taken.
    """
    footing = Footing.of([arm.tube for arm in arms], spec.frame_section)
    ways: list[list[list[Reach]]] = [[] for _ in arms]
    for target in targets:
        by_arm: dict[str, list[Reach]] = {}
        for reach in reaches_to(target, spec, footing, slant=ARM_SLANT, shifts=SHIFTS):
            by_arm.setdefault(reach.member, []).append(reach)
        for arm, mine in zip(arms, ways, strict=True):
            if arm.tube.name in by_arm:
                mine.append(by_arm[arm.tube.name][:TRIES])
    judged = [
        (-len(mine), sum(way[0].length for way in mine), number)
        for number, mine in enumerate(ways)
        if mine
    ]
    best, price = None, (True, 0, 0.0)
    for count, _, number in sorted(judged)[:LOOKED_AT]:
        if best is not None and not price[0] and count > price[1]:
            break
        held = _held(arms[number], ways[number], is_free)
        if not held:
            continue
        cut = _cut(replace(arms[number], reaches=tuple(held)))
        stuck = not comes_out(cut)
        here = (stuck, -len(held), cut.tube.cut_length + sum(reach.length for reach in held))
        if best is None or here < price:
            best, price = cut, here
    return best


def _held(
    arm: Arm,
    reached: Sequence[Sequence[Reach]],
    is_free: Callable[[Reach, Sequence[FrameMember]], bool],
) -> list[Reach]:
    held: list[Reach] = []
    for ways in reached:
        apart = [
            way for way in ways if all(np.linalg.norm(way.end - one.end) >= SPACING for one in held)
        ]
        found = next((way for way in apart if is_free(way, arm.members)), None)
        if found is not None:
            held.append(found)
    return held


def _cut(arm: Arm) -> Arm:
    """The arm with its tube cut just past its last post."""
    tube = arm.tube
    along = (tube.end - tube.start) / tube.cut_length
    last = max(float((reach.start - tube.start) @ along) for reach in arm.reaches)
    length = min(max(last + PAST_POST, SHORTEST_ARM), tube.cut_length)
    end = tube.start + length * along
    mass = tube.mass * length / tube.cut_length
    shorter = tube.model_copy(update={"end": end, "cut_length": length, "mass": mass})
    return replace(arm, tube=shorter)
