"""The section of a bead: flat, arc, straight flank, arc, perhaps a flat top, and down again."""

from dataclasses import dataclass
from math import atan2, pi, sqrt

import numpy as np
from numpy.typing import NDArray

__all__ = ["BeadProfile", "bead_profile"]

Array = NDArray[np.float64]

_ARC = 6
"""Sides of a quarter of the drawn section's arcs, about."""


@dataclass(frozen=True, slots=True)
class BeadProfile:
    """A section that is tangent everywhere; mm, radians.

    Attributes: width from foot to foot; depth; radius of feet and top; flat, width of the flat
    top; flank, length of each straight flank; angle, its slope against the flat.
    """

    width: float
    depth: float
    radius: float
    flat: float
    flank: float
    angle: float

    @property
    def girth(self) -> float:
        """Length over the section, from foot to foot: exact."""
        return self.flat + 2.0 * (2.0 * self.radius * self.angle + self.flank)

    def points(self) -> Array:
        """(k, 2) across and high, from foot to foot, with points at both ends of every arc."""
        r, half = self.radius, 0.5 * self.width
        turns = np.linspace(0.0, self.angle, _ARC + 1)
        foot = np.column_stack([-half + r * np.sin(turns), r * (1.0 - np.cos(turns))])
        back = turns[::-1]
        top = np.column_stack(
            [-0.5 * self.flat - r * np.sin(back), self.depth - r * (1.0 - np.cos(back))]
        )
        left = np.vstack([foot, top])
        right = left[::-1] * [-1.0, 1.0]
        return np.vstack([left, right if self.flat > 0.0 else right[1:]])


def bead_profile(width: float, depth: float, radius: float, flat: float = 0.0) -> BeadProfile:
    """The section of that width and depth, with one radius at feet and top.

    From a foot to the top it goes h = (width - flat) / 2 across and the depth up: two arcs and
    the tangent between them. Raises ValueError where the arcs have no room, and where the flank
    would lean over.
    """
    across = 0.5 * (width - flat)
    if min(depth, radius, across) <= 0.0 or flat < 0.0:
        message = "a bead needs a width, a depth and a radius"
        raise ValueError(message)
    square = across**2 + depth**2 - 4.0 * depth * radius
    if square < 0.0:
        message = "the radius has no room"
        raise ValueError(message)
    flank = sqrt(square)
    angle = atan2(depth - 2.0 * radius, across) + atan2(2.0 * radius, flank)
    if not 0.0 < angle <= 0.5 * pi + 1e-12:
        message = "the flank leans over"
        raise ValueError(message)
    return BeadProfile(width, depth, radius, flat, flank, angle)
