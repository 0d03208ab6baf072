"""What a line is told to keep: straight runs, directions of its ends, corners, tolerance, weights.

Places are shares of the fair line, 0 to 1. On a line of a pair the other one keeps the same as its
mirror image; on a line over the whole width both halves do.
"""

from typing import Literal

from buckwright.model.fact import Fact

__all__ = ["EndTangent", "LineHold", "PointWeight", "StraightRun", "Stretch"]


class Stretch(Fact):
    """From one place of a line to another."""

    start: float
    end: float


class StraightRun(Stretch):
    """A stretch in which the line is exactly straight."""


class EndTangent(Fact):
    """Which way the line runs at one of its ends."""

    end: Literal["first", "last"]
    way: Literal["direction", "square", "line"]
    """Along `direction`, square to the centre plane, or running on from the line named."""
    direction: tuple[float, float, float] | None = None
    """x, y, z on the reference, of any length; which of its two senses does not matter."""
    line: str = ""


class PointWeight(Stretch):
    """How much the points of a stretch count, beside what their measuring gives them."""

    times: float


class LineHold(Fact):
    """All that one line is told to keep."""

    line: str
    straights: tuple[StraightRun, ...] = ()
    corners: tuple[float, ...] = ()
    """Places where the direction may break; both sides are fair."""
    tangents: tuple[EndTangent, ...] = ()
    tolerance: float | None = None
    """mm that the line may lie from each of its points; None: what their measuring allows."""
    weights: tuple[PointWeight, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether nothing is kept."""
        kept = (self.straights, self.corners, self.tangents, self.weights)
        return not any(kept) and self.tolerance is None
