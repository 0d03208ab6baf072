"""What the lines bound: regions and open fields as they are found, and what the hand changed."""

from typing import Literal

from buckwright.model.fact import Fact, Points2, Points3, Triangles
from buckwright.model.finding import PlacedFinding
from buckwright.model.skin import RegionSpec

__all__ = [
    "MEET",
    "FieldChoice",
    "FieldPicture",
    "FoundFields",
    "FoundRegion",
    "PlacedFinding",
    "Softening",
]

MEET = 2.0
"""mm: lines that miss each other by no more are taken as meeting."""


class FieldChoice(Fact):
    """One correction by hand of what was found.

    'part': the line divides the skin. 'join': the piece of the line at the place does not divide
    it. 'leave out': the line bounds nothing. 'open', 'metal' and 'name' are about what these
    lines bound at the place.
    """

    what: Literal["part", "join", "leave out", "open", "metal", "name"]
    lines: tuple[str, ...]
    at: tuple[float, float, float] = (0.0, 0.0, 0.0)
    """mm, full size."""
    bare: bool = False
    """Whether no line lies on the field: tells the two sides of one loop apart."""
    name: str = ""


class Softening(Fact):
    """How far the lines of a region may move, all together, so that its skin is fairer."""

    region: str
    tolerance: float
    """mm at most, square to the skin."""


class FoundRegion(Fact):
    """A smooth region, or an open field, as the lines bound it."""

    spec: RegionSpec
    """For an open field too: what it would be with metal in it."""
    metal: bool
    why: str
    """One sentence: what bounds it, and why it is metal or open."""
    corners: int
    """Sides of its outer boundary."""
    at: tuple[float, float, float]
    """mm, the middle of its boundary."""
    shared: tuple[tuple[str, tuple[float, float, float], str], ...] = ()
    """(line, middle of the piece, name of the region beyond) of each piece of its boundary."""


class FoundFields(Fact):
    """Everything the lines bound, largest first, and what is in doubt."""

    regions: tuple[FoundRegion, ...]
    findings: tuple[PlacedFinding, ...] = ()

    def metal(self) -> tuple[RegionSpec, ...]:
        """The regions to span."""
        return tuple(found.spec for found in self.regions if found.metal)

    def region(self, name: str) -> FoundRegion:
        """What has that name; KeyError if nothing has."""
        for found in self.regions:
            if found.spec.name == name:
                return found
        raise KeyError(name)


class FieldPicture(Fact):
    """A region between its lines, for looking at: no skin yet, only triangles from line to line."""

    vertices: Points3
    triangles: Triangles
    flat: Points2
    """(n, 2) mm, the same triangles without folds."""
