"""Whether the frame comes out of the finished body, by straight pulls along the axes.

The body is taken as closed by nothing but its metal: it may be lifted off the frame, or the
frame drawn out of an open end. Posts are cut off first.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.frame import Box, member_bar
from buckwright.buck.frame_doubts import STUCK
from buckwright.buck.obstacles import Obstacles
from buckwright.geometry.box_gaps import SquareBar, square_gaps_to_boxes
from buckwright.model.buck import FrameMember
from buckwright.model.frame import WayOut

__all__ = ["comes_down", "find_way_out", "swept_gaps"]

Array = NDArray[np.float64]

LEAST_GAP = 5.0
"""mm that must stay between frame and metal on the way."""
WIRE_GAP = 1.0
"""mm between frame and a wire's tube below which the wire is cut first."""
WAYS = (
    ("down, out of the open underside (the body is lifted off it)", (0.0, 0.0, -1.0)),
    ("rearward, out of the open rear", (1.0, 0.0, 0.0)),
    ("forward, out of the open front", (-1.0, 0.0, 0.0)),
    ("up, out of the open top", (0.0, 0.0, 1.0)),
    ("to the left, out of the open side", (0.0, -1.0, 0.0)),
    ("to the right, out of the open side", (0.0, 1.0, 0.0)),
)
FAR = 1e5
"""mm: as far as a body can be long."""
NEAR = 60.0
"""mm from the way of the frame beyond which nothing is looked at."""
PIECE = 20.0
"""mm of a slanting bar that are taken as one box, which holds it."""


def find_way_out(
    members: Sequence[FrameMember],
    box: Box,
    standing: Obstacles,
    *,
    section: float,
    rod_radius: float,
) -> WayOut:
    """The straight pull that takes the frame out past the metal, best past the wires too.

    `standing` holds the metal and the wires of the body, openings open. If no pull takes it
    whole, the frame is tried bay by bay, as if it were bolted together at the rings.
    """
    bars = [member_bar(member, section) for member in members]
    tried = []
    for words, way in WAYS:
        gap, blocked, in_way = _pull(bars, np.array(way), standing, rod_radius)
        tried.append((gap < LEAST_GAP, len(in_way), gap, blocked, in_way, words, way))
        if gap >= LEAST_GAP and not in_way:
            break
    stuck, _, gap, blocked, in_way, words, way = min(
        tried, key=lambda one: (one[0], len(one[3]), one[1])
    )
    if stuck:
        return WayOut(
            free=False,
            way="by no straight pull",
            direction=np.zeros(3),
            blocked_by=blocked,
            pieces=_bay_by_bay(members, box, standing, section, rod_radius),
        )
    return WayOut(free=True, way=words, direction=np.array(way), least_gap=gap, wires_to_cut=in_way)


def comes_down(members: Sequence[FrameMember], metal: Obstacles, *, section: float) -> bool:
    """Whether members come straight down past the metal."""
    gaps = swept_gaps([member_bar(m, section) for m in members], np.array(WAYS[0][1]), metal)
    return float(gaps.min(initial=NEAR)) >= LEAST_GAP


def _pull(
    bars: Sequence[SquareBar], direction: Array, standing: Obstacles, rod_radius: float
) -> tuple[float, tuple[str, ...], tuple[str, ...]]:
    """Least gap to the metal on a pull, the metal in its way, the wires in its way."""
    gaps = swept_gaps(bars, direction, standing)
    things = list(zip(standing.kinds, standing.names, gaps.tolist(), strict=True))
    metal = [(name, gap) for kind, name, gap in things if kind == "metal"]
    blocked = tuple(dict.fromkeys(name for name, gap in metal if gap < LEAST_GAP))
    reach = rod_radius + WIRE_GAP
    cut = tuple(name for kind, name, gap in things if kind == "wire" and gap < reach)
    return min((gap for _, gap in metal), default=NEAR), blocked, cut


def swept_gaps(bars: Sequence[SquareBar], direction: Array, standing: Obstacles) -> Array:
    """(names,) least distance of each thing to the bars as they move off along an axis for good.

    What lies between the points of a surface is allowed for. No more than 60 mm is told.
    """
    axis, sense = int(np.argmax(np.abs(direction))), float(direction.sum())
    least = np.full(len(standing.points), NEAR**2)
    for bar in bars:
        low, high = _swept(*bar.box(), axis, sense)
        near = standing.indices_in(low - NEAR, high + NEAR)
        if len(near):
            lows, highs = _pieces(bar)
            gaps = square_gaps_to_boxes(standing.points[near], *_swept(lows, highs, axis, sense))
            least[near] = np.minimum(least[near], gaps - standing.spread[near] ** 2)
    found = np.full(len(standing.names), NEAR)
    np.minimum.at(found, standing.owner, np.sqrt(np.maximum(least, 0.0)))
    return found


def _swept(lows: Array, highs: Array, axis: int, sense: float) -> tuple[Array, Array]:
    lows, highs = lows.copy(), highs.copy()
    if sense > 0.0:
        highs[..., axis] = FAR
    else:
        lows[..., axis] = -FAR
    return lows, highs


def _pieces(bar: SquareBar) -> tuple[Array, Array]:
    """Corners (k, 3) of boxes along the axes that hold the bar; one if it lies along an axis."""
    low, high = bar.box()
    along = bar.end - bar.start
    if np.count_nonzero(np.abs(along) > 1e-6) == 1:
        return low[None], high[None]
    count = int(np.ceil(bar.length / PIECE))
    middles = bar.start + ((np.arange(count) + 0.5) / count)[:, None] * along
    # What a piece takes beside its part of the axis is what the whole bar takes.
    reach = 0.5 * np.abs(along) / count + (0.5 * (high - low) - 0.5 * np.abs(along))
    return middles - reach, middles + reach


def _bay_by_bay(
    members: Sequence[FrameMember],
    box: Box,
    standing: Obstacles,
    section: float,
    rod_radius: float,
) -> tuple[tuple[str, str], ...]:
    found = []
    for number, (front, rear) in enumerate(pairwise(box.stations), 1):
        bars = _bars_between(members, box, front, rear, section)
        way = STUCK
        for words, direction in WAYS:
            gap, _, _ = _pull(bars, np.array(direction), standing, rod_radius)
            if gap >= LEAST_GAP:
                way = words
                break
        found.append((f"bay {number}", way))
    return tuple(found)


def _bars_between(
    members: Sequence[FrameMember], box: Box, front: float, rear: float, section: float
) -> list[SquareBar]:
    """The bars of one bay, rails cut at its rings; what reaches past an end goes with its bay."""
    half = 0.5 * section
    low = -FAR if front == box.front else front - half
    high = FAR if rear == box.rear else rear + half
    bars = []
    for member in members:
        bar = member_bar(member, section)
        if member.role == "rail":
            a, b = bar.start.copy(), bar.end.copy()
            a[0], b[0] = front - half, rear + half
            bars.append(SquareBar(a, b, half))
        elif low - 1e-6 <= bar.box()[0][0] and bar.box()[1][0] <= high + 1e-6:
            bars.append(bar)
    return bars
