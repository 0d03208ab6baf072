"""The shape of a louvre: an arc from the root to the lip, and a lip that rises at both ends."""

from dataclasses import dataclass
from math import atan2, hypot

import numpy as np
from numpy.typing import NDArray

__all__ = ["LouvreProfile", "louvre_profile"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LouvreProfile:
    """mm. Across, the metal leaves the skin tangent at the root and rises as one arc.

    Along, the lip rises at both ends over `rise` as two equal arcs each, tangent to the skin and
    to the level lip between them.
    """

    length: float
    width: float
    height: float
    rise: float

    @property
    def girth(self) -> float:
        """Length of the arc from root to lip: exact."""
        turn = 2.0 * atan2(self.height, self.width)
        return turn * (self.width**2 + self.height**2) / (2.0 * self.height)

    @property
    def lip(self) -> float:
        """Length of the lip from end to end: exact."""
        # Each rise is two arcs of half its run and half its height.
        half = 0.5 * hypot(self.rise, self.height)
        turn = 2.0 * atan2(self.height, self.rise)
        arc = turn * half / (2.0 * np.sin(0.5 * turn))
        return self.length - 2.0 * self.rise + 4.0 * float(arc)

    def arc_height(self, across: Array) -> Array:
        """Share of the lip's height at distances from the root."""
        radius = (self.width**2 + self.height**2) / (2.0 * self.height)
        inside = np.sqrt(np.maximum(radius**2 - np.clip(across, 0.0, self.width) ** 2, 0.0))
        return np.asarray((radius - inside) / self.height)

    def lip_height(self, along: Array) -> Array:
        """Height of the lip at distances from one end."""
        near = np.clip(np.minimum(along, self.length - along), 0.0, self.rise)
        # Two arcs that meet half way up with one tangent.
        radius = (self.rise**2 + self.height**2) / (4.0 * self.height)
        low = radius - np.sqrt(np.maximum(radius**2 - near**2, 0.0))
        left = self.rise - near
        high = self.height - radius + np.sqrt(np.maximum(radius**2 - left**2, 0.0))
        return np.asarray(np.where(near <= 0.5 * self.rise, low, high))


def louvre_profile(length: float, width: float, height: float) -> LouvreProfile:
    """A louvre whose ends rise over as much as it is wide.

    Raises ValueError where it is no wider than high, or no longer than both its ends.
    """
    if min(length, width, height) <= 0.0 or height >= width:
        message = "a louvre is wider than high"
        raise ValueError(message)
    if length <= 2.0 * width:
        message = "a louvre is longer than its two ends"
        raise ValueError(message)
    return LouvreProfile(length, width, height, width)
