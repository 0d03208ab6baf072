"""The shape of the skin as hand and eye judge it: crown, stripes, sections, soft spots."""

from typing import Literal

from pydantic import model_validator

from buckwright.model.fact import Fact, Indices, Numbers, Points3
from buckwright.model.finding import PlacedFinding, told_place

__all__ = [
    "CROWNS",
    "Crown",
    "CrownLimits",
    "RegionShape",
    "SectionLine",
    "SkinShape",
    "SoftSpot",
    "StripeLine",
]

Crown = Literal["flat", "rolled", "low", "medium", "high", "reverse"]
CROWNS: tuple[Crown, ...] = ("flat", "rolled", "low", "medium", "high", "reverse")
"""In the order of their numbers."""


class CrownLimits(Fact):
    """Where one crown ends and the next begins, mm of radius: common practice, no source.

    A straightedge of 300 mm laid on a radius R shows 300^2 / 8 R under its middle: 1.1 mm at 10 m,
    4.5 mm at 2.5 m, 14 mm at 0.8 m.
    """

    flat: float = 10_000.0
    """A way in which the metal is bent to a larger radius than this counts as straight."""
    low: float = 2_500.0
    """Bent both ways, the crown is low down to this radius (geometric mean of the two)."""
    medium: float = 800.0
    """Medium down to this one, and high below."""
    least_dip: float = 0.3
    """mm; a dip less deep than this is no soft spot."""
    widest_dip: float = 300.0
    """mm; what is wider than this is the body's shape and no dip."""

    @model_validator(mode="after")
    def _in_order(self) -> "CrownLimits":
        if not self.flat > self.low > self.medium > 0.0:
            message = "crown radii must fall from flat over low to medium"
            raise ValueError(message)
        if not (self.least_dip > 0.0 and self.widest_dip > 0.0):
            message = "the sizes of a dip must be positive"
            raise ValueError(message)
        return self


class SectionLine(Fact):
    """One piece of a plane section of the skin."""

    points: Points3
    closed: bool
    curvature: Numbers
    """(k,) 1/mm in the plane, positive where it bends away from the outside, as a ball does."""
    outward: Points3
    """(k, 3) unit, in the plane, square to the line."""


class StripeLine(Fact):
    """Where one edge of a mirrored light tube, or one shade, runs over the skin."""

    level: float
    """Radians: the angle at which the mirrored ray meets the row of lights, or of the shade."""
    points: Points3
    closed: bool


class SoftSpot(Fact):
    """A dip that no line asks for."""

    region: str
    side: Literal["whole", "left", "right"]
    point: Points3
    """(1, 3), where it is deepest; the middle of a reverse place."""
    outward: Points3
    """(1, 3) unit, out of the skin there."""
    depth: float
    """mm below a fair skin laid across from the sound metal round it; of a reverse place the gap
    under a straightedge laid over it."""
    length: float
    width: float
    """mm of the place that lies below by more than a tenth of the depth, or that is reversed."""
    kind: Literal["hollow", "flat spot", "reverse"]
    """Hollow: bent the wrong way in its middle; flat spot: bent the right way, but too little;
    reverse: a wider place that turns inward one way."""
    outline: Points3
    """(k, 3) the line round it; a closed one repeats its first point."""
    words: str

    def finding(self) -> PlacedFinding:
        """The same as a doubt about the skin."""
        return PlacedFinding(
            code="soft-spot",
            where=self.region if self.side == "whole" else f"{self.region} {self.side}",
            message=self.words,
            remedy="Look at the lines beside it in the pictures, or trace one across the spot.",
            place=told_place(self.point[0]),
        )


class RegionShape(Fact):
    """How one region is bent, at its vertices."""

    region: str
    side: Literal["whole", "left", "right"]
    greater: Numbers
    lesser: Numbers
    """(n,) principal curvatures, 1/mm; positive as on a ball."""
    greater_way: Points3
    lesser_way: Points3
    normals: Points3
    """(n, 3) unit, outward, of the smooth surface."""
    crown: Indices
    """(n,) number in CROWNS."""
    areas: Numbers
    """(6,) mm^2 of each of CROWNS."""


class SkinShape(Fact):
    """All regions, and every soft spot, the deepest first."""

    limits: CrownLimits
    regions: tuple[RegionShape, ...]
    spots: tuple[SoftSpot, ...]
