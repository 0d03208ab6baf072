"""The tacks where rods meet, measured along each."""

from collections.abc import Sequence

import numpy as np

from buckwright.buck.meeting import near_pairs, near_stretches
from buckwright.buck.rods import Rod
from buckwright.model.buck import Tack

__all__ = ["TACK_REACH", "find_tacks"]

TACK_REACH = 1.0
"""mm of air between two rods that a tack still bridges."""
TACK_SPACING = 150.0
"""mm between tacks of rods that run side by side."""
SAME_TACK = 3.0
"""Diameters within which two tacks of the same rods are one: a closed rod's ends see it twice."""


def find_tacks(rods: Sequence[Rod], *, diameter: float) -> tuple[Tack, ...]:
    """A tack wherever two rods come within a diameter and a mm, by distance along each.

    Its point lies midway between the axes. Rods side by side are tacked every 150 mm. Along a
    closed rod the distance is less than its length, and where its ends meet is one place.
    """
    reach = diameter + TACK_REACH
    tacks: list[Tack] = []
    for i, j in near_pairs(rods, reach=reach):
        found = []
        for stretch in near_stretches(rods[i], rods[j], reach=reach, diameter=diameter):
            near = np.flatnonzero(stretch.gap <= reach)
            if not len(near):
                continue
            for group in np.split(near, np.flatnonzero(np.diff(near) > 1) + 1):
                for along in _tack_places(stretch.along[group], stretch.gap[group]):
                    found.append(_tack(rods[i], rods[j], along))
        tacks += _once(found, apart=SAME_TACK * diameter)
    return tuple(tacks)


def _once(found: Sequence[tuple[float, Tack]], *, apart: float) -> list[Tack]:
    """Of tacks at one place the one with the smaller gap."""
    kept: list[Tack] = []
    for _, tack in sorted(found, key=lambda pair: pair[0]):
        if all(np.linalg.norm(tack.point - other.point) > apart for other in kept):
            kept.append(tack)
    return sorted(kept, key=lambda tack: tack.at)


def _tack_places(along: np.ndarray, gap: np.ndarray) -> np.ndarray:
    length = float(along[-1] - along[0])
    if length < TACK_SPACING:
        return np.array([along[np.argmin(gap)]])
    count = int(np.ceil(length / TACK_SPACING))
    return np.asarray(along[0] + length * (np.arange(count) + 0.5) / count)


def _tack(rod: Rod, other: Rod, along: float) -> tuple[float, Tack]:
    """The gap between the axes near a place, and the tack there."""
    window = along + np.linspace(-2.0, 2.0, 81)
    window = (
        np.mod(window, rod.length) if rod.path.closed else np.unique(window.clip(0.0, rod.length))
    )
    points, _ = rod.at_lengths(window)
    gap, foot, there = other.locator.closest(points)
    best = int(np.argmin(gap))
    at = float(there[best])
    tack = Tack(
        wires=(rod.path.name, other.path.name),
        at=(float(window[best]), at % other.length if other.path.closed else at),
        point=0.5 * (points[best] + foot[best]),
    )
    return float(gap[best]), tack
