"""What is read off the lines: crossings with a plane, distances; and lines on a photograph."""

from buckwright.model.fact import Fact, Numbers, Points2

__all__ = ["Between", "LineOnPicture", "PlaneCrossing"]


class PlaneCrossing(Fact):
    """A point in which a line passes through a plane."""

    line: str
    share: float
    """Where along the line, 0 to 1."""
    point: Numbers
    """(3,) mm."""


class Between(Fact):
    """Two places on lines, and how far the second lies from the first; mm."""

    first: Numbers
    """(3,)."""
    second: Numbers
    """(3,)."""
    steps: tuple[float, float, float]
    """Rearward, to the right, up."""
    true: float
    """Straight through space."""
    line: str = ""
    """The line on which both lie; empty where there is none."""
    along: float | None = None
    """Along that line; round a closed one the shorter way."""


class LineOnPicture(Fact):
    """A line as a camera sees it, in the pieces of it that lie before the lens and in the frame."""

    name: str
    pieces: tuple[Points2, ...]
    """(n, 2) px each, pixel centres at integers."""
