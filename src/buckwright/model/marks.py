"""What is marked and cut on a blank beside its outline."""

from typing import Literal

from buckwright.model.fact import Fact, Points2

__all__ = ["BlankMark", "Notch"]


class BlankMark(Fact):
    """A short mark across the trim line, with its words."""

    kind: Literal["match", "datum", "centre"]
    """A point of a seam that the neighbour has too; a station, level or buttock line that
    crosses the edge; the centre plane crossing the edge."""
    text: str
    """`A3`: the third mark of seam A, the same on both panels; `x 1500`; `centre line`."""
    at: tuple[float, float]
    """On the trim line."""
    outward: tuple[float, float]
    """Unit vector away from the panel."""
    neighbour: str = ""
    """For a match mark, the panel beyond the seam."""


class Notch(Fact):
    """A V cut into the allowance at a sharp inside corner, so that it neither tears nor laps."""

    ring: Points2
    """(3,) mouth, tip, mouth; the tip stands off the trim line."""
    corner: tuple[float, float]
    """The corner of the trim line."""
    turn: float
    """rad, how far the trim line turns inward there, above 0."""
