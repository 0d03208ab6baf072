"""What the job asks of the buck, and the wires, frame, posts and cutting plan that follow."""

from typing import Literal

from buckwright.model.fact import Fact, Numbers, Points3
from buckwright.model.finding import Finding

__all__ = [
    "BarCut",
    "Buck",
    "BuckSpec",
    "BuiltWire",
    "CuttingPlan",
    "FrameMember",
    "Piece",
    "Post",
    "Remnant",
    "Tack",
    "Wire",
    "WireSpec",
]


class WireSpec(Fact):
    """A wire to be bent: along a line, or along a section of a region at a plane."""

    name: str
    region: str
    line: str | None = None
    plane: tuple[Literal["x", "y", "z"], float] | None = None
    layer: int = 0
    """0 carries the metal; 1 lies one rod diameter farther in, and so on."""


class BuckSpec(Fact):
    """Rod, sheet and frame choices."""

    wires: tuple[WireSpec, ...]
    rod_diameter: float = 6.35
    rod_yield: float = 220.0
    """MPa; the elastic limit decides which wires are bent and which are sprung into place."""
    bar_lengths: tuple[float, ...] = (6096.0,)
    kerf: float = 2.0
    end_allowance: float = 10.0
    sheet_thickness: float = 1.2
    frame_section: float = 25.4
    frame_wall: float = 1.65
    frame_clearance: float = 30.0
    frame_x: tuple[float, float] = (0.0, 0.0)
    """Stations between which the frame stands."""
    tube_lengths: tuple[float, ...] = (6096.0,)


class BuiltWire(Fact):
    """A wire that has been bent and tacked: the shape it was bent to."""

    name: str
    axis: Points3
    closed: bool
    diameter: float
    revision: str = ""
    """Of the job when it was built."""
    day: str = ""
    """ISO 8601 date."""


class Remnant(Fact):
    """A bar or part of one that lies in the rack, to be used before a new one is bought."""

    stock: str
    """As in `CuttingPlan.stock`."""
    length: float
    count: int = 1


class Wire(Fact):
    """One rod: its axis, set in from the skin."""

    name: str
    line: str
    """The line or section it follows, in words."""
    region: str
    side: Literal["whole", "left", "right"]
    layer: int
    diameter: float
    axis: Points3
    closed: bool
    length: float
    """mm along the axis."""
    cut_length: float
    set_in: float
    """mm from the skin's outside to the axis, along the normal."""
    least_radius: float
    form_radius: float
    """mm to bend the tightest place to so that it springs back right; 0 for a sprung wire."""
    sprung: bool
    """True when the whole rod stays elastic: it is sprung into place and held by tacks."""
    mass: float
    """kg."""


class Tack(Fact):
    """Where two rods meet, by distance along each."""

    wires: tuple[str, str]
    at: tuple[float, float]
    point: Numbers


class FrameMember(Fact):
    """A straight tube of the inner frame between two node points."""

    name: str
    start: Numbers
    end: Numbers
    cut_length: float
    mass: float


class Post(Fact):
    """A straight rod from a frame member to a tack on a wire."""

    name: str
    member: str
    wire: str
    start: Numbers
    end: Numbers
    cut_length: float
    angle_at_wire_deg: float
    """Between post and wire axis."""
    mass: float


class Piece(Fact):
    """A piece to be cut: its name and its length in mm."""

    name: str
    length: float


class BarCut(Fact):
    """One bar of stock and the pieces cut from it, in order."""

    stock: str
    bar_length: float
    pieces: tuple[Piece, ...]
    remnant: float


class CuttingPlan(Fact):
    """Bars to buy and how to cut them; `bars_bound` is the least number that could do."""

    stock: str
    bars: tuple[BarCut, ...]
    bars_bound: int
    kerf: float
    proven: bool
    """Whether no plan buys less length than this one."""
    length_bound: float = 0.0
    """mm of stock that any plan must buy."""
    findings: tuple[Finding, ...] = ()


class Buck(Fact):
    """The wire buck."""

    wires: tuple[Wire, ...]
    tacks: tuple[Tack, ...]
    members: tuple[FrameMember, ...]
    posts: tuple[Post, ...]
    rod_plan: CuttingPlan
    tube_plan: CuttingPlan
    mass: float
    frame_clearance: float
    """mm, least distance from the frame's faces to the skin's inner face."""
    findings: tuple[Finding, ...] = ()
