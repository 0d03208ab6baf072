"""Profile gauges: cards, the stands that hold them, and sweeps."""

from typing import Literal

import numpy as np
from pydantic import Field

from buckwright.model.fact import Fact, Indices, Numbers, Points2, Points3, Triangles
from buckwright.model.finding import Finding

__all__ = [
    "CardAtLine",
    "CardPlane",
    "Gauge",
    "GaugeSet",
    "GaugeSpec",
    "Gauges",
    "Stand",
    "StandBoard",
    "Sweep",
    "SweepArea",
    "SweepSet",
    "SweepSpec",
]

Side = Literal["left", "right"]
Face = Literal["outside", "inside"]


class CardPlane(Fact):
    """A card in any plane, on the left side of the vehicle."""

    name: str
    """What the card is called after its region: `corner`."""
    point: tuple[float, float, float]
    normal: tuple[float, float, float]
    """Any length but zero."""


class CardAtLine(Fact):
    """A card whose plane holds the normal of the surface at a place on a line."""

    line: str
    share: float = Field(0.5, ge=0.0, le=1.0)
    """Of the line's length, from its start."""
    way: Literal["across", "along"] = "across"
    """Across the line, as over an edge, or along it."""
    reach: float | None = Field(None, gt=0.0)
    """mm of profile to each side of the place; the whole section if None."""


class SweepSpec(Fact):
    """Sweeps: arcs of one chord that together touch the whole region."""

    chord: float = Field(150.0, gt=0.0)
    tolerance: float = Field(0.5, gt=0.0)
    """mm of light that may show in the middle, or at the ends, of the chord."""
    series: tuple[float, ...] = ()
    """Radii to choose from, mm, a straight edge always being there too; any radius if empty."""


class GaugeSpec(Fact):
    """Cards across a region: at planes that are named, or as many as a tolerance asks for."""

    region: str
    axis: Literal["x", "y", "z"] = "x"
    at: tuple[float, ...] = ()
    card_width: float = 60.0
    """mm of card behind the profile."""
    planes: tuple[CardPlane, ...] = ()
    lines: tuple[CardAtLine, ...] = ()
    tolerance: float | None = Field(None, gt=0.0)
    """mm: cards across `axis` (or `direction`) so that between them the shape is as true."""
    direction: tuple[float, float, float] | None = None
    """Normal of the chosen cards' planes where it is no axis."""
    face: Literal["outside", "inside", "both"] = "outside"
    """The side of the metal that the cards touch."""
    metal: float = Field(0.0, ge=0.0)
    """mm of metal inside the skin: inside cards touch its inner face."""
    stand: bool = False
    """Give the cards feet, and combs that hold them in place."""
    card_thickness: float = Field(3.0, gt=0.0)
    """mm, as measured on the board itself."""
    clearance: float = Field(0.1, ge=0.0)
    """mm by which a slot is wider than the card."""
    labels: Literal["drawn", "cut"] = "drawn"
    """Words drawn on the card, or cut into it as single strokes that leave no loose piece."""
    sweeps: SweepSpec | None = None


class Gauge(Fact):
    """A profile card: held against the metal, it touches along `profile`."""

    name: str
    hand: Side
    plane: tuple[Literal["x", "y", "z"], float]
    """The card's plane; of an oblique one the nearest axis, and its value at `origin`."""
    section: Points3
    """(n, 3) the section of the metal's face that it fits, in vehicle axes."""
    profile: Points2
    """(n, 2) mm on the card, upright as it is held."""
    outline: Points2
    """Closed outline of the card, profile and slots included; first point not repeated."""
    marks: Points2
    """(k, 2) reference marks on the profile: where named lines cross it."""
    mark_names: tuple[str, ...]
    origin: Numbers
    """(3,) vehicle point of the card's (0, 0)."""
    axes: Points3 = Field(default_factory=lambda: np.zeros((0, 3)))
    """(2, 3) vehicle directions of the card's x and y; empty in files of earlier versions."""
    region: str = ""
    face: Face = "outside"
    oblique: bool = False
    """True where the plane is square to no axis: see `origin` and `axes`."""
    squareness_deg: float = 90.0
    """Least angle between card and metal."""
    thickness: float = 0.0
    """mm of the card; 0 where nothing depends on it."""
    edge_off: float = 0.0
    """mm along the metal's normal that a square edge of that thickness is ahead of its middle."""
    labels: Literal["drawn", "cut"] = "drawn"


class GaugeSet(Fact):
    """Cards chosen by a tolerance, and the proof."""

    region: str
    face: Face
    normal: Numbers
    """(3,) unit normal of the planes."""
    at: Numbers
    """(k,) mm along the normal, ascending: one for each left card."""
    tolerance: float
    error: float
    """mm, greatest normal distance between the skin and battens laid over the cards."""
    error_at: Numbers
    """(3,) where that is."""
    law: str
    """How the shape between cards is read, in words."""
    runs: Points2 = Field(default_factory=lambda: np.zeros((0, 2)))
    """(r, 2) mm along the normal: first and last card of each run that battens are laid over."""


class StandBoard(Fact):
    """A comb: a board on edge with slots for the cards."""

    name: str
    outline: Points2
    """Closed, slots included; y = 0 is the foot that stands on the bench."""
    origin: Numbers
    """(3,) vehicle point of (0, 0), in the middle of the board's thickness."""
    axes: Points3
    """(2, 3) vehicle directions of its x and y."""
    slots: Points2
    """(k, 2) middle of each slot's floor."""
    slot_names: tuple[str, ...]
    """The card that goes into each."""


class Stand(Fact):
    """Combs for the cards of one side of one region: cards and combs cross in half-laps."""

    name: str
    hand: Side
    region: str
    face: Face
    boards: tuple[StandBoard, ...]
    cards: tuple[str, ...]
    up: Numbers
    """(3,) vehicle direction that is up when the stand is on the bench."""
    foot: float
    """mm along `up` of the bench."""
    thickness: float
    clearance: float
    play: float
    """mm that a card can lean out of its plane at the far end of its profile."""


class Sweep(Fact):
    """An arc gauge."""

    name: str
    """A letter."""
    radius: float
    """mm; 0 for a straight edge."""
    bends: Literal["hollow", "straight", "round"]
    """The sweep's own edge: hollow for metal that bulges out, round for metal that bends in."""
    outline: Points2
    edge: Points2
    """(n, 2) the working edge."""


class SweepArea(Fact):
    """A connected part of the region that one sweep fits in one of the two directions."""

    sweep: str
    way: Literal["greater", "lesser"]
    """Along the greater or the lesser bend."""
    area: float
    """mm2."""
    centre: Numbers
    """(3,) a vertex well inside."""
    direction: Numbers
    """(3,) the way to hold the sweep there."""


class SweepSet(Fact):
    """The fewest sweeps that touch everywhere on a region, and which belongs where."""

    region: str
    side: Literal["whole", "left", "right"]
    chord: float
    tolerance: float
    sweeps: tuple[Sweep, ...]
    gap: float
    """mm, greatest sagitta difference that is left."""
    chart: Points2
    """(n, 2) the region's flat picture, with `triangles`: for drawing."""
    triangles: Triangles
    vertices: Points3
    """(n, 3) in vehicle axes."""
    greater: Numbers
    """(n,) mm, sagitta over the chord along the greater bend; positive where metal bulges out."""
    lesser: Numbers
    greater_sweep: Indices
    """(n,) index of the sweep that fits, -1 where none can."""
    lesser_sweep: Indices
    areas: tuple[SweepArea, ...]
    findings: tuple[Finding, ...] = ()


class Gauges(Fact):
    """The set of cards: every left card followed by its mirror image for the right."""

    gauges: tuple[Gauge, ...]
    findings: tuple[Finding, ...] = ()
    sets: tuple[GaugeSet, ...] = ()
    stands: tuple[Stand, ...] = ()
    sweeps: tuple[SweepSet, ...] = ()
