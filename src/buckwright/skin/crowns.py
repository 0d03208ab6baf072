"""Crown classes: how far the metal must be stretched to take the skin's shape, in words."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.curvature import Curvatures
from buckwright.model.crowns import CROWNS, CrownLimits

__all__ = ["crown_areas", "crown_classes", "crown_words"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

STRAIGHTEDGE = 300.0
"""mm, of the straightedge in the words."""


def crown_classes(bends: Curvatures, limits: CrownLimits) -> Index:
    """(n,) numbers in CROWNS.

    Straight both ways is flat, straight one way is rolled. Bent both ways it is a crown, by the
    geometric mean of its two radii; with the bends against each other it is reverse. A dish,
    bent both ways to the inside, is a crown seen from the other side and is called by it.
    """
    most = np.maximum(np.abs(bends.greater), np.abs(bends.lesser))
    least = np.minimum(np.abs(bends.greater), np.abs(bends.lesser))
    straight = 1.0 / limits.flat
    crown = np.sqrt(np.abs(bends.gauss))
    degree = np.where(crown <= 1.0 / limits.low, 2, np.where(crown <= 1.0 / limits.medium, 3, 4))
    both = np.where(bends.gauss < 0.0, CROWNS.index("reverse"), degree)
    one = np.where(most <= straight, CROWNS.index("flat"), CROWNS.index("rolled"))
    return np.asarray(np.where(least <= straight, one, both), dtype=np.int64)


def crown_areas(classes: Index, areas: Array) -> Array:
    """(6,) sums of the areas (n,) that belong to the vertices."""
    return np.asarray(np.bincount(classes, areas, minlength=len(CROWNS)), dtype=np.float64)


def crown_words(limits: CrownLimits) -> tuple[str, ...]:
    """What each of CROWNS means, with its numbers."""
    radii = (limits.flat, limits.low, limits.medium)
    flat, low, medium = (f"{radius / 1000.0:g} m" for radius in radii)
    gaps = [f"{STRAIGHTEDGE**2 / (8.0 * radius):.1f} mm" for radius in radii]
    rule = f"under a {STRAIGHTEDGE:.0f} mm straightedge"
    return (
        f"Flat: no bend tighter than {flat} any way; less than {gaps[0]} {rule}.",
        f"Rolled: bent one way, straight the other within {flat}; rolls or folds, no stretching.",
        f"Low crown: bent both ways, on the mean no tighter than {low}; up to {gaps[1]} {rule}.",
        f"Medium crown: bent both ways, from {low} to {medium}; {gaps[1]} to {gaps[2]} {rule}.",
        f"High crown: bent both ways, tighter than {medium}; more than {gaps[2]} {rule}.",
        f"Reverse: a saddle, bent out one way and in the other, both tighter than {flat}.",
    )
