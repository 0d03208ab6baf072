"""Panels that the job asks for, their blanks and shape maps."""

from itertools import pairwise
from typing import Any, Literal, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import SerializerFunctionWrapHandler, model_serializer, model_validator

from buckwright.model.fact import Fact, Indices, Numbers, Points2, Points3, Triangles
from buckwright.model.finding import Finding
from buckwright.model.grid import PanelGrid
from buckwright.model.marks import BlankMark, Notch
from buckwright.model.nesting import Layout
from buckwright.model.papers import PaperPattern

__all__ = [
    "Aim",
    "Blank",
    "EdgeMake",
    "EdgeSpec",
    "EdgeStation",
    "Grain",
    "MapArea",
    "Offcut",
    "OtherMetal",
    "Panel",
    "PanelEdge",
    "PanelSpec",
    "PanelVerdict",
    "Panels",
    "SeamSpec",
    "SheetStock",
    "Treatment",
    "WorkStep",
]


_NO_INDICES: NDArray[np.int64] = np.zeros(0, dtype=np.int64)
_NO_NUMBERS: NDArray[np.float64] = np.zeros(0)
_NO_POINTS: NDArray[np.float64] = np.zeros((0, 2))
for _array in (_NO_INDICES, _NO_NUMBERS, _NO_POINTS):
    _array.setflags(write=False)


Aim = Literal["least-work", "least-greatest", "stretch-only", "shrink-only"]
"""What a blank is chosen for: the least forming work in all; the least strain at the worst place;
no shrinking anywhere, for a shop without a way to shrink; no stretching anywhere, for sheet that
tears."""

Grain = Literal["any", "long", "short", "x", "y", "z"]
"""What lies along the sheet's rolling direction: whatever fits; the long or the short side of the
blank; the direction on the panel that runs along an axis of the vehicle."""


class SheetStock(Fact):
    """Sheet that panels are cut from."""

    alloy: str
    """As in `tables`: `3003-H14`."""
    thickness: float
    size: tuple[float, float] = (1219.2, 2438.4)
    """mm; the rolling direction runs along the longer side."""
    r_value: float | None = None
    """Strain across a pulled strip over strain through its thickness (Lankford's r), typed from a
    mill sheet; None for that of the tables, and 1 where they have none."""
    other_sizes: tuple[tuple[float, float], ...] = ()
    """Further sizes in which the same sheet is sold, mm."""
    price: float | None = None
    """Of one sheet of `size`, in the shop's money; of other sizes in step with their area."""
    price_per_kg: float | None = None
    """Counts before `price`."""
    gap: float = 6.0
    """mm between blanks on a sheet: the width of the cut and what holds the sheet together."""
    margin: float = 10.0
    """mm of a sheet's edge that is not used."""
    least_remnant: float = 150.0
    """mm, side below which what is left of a sheet is scrap and not an offcut."""


class Offcut(Fact):
    """A piece of sheet left over in the rack: a rectangle that is whole inside."""

    alloy: str
    thickness: float
    size: tuple[float, float]
    """mm along the grain, and across it."""
    count: int = 1


Treatment = Literal["trim", "weld", "flange", "hem", "double hem", "wired edge"]
"""What becomes of an edge: metal to trim off, metal for the weld, a turned edge."""


class SeamSpec(Fact):
    """A seam drawn on a region of the skin: along one of its lines, or through points on it."""

    name: str
    region: str
    line: str = ""
    """A line of the region: of its boundary, inside it, or round an opening."""
    through: tuple[tuple[float, float, float], ...] = ()
    """Points on or near the skin; the seam runs the shortest way over it from one to the next.
    Ends near the region's edge, or near an earlier seam, are carried on to it."""
    closed: bool = False


class EdgeStation(Fact):
    """How wide a flange is at a place along its edge, and how far it is turned there."""

    at: float
    """Share of the edge's length, 0 at its front end (or its lower, or left one), 1 at the other;
    round a closed edge from its foremost point, up first."""
    width: float
    angle_deg: float = 90.0


class EdgeSpec(Fact):
    """What becomes of one edge of a panel. Lengths mm; 0 takes the handbook's usual figure."""

    along: str
    """A line, a seam, a plane as in `x = -160`, or `` for every edge not named."""
    treatment: Treatment
    width: float = 0.0
    """Metal to trim off or to weld; height of a flange, outside; width of a hem."""
    wire: float = 0.0
    """Diameter of the wire of a wired edge."""
    radius: float = 0.0
    """Inside radius of a flange's bend."""
    angle_deg: float = 90.0
    """How far a flange is turned from the panel's own surface."""
    way: Literal["in", "out"] = "in"
    """Whether a flange or hem is turned to the inside of the body or to its outside."""
    stations: tuple[EdgeStation, ...] = ()
    """Of a flange whose width or angle changes along the edge; they take the place of `width` and
    `angle_deg`."""
    between: Literal["straight", "smooth"] = "straight"
    """How sizes go from one station to the next."""

    @model_validator(mode="after")
    def _checked(self) -> Self:
        places = [station.at for station in self.stations]
        if self.stations and self.treatment != "flange":
            message = "only a flange changes its size along the edge"
            raise ValueError(message)
        if any(not 0.0 <= at <= 1.0 for at in places) or any(b <= a for a, b in pairwise(places)):
            message = "stations of an edge rise from 0 to 1"
            raise ValueError(message)
        return self

    @model_serializer(mode="wrap")
    def _written(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """Without stations as before there were any, so that stored answers stay fresh."""
        told: dict[str, Any] = write(self)
        if not self.stations:
            told.pop("stations", None)
            told.pop("between", None)
        return told


class PanelSpec(Fact):
    """A region, or the part of it between seams: planes axis = value, and seams drawn on it."""

    name: str
    region: str
    above: tuple[tuple[Literal["x", "y", "z"], float], ...] = ()
    """Only where axis > value."""
    below: tuple[tuple[Literal["x", "y", "z"], float], ...] = ()
    trim_allowance: float = 10.0
    """mm added for trimming and welding at every edge that `edges` does not name."""
    seams: tuple[str, ...] = ()
    """Names of seams, or of lines of the region, that the panel does not go across."""
    at: tuple[float, float, float] | None = None
    """A point on the panel: tells which of the pieces between the seams it is."""
    both_sides: bool = False
    """Whether a panel on one side of a whole region is made for the other side too, mirrored.
    Panels of a left region always are."""
    edges: tuple[EdgeSpec, ...] = ()
    aim: Aim = "least-work"
    grain: Grain = "any"


class PanelEdge(Fact):
    """A run of a panel's rim along one line, seam or plane; or a line of the skin over a panel."""

    name: str
    vertices: Indices
    """In order, the panel counter-clockwise seen from outside; closed, the first not repeated."""
    closed: bool = False
    seam: bool = False
    """Whether metal goes on beyond it."""


class Panel(Fact):
    """One piece of sheet before welding, as it must finally lie."""

    name: str
    """Unique; that of a panel on both sides ends in `left` or `right`."""
    region: str
    vertices: Points3
    triangles: Triangles
    side: Literal["whole", "left", "right"] = "whole"
    """Which side of the body it is for, as seen by the driver."""
    spec: str = ""
    """Name of the spec that asked for it."""
    edges: tuple[PanelEdge, ...] = ()
    """The rim, run by run."""
    lines: tuple[PanelEdge, ...] = ()
    """Lines of the skin that lie on it."""


class MapArea(Fact):
    """A connected area of a panel that needs the same treatment."""

    kind: Literal["stretch", "shrink", "leave"]
    area: float
    """mm^2 on the panel."""
    mean: float
    """Signed area change, 0.03 = 3 % more area than the blank had."""
    peak: float
    centre: Numbers
    """(3,) on the panel."""
    words: str
    """How the trade would do it."""
    triangles: Indices = _NO_INDICES
    """Of the panel, that belong to it."""
    order: int = 0
    """Place in the order of work, from 1; 0 where nothing is to be done."""
    strain: tuple[float, float] = (0.0, 0.0)
    """Mean change of length along and across `direction`, as fractions, larger first."""
    direction: tuple[float, float] = (1.0, 0.0)
    """Unit vector on the blank along which the metal lengthens most (or shortens least)."""
    thickness: float = 0.0
    """mm after forming where it changes most."""
    radii: tuple[float, float] = (0.0, 0.0)
    """mm, middle values of the tighter and the slacker principal radius; negative where the metal
    bends towards the outside, 0 where it is flat."""
    bend: Literal["", "flat", "rolled", "crowned", "reverse"] = ""
    """How it is bent besides: not at all, one way, both ways alike, or both ways opposed."""
    anvil: float = 0.0
    """mm, radius of the wheel's lower anvil that suits it; 0 where the wheel has no work."""


class WorkStep(Fact):
    """One step in the order in which a panel is formed."""

    number: int
    what: Literal["anneal", "shrink", "stretch", "gather", "bend", "flange", "trim"]
    areas: tuple[int, ...]
    """Places in `Blank.areas`, from 0."""
    words: str


class OtherMetal(Fact):
    """What the verdict on a panel would be in another sheet, or with other seams."""

    alloy: str
    thickness: float
    step: Literal["takes it", "with care", "will not take it"]
    share: float
    """Strain needed over the metal's least elongation."""
    words: str


class EdgeMake(Fact):
    """What becomes of one run of a panel's rim, worked out."""

    name: str
    """The line, seam or plane along which it runs."""
    treatment: Treatment
    allowance: float
    """mm of metal beyond the net edge, at its widest."""
    allowance_least: float | None = None
    """At its narrowest, where it changes along the edge."""
    bend_lines: tuple[float, ...] = ()
    """mm beyond the net edge at which bends begin and end."""
    length: float
    """mm along the panel."""
    strain: tuple[float, float] = (0.0, 0.0)
    """Least and greatest change of length of the free edge as it is turned, as fractions."""
    step: Literal["takes it", "with care", "will not take it"] = "takes it"
    words: str
    """How it is made."""
    source: str = ""
    """Where the rule for its allowance stands."""


class PanelVerdict(Fact):
    """Whether this metal takes it, in three steps, and why."""

    step: Literal["takes it", "with care", "will not take it"]
    reason: str
    elongation: float
    """Least elongation of the table, as a fraction."""
    source: str
    asked: float = 0.0
    """Effective strain of the hardest-worked place, as a fraction."""
    uniform: float = 0.0
    """Elongation at which the metal begins to neck (Considere), as a fraction; 0 if not known."""
    forming_limit: float = 0.0
    """Stretch one way with none across at which sheet tears, low-carbon steel only; 0 if none."""
    margin: float = 0.0
    """Least gap between the strains and the forming-limit curve, as a fraction; steel only."""
    thinning: float = 0.0
    """Greatest loss of thickness, as a fraction."""
    anneal: str = ""
    """When to anneal, at what temperature, and the caution; empty where there is no need."""
    others: tuple[OtherMetal, ...] = ()
    """What other sheets of the tables, or closer seams, would make of it, best first."""


class Blank(Fact):
    """The flat piece for a panel and where metal must stretch or shrink."""

    panel: str
    flat: Points2
    """(n, 2) of the panel's vertices, in the panel's triangle order."""
    outline: Points2
    """Closed outline to cut, allowance included; first point not repeated."""
    net_outline: Points2
    """Outline without allowance."""
    area_change: Numbers
    """(triangles,) panel area / blank area - 1: positive where metal must stretch."""
    strain_major: Numbers
    """(triangles,) larger principal logarithmic strain from blank to panel."""
    strain_minor: Numbers
    major_direction: Points2
    """(triangles, 2) unit vector on the blank."""
    bend_radius: Numbers
    """(vertices,) mm, least principal radius of the panel."""
    work_density: float
    """Area mean of e1^2 + e2^2 + e1 e2."""
    area: float
    """mm^2 of the panel."""
    blank_area: float
    """mm^2 inside `net_outline`, openings left out."""
    flipped: int
    areas: tuple[MapArea, ...]
    verdict: PanelVerdict
    mass: float
    """kg of the blank as cut, allowance included."""
    thickness: tuple[float, float] = (0.0, 0.0)
    """mm, least and greatest after forming, volume kept."""
    findings: tuple[Finding, ...] = ()
    thickness_after: Numbers = _NO_NUMBERS
    """(triangles,) mm after forming, volume kept."""
    curvature_tight: Numbers = _NO_NUMBERS
    """(vertices,) 1/mm, the principal curvature of larger size, positive where crowned."""
    curvature_slack: Numbers = _NO_NUMBERS
    """(vertices,) 1/mm, the other."""
    tight_direction: Points2 = _NO_POINTS
    """(vertices, 2) unit vector on the blank along which it bends most."""
    work: tuple[WorkStep, ...] = ()
    edges: tuple[EdgeMake, ...] = ()
    bend_lines: tuple[Points2, ...] = ()
    """Where flanges and hems are bent, on the blank."""
    aim: Aim = "least-work"
    aim_words: str = ""
    """What the aim promises, and how far it was kept."""
    r_value: float = 1.0
    r_source: str = ""
    grain: Grain = "any"
    """What was asked; the rolling direction always runs along x of the blank."""
    openings: tuple[Points2, ...] = ()
    """Trim lines of openings, counter-clockwise."""
    opening_cuts: tuple[Points2, ...] = ()
    """What to cut out before forming: each opening less the allowance, where any is left."""
    notches: tuple[Notch, ...] = ()
    """Already taken out of `outline`."""
    marks: tuple[BlankMark, ...] = ()
    centre_line: tuple[Points2, ...] = ()
    """Where the panel crosses y = 0, on the blank."""


class Panels(Fact):
    """All panels with their blanks, in the same order."""

    panels: tuple[Panel, ...]
    blanks: tuple[Blank, ...]
    edge_vertices: tuple[Indices, ...]
    """For each panel the vertices round its outer edge, in order."""
    findings: tuple[Finding, ...] = ()
    grids: tuple[PanelGrid, ...] = ()
    """For each panel the squares on its blank and what they must measure when it is finished."""
    layout: Layout | None = None
    """How the blanks lie on sheets and offcuts."""
    papers: tuple[PaperPattern, ...] = ()
    """For each panel the strips of paper that show on it where metal must move."""
