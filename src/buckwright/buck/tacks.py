"""Butts cut back, and the tacks where rods meet, measured along each."""

from collections.abc import Sequence

import numpy as np

from buckwright.buck.meeting import (
    CUT_RUN,
    near_pairs,
    near_stretches,
    room_beside,
    verdict_of_pair,
)
from buckwright.buck.rods import Rod, lay_rod
from buckwright.model.buck import Tack

__all__ = ["TACK_REACH", "cut_back_butts", "find_tacks"]

BUTT_GAP = 0.1
"""mm left between an end face and the rod it butts against."""
TACK_REACH = 1.0
"""mm of air between two rods that a tack still bridges."""
TACK_SPACING = 150.0
"""mm between tacks of rods that run side by side."""


def cut_back_butts(rods: Sequence[Rod], *, sheet: float, diameter: float) -> list[Rod]:
    """The rods with those that end on another in the same place cut back to butt against it.

    Earlier rods go through, later ones are cut; a rod that merely passes is never cut.
    """
    cut = list(rods)
    for i, j in near_pairs(rods, reach=2.0 * diameter):
        verdict = verdict_of_pair(cut[i], cut[j], diameter=diameter)
        if verdict == "cut second":
            cut[j] = _cut_back(cut[j], cut[i], sheet=sheet, diameter=diameter)
        elif verdict == "cut first":
            cut[i] = _cut_back(cut[i], cut[j], sheet=sheet, diameter=diameter)
    return cut


def _cut_back(rod: Rod, other: Rod, *, sheet: float, diameter: float) -> Rod:
    run = min((CUT_RUN + 1.0) * diameter, 0.4 * rod.length)
    from_end = np.arange(0.0, run, 0.2)
    keep = []
    for along in (from_end, rod.length - from_end):
        at = np.interp(along, rod.along, rod.at)
        _, room = room_beside(*rod.at_lengths(along), other, diameter=diameter)
        tight = np.flatnonzero(room < BUTT_GAP)
        last = min(tight[-1] + 1, len(at) - 1) if len(tight) else 0
        keep.append(float(at[last]))
    return lay_rod(rod.path.shortened(*keep), rod.layer, sheet=sheet, diameter=diameter)


def find_tacks(rods: Sequence[Rod], *, diameter: float) -> tuple[Tack, ...]:
    """A tack wherever two rods come within a diameter and a mm, by distance along each.

    Its point lies midway between the axes. Rods side by side are tacked every 150 mm.
    """
    reach = diameter + TACK_REACH
    tacks = []
    for i, j in near_pairs(rods, reach=reach):
        for stretch in near_stretches(rods[i], rods[j], reach=reach, diameter=diameter):
            near = np.flatnonzero(stretch.gap <= reach)
            if not len(near):
                continue
            for group in np.split(near, np.flatnonzero(np.diff(near) > 1) + 1):
                for along in _tack_places(stretch.along[group], stretch.gap[group]):
                    tacks.append(_tack(rods[i], rods[j], along))
    return tuple(tacks)


def _tack_places(along: np.ndarray, gap: np.ndarray) -> np.ndarray:
    length = float(along[-1] - along[0])
    if length < TACK_SPACING:
        return np.array([along[np.argmin(gap)]])
    count = int(np.ceil(length / TACK_SPACING))
    return np.asarray(along[0] + length * (np.arange(count) + 0.5) / count)


def _tack(rod: Rod, other: Rod, along: float) -> Tack:
    window = np.unique(np.clip(along + np.linspace(-2.0, 2.0, 81), 0.0, rod.length))
    points, _ = rod.at_lengths(window)
    gap, foot, there = other.locator.closest(points)
    best = int(np.argmin(gap))
    return Tack(
        wires=(rod.path.name, other.path.name),
        at=(float(window[best]), float(there[best])),
        point=0.5 * (points[best] + foot[best]),
    )
