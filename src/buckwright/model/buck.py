"""What the job asks of the buck, and the wires, frame, posts and cutting plan that follow."""

from typing import Literal

from buckwright.model.bending import Bending
from buckwright.model.boards import Boards, BoardSpec
from buckwright.model.fact import Fact, Numbers, Points3
from buckwright.model.finding import Finding
from buckwright.model.frame import InnerFrame

__all__ = [
    "BarCut",
    "Bay",
    "Buck",
    "BuckSpec",
    "BuiltWire",
    "CuttingPlan",
    "FrameMember",
    "Piece",
    "Post",
    "ProposedWire",
    "Remnant",
    "Splice",
    "Stretch",
    "Tack",
    "Wire",
    "WireChange",
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
    identity: str = ""
    """What it is known by whatever it is called and wherever it lies; its name if empty."""
    at_crossings: Literal["inside", "cut"] = "inside"
    """Where it would run through another wire: lie inside or outside that, or be cut and butted."""
    cut_at: tuple[str, ...] = ()
    """Wires at which this one is cut and butted though it passes the rest."""
    stage: int = 1
    """1 goes up with the frame; later stages come on to what then stands, and give way to it."""


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
    frame_kind: Literal["square tube", "folded strip"] = "square tube"
    """Folded strip: an angle with legs of `frame_section`, of sheet `frame_wall` thick."""
    frame_people: Literal["bolt out", "keep clear", "ignore"] = "bolt out"
    """Metal wants the whole frame, seats want room: so by default what stands where people sit is
    bolted in and taken out while seats are tried in the wires. Kept clear, the box ends before
    them."""
    tyre_radius: float | None = None
    """mm; None: as high as the rim's centre stands above the ground."""
    tyre_width: float | None = None
    """mm; None: reckoned from the tyre's height."""
    stand: Literal["feet", "castors", "none"] = "feet"
    stand_height: float = 20.0
    """mm of a foot or castor under its leg."""
    sill_height: float | None = None
    """mm from the floor to the lowest metal of the body as it stands; None: the ground is right."""
    lift_reference: float = 20.0
    """kg that one person of the crew may lift at best."""
    sagitta_limit: float = 3.0
    """mm that the skin may stand off the straight between neighbouring wires."""
    hand_push: float = 50.0
    """N: a hand leaning on a wire midway between those that hold it."""
    push_limit: float = 3.0
    """mm that the rod may give under it."""
    built_tolerance: float = 1.0
    """mm within which a wire that stands is still right."""
    bender_radius: float = 0.0
    """mm to the rod's axis, the least that the bender makes; 0: three diameters."""
    useful_remnant: float = 500.0
    """mm: a shorter left-over of a bar is scrap."""
    boards: BoardSpec | None = None
    """The same body as sawn boards, where one is wanted."""


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
    identity: str = ""
    """As of its wire when it was built, like piece and side; known by its name if empty."""
    piece: int = 0
    side: Literal["whole", "left", "right"] = "whole"
    layer: int | None = None
    """The layer it was built in, which its wire keeps."""


class Remnant(Fact):
    """A bar or part of one that lies in the rack, to be used before a new one is bought."""

    stock: str
    """As in `CuttingPlan.stock`."""
    length: float
    count: int = 1


class Splice(Fact):
    """Where two parts of a wire longer than the bars meet end to end.

    A stub of the same rod is laid along the inner side and welded over `overlap` of each part.
    """

    at: float
    """mm along the wire's axis."""
    overlap: float
    stub_length: float
    radius: float
    """mm, least bend radius under the stub."""
    tack_gap: float
    """mm along the wire to the nearest tack; the wire's length if it has none."""


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
    identity: str = ""
    """Of the wire that was asked for."""
    piece: int = 0
    """Which piece of it, from 1; 0 if it is in one."""
    asked: str = ""
    """The name that the job gave, without the number of the piece."""
    stage: int = 1
    splices: tuple[Splice, ...] = ()
    parts: tuple[float, ...] = ()
    """mm to cut for each part of a spliced wire, allowances included; empty if it is one rod."""
    bending: Bending | None = None
    """The bend table; none in answers of before it was made."""


class Bay(Fact):
    """The skin between two neighbouring wires, and both rules of spacing on it."""

    wires: tuple[str, str]
    region: str
    width: float
    """mm along the skin, at the widest place."""
    place: Numbers
    """(3,) the middle of the bay at that place."""
    sagitta: float
    """mm, the greatest that the skin stands off the straight from wire to wire."""
    radius: float
    """mm, of the arc with that sagitta, s = L^2 / 8 R; 0 where the skin is straight."""
    held_sagitta: float
    """mm, the greatest sagitta left where the wires that cross the bay are counted too."""
    deflection: float
    """mm that a rod lying across the bay gives under the hand push."""
    shape_held: bool
    """Whether `held_sagitta` is within the limit."""
    stiff: bool
    """Whether `deflection` is within the limit."""
    words: str
    """Both values against both limits, in a sentence."""


class ProposedWire(Fact):
    """A wire that the lines or the rules of spacing ask for, ready to be taken over."""

    wire: WireSpec
    reason: str
    """Why, in a sentence with its numbers."""
    why: Literal["line", "sagitta", "deflection", "both"]
    before: Bay | None = None
    """The bay that it divides; none for a line."""
    after: tuple[Bay, ...] = ()
    """What that bay becomes, with all that is proposed in place."""


class Stretch(Fact):
    """A stretch of a wire that is not where it should be."""

    start: float
    end: float
    """mm along the wire as it was built."""
    most: float
    """mm, the greatest distance to where it should be."""
    at: float
    """mm along, where that is."""
    by: Numbers
    """(3,) mm, the way it should go there."""
    words: str


class WireChange(Fact):
    """What a change of the design asks of one wire, against what stands."""

    wire: str
    """Its name now; the name it was built by if it goes."""
    verdict: Literal["right", "trim", "move", "bend again", "goes", "new"]
    """Trim: right but for its ends. Move: bent right, but it must be tacked in another place."""
    most: float = 0.0
    """mm, the farthest that what stands is from where it should be."""
    bent_most: float = 0.0
    """mm of that left when the whole rod is shifted and turned as well as can be."""
    stretches: tuple[Stretch, ...] = ()
    trim: tuple[float, float] = (0.0, 0.0)
    """mm too long at its start and its end; negative where it is too short."""
    built_as: str = ""
    words: str = ""


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
    """mm, long point to long point."""
    mass: float
    number: int = 0
    role: Literal["rail", "cross", "upright", "diagonal", "arm", "leg"] = "rail"
    start_mitre_deg: float = 0.0
    """Angle of the saw off a square cut; 0 is square."""
    end_mitre_deg: float = 0.0
    mitre_plane: str = ""
    """Plane in which both cuts slant: 'side', 'plan' or 'end'; empty where both are square."""
    bolted: bool = False
    """It stands where people sit: bolted, not welded, and taken out while seats are tried."""


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
    angle_at_member_deg: float = 0.0
    """Angle of the saw off a square cut, to sit flat on the member's face."""
    face: str = ""
    """Face of the member that it stands on: 'left', 'right', 'front', 'rear', 'upper', 'under'."""


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
    from_rack: bool = False
    """Whether it is a remnant of the rack rather than a bar to buy."""


class CuttingPlan(Fact):
    """Bars to buy and how to cut them; `bars_bound` is the least number to buy that could do."""

    stock: str
    bars: tuple[BarCut, ...]
    bars_bound: int
    kerf: float
    proven: bool
    """Whether no plan buys less length than this one."""
    length_bound: float = 0.0
    """mm of stock that any plan must buy."""
    length_bought: float = 0.0
    """mm of stock that this plan buys."""
    left_over: tuple[Remnant, ...] = ()
    """For the rack: what is left of the bars and long enough to keep."""
    words: str = ""
    """What to buy and what comes from the rack, with the bound, in a sentence."""
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
    frame: InnerFrame | None = None
    centre_of_gravity: Numbers | None = None
    """(3,) of wires, frame and posts together."""
    findings: tuple[Finding, ...] = ()
    bays: tuple[Bay, ...] = ()
    """Between neighbouring wires, worst first."""
    proposed: tuple[ProposedWire, ...] = ()
    changes: tuple[WireChange, ...] = ()
    """Wire by wire against what stands; empty while nothing is built."""
    to_make: tuple[str, ...] = ()
    """Names of the wires that are new or must be bent again; all of them if nothing is built."""
    boards: Boards | None = None
    """The station buck, where one was asked for."""
