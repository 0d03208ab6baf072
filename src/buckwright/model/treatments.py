"""Treatments of the skin: lines in which skins meet, trims, edges turned, beads pressed in."""

from typing import Literal, Self

from pydantic import model_validator

from buckwright.model.fact import Fact, Points3, Triangles
from buckwright.model.finding import Finding
from buckwright.model.panels import EdgeSpec

__all__ = [
    "Bead",
    "BeadSpec",
    "EdgeStrip",
    "EdgeTreatment",
    "SkinMeeting",
    "TreatmentRow",
    "TrimDone",
    "TrimSpec",
]

Place = tuple[float, float, float]


class SkinMeeting(Fact):
    """One piece of the line in which two regions cut each other."""

    name: str
    """`front wing left meets body`, with a number from the second piece on."""
    regions: tuple[str, str]
    """Names of the two, with the side where there are two of them."""
    points: Points3
    """A closed line does not repeat its first point."""
    closed: bool
    length: float
    """mm."""


class TrimSpec(Fact):
    """A line over a region along which the piece on one side is taken away.

    A region that is built left and mirrored is trimmed on the left.
    """

    name: str
    region: str
    by: Literal["line", "drawn", "plane", "meeting"]
    line: str = ""
    """Name of the line of the network, or of the meeting."""
    through: tuple[Place, ...] = ()
    """Points of a drawn trim; its ends are carried on to the region's edge where it is near."""
    closed: bool = False
    axis: Literal["x", "y", "z"] = "x"
    """Of a plane across an axis, which lies at `value` mm."""
    value: float = 0.0
    along: Place | None = None
    """Direction in which a line is projected on the region; None for the nearest place."""
    away: Place
    """A place on the piece that is taken away."""

    @model_validator(mode="after")
    def _checked(self) -> Self:
        if self.by in ("line", "meeting") and not self.line:
            message = "a trim along a line names it"
            raise ValueError(message)
        if self.by == "drawn" and len(self.through) < (3 if self.closed else 2):
            message = "a drawn trim needs two points, a closed one three"
            raise ValueError(message)
        if self.along is not None and not any(self.along):
            message = "a direction has a length"
            raise ValueError(message)
        return self


class TrimDone(Fact):
    """What a trim did."""

    name: str
    region: str
    points: Points3
    """The new edge; a closed one does not repeat its first point."""
    closed: bool
    length: float
    moved_most: float
    """mm by which the projection moved the line; 0 for a plane."""
    moved_mean: float
    area_away: float
    """mm^2 taken away, of one side."""
    area_left: float


class EdgeTreatment(Fact):
    """What becomes of an edge of a region: of every panel that ends there, too."""

    region: str
    edge: EdgeSpec
    """`along` names a line of the region's boundary, or of a hole."""


class EdgeStrip(Fact):
    """The metal that is turned along an edge, as it stands when it is done."""

    name: str
    region: str
    """With the side where there are two."""
    edge: EdgeSpec
    """Sizes are those taken, none is 0."""
    vertices: Points3
    triangles: Triangles
    length: float
    """mm along the edge."""
    free_length: float
    """mm along the outermost fibre when it is turned."""
    area: float
    """mm^2 of the strip, turned."""
    words: str
    findings: tuple[Finding, ...] = ()


class BeadSpec(Fact):
    """A stiffening bead or swage: a round-flanked profile along a line over a region. mm."""

    name: str
    region: str
    line: str = ""
    """A line of the region along which it runs, whole."""
    through: tuple[Place, ...] = ()
    """Or points on the skin, which it runs through."""
    width: float
    """From foot to foot, across."""
    depth: float
    radius: float
    """Of the skin's outer face at both feet, and at the top."""
    flat: float = 0.0
    """Width of a flat top: a swage; 0 for a bead."""
    way: Literal["in", "out"] = "out"
    run_out: float = 40.0
    """Over which it rises at either end; nothing for a bead that runs round."""
    setback: float = 30.0
    """From the ends of the line to where it begins."""


class Bead(Fact):
    """A bead as it stands in the skin."""

    name: str
    region: str
    spec: BeadSpec
    axis: Points3
    """On the skin, under the middle of the bead."""
    closed: bool
    vertices: Points3
    triangles: Triangles
    length: float
    """mm along the skin, from end to end."""
    girth: float
    """mm over the profile, from foot to foot."""
    flank_deg: float
    """How steep its straight flanks are."""
    stretch: float
    """Girth over width, less 1, as a fraction: what the metal gives across the bead."""
    to_edge: float
    """mm from its foot to the nearest edge of the region."""
    to_bead: float | None = None
    """mm from its foot to that of the nearest other bead; None where there is none."""
    nearest: str = ""
    findings: tuple[Finding, ...] = ()


class TreatmentRow(Fact):
    """One treatment in a list: what, where, how long, and what there is to say of it."""

    what: Literal["meeting", "trim", "edge", "bead", "louvres"]
    name: str
    region: str
    length: float | None = None
    """mm; None where it was not done."""
    closed: bool = False
    words: str
    step: str = ""
    """What the sheet says to a bead or louvres: `takes it`, `with care`, `will tear`."""
    line: Points3
    """On the skin; of an edge, the first row of its strip; empty where it was not done."""
