"""Where two rods come near each other, and how much room is left between their tubes.

Tubes have flat ends: at a butt the end face of one rod may touch the side of another. A section
of a rod across direction t, whose nearest place on the other axis lies at distance g in
direction u, leaves the room g - r - r sqrt(1 - (t . u)^2).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.buck.rods import STEP_MOST, Rod

__all__ = [
    "TOUCH",
    "Stretch",
    "Verdict",
    "near_pairs",
    "near_stretches",
    "room_beside",
    "verdict_of_pair",
]

Array = NDArray[np.float64]
Verdict = Literal["clear", "cut first", "cut second", "crossing"]

TOUCH = 0.05
"""mm that two tubes may seem to run into each other where they touch: rounding of the fit."""
CUT_RUN = 8.0
"""Diameters over which a rod that ends on another may be cut back."""
CUT_PAST = 2.5
"""Diameters that a rod may reach past the one it ends on."""


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """A stretch of one rod near another: length along it, gap between the axes, room. All (n,)."""

    along: Array
    gap: Array
    room: Array


def near_pairs(rods: Sequence[Rod], *, reach: float) -> tuple[tuple[int, int], ...]:
    """Pairs of rods with axes within about `reach` mm of each other."""
    points = np.vstack([rod.points for rod in rods])
    owner = np.repeat(np.arange(len(rods)), [len(rod.points) for rod in rods])
    # Where two axes meet, each has a point within half a step.
    pairs = cKDTree(points).query_pairs(reach + STEP_MOST, output_type="ndarray")
    both = np.unique(np.sort(owner[pairs], axis=1), axis=0)
    return tuple((int(i), int(j)) for i, j in both if i != j)


def room_beside(
    points: Array, directions: Array, other: Rod, *, diameter: float
) -> tuple[Array, Array]:
    """Gap between the axes and room between the tubes at points of a rod, each (n,)."""
    gap, foot, _ = other.locator.closest(points)
    toward = (foot - points) / np.maximum(gap, 1e-9)[:, None]
    slant = np.einsum("nd,nd->n", toward, directions)
    reach = np.sqrt(np.clip(1.0 - slant**2, 0.0, 1.0))
    return gap, gap - 0.5 * diameter * (1.0 + reach)


def near_stretches(rod: Rod, other: Rod, *, reach: float, diameter: float) -> tuple[Stretch, ...]:
    """Stretches of a rod whose axis lies within about `reach` of the other's, closely sampled."""
    near = np.flatnonzero(other.locator.near(rod.points) < reach + STEP_MOST)
    if not len(near):
        return ()
    stretches = []
    for group in np.split(near, np.flatnonzero(np.diff(near) > 1) + 1):
        first, last = max(group[0] - 1, 0), min(group[-1] + 1, len(rod.at) - 1)
        count = int(np.clip((rod.along[last] - rod.along[first]) / 0.5, 8, 400))
        along = np.linspace(rod.along[first], rod.along[last], count + 1)
        gap, room = room_beside(*rod.at_lengths(along), other, diameter=diameter)
        stretches.append(Stretch(along, gap, room))
    return tuple(stretches)


def _ends_on(rod: Rod, other: Rod, diameter: float) -> bool | None:
    """Whether every clash of the rod with the other is at an end of it; None without a clash."""
    clashes = False
    for stretch in near_stretches(rod, other, reach=2.0 * diameter, diameter=diameter):
        inside = np.flatnonzero(stretch.room < -TOUCH)
        if not len(inside):
            continue
        clashes = True
        if rod.path.closed:
            return False
        place = stretch.along[inside[np.argmin(stretch.gap[inside])]]
        low, high = stretch.along[inside[0]], stretch.along[inside[-1]]
        at_start = high < CUT_RUN * diameter and place < CUT_PAST * diameter
        at_end = rod.length - low < CUT_RUN * diameter and rod.length - place < CUT_PAST * diameter
        if not (at_start or at_end):
            return False
    return True if clashes else None


def verdict_of_pair(first: Rod, second: Rod, *, diameter: float) -> Verdict:
    """Whether two rods are clear, one ends on the other (cut it back), or they cross.

    Where both end, the second is cut back.
    """
    second_ends = _ends_on(second, first, diameter)
    if second_ends:
        return "cut second"
    first_ends = _ends_on(first, second, diameter)
    if first_ends:
        return "cut first"
    return "clear" if first_ends is None and second_ends is None else "crossing"
