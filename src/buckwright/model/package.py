"""What stands around the people: seats, steering, pedals, wheels, engine, and what they see."""

from typing import Literal

from buckwright.model.fact import Fact, Points2, Points3, Triangles

__all__ = [
    "Box",
    "Clearance",
    "Door",
    "Package",
    "PackageShape",
    "PackageSpec",
    "PairShare",
    "PostSight",
    "Room",
    "Sight",
    "Stretch",
    "SweptWheel",
    "UsedSize",
    "WidthBudget",
]

ShapeKind = Literal["person", "seat", "steering", "pedals", "wheel", "swept", "engine"]


class Box(Fact):
    """A box along the vehicle's axes, mm."""

    low: tuple[float, float, float]
    high: tuple[float, float, float]


class PackageSpec(Fact):
    """What the job says about seats, steering, wheels and engine; mm and radians.

    Lengths without a source are common practice or from memory (MIL-STD-1472, SAE J1100).
    """

    driver: Literal["left", "right"] = "left"
    lean: float = 0.17
    """Of trunk and seat back, rearward from upright (SAE J1100 A40)."""
    relaxed: float = 40.0
    """How much lower eyes are when sitting at ease than measured erect."""
    head_room: float = 40.0
    """Kept between crown and roof lining."""
    roof_lining: float = 15.0
    """From the roof's inner face to the lining."""
    seat_thickness: float = 120.0
    floor: float | None = None
    """Height of the heels; the lowest metal of the skin if not told."""
    dash: float | None = None
    """Station of the dashboard's face towards the knees; None where there is none."""
    wheel_diameter: float = 400.0
    """Of the steering wheel."""
    wheel_reach: float = 410.0
    """From the seat back to the steering wheel's lower rim."""
    wheel_height: float = 240.0
    """From the seat up to the steering wheel's lower rim."""
    wheel_tilt: float = 0.5
    """Of the steering wheel's plane, its top forward from upright."""
    screen_edge: str = "screen edge"
    screen_base: str = "screen base"
    scuttle: str = "scuttle centre line"
    window: str = "window left"
    """Outline of the side window, whose front edge is the back of the screen post."""
    belt: str = "belt left"
    cantrail: str = "cantrail left"
    post_trim: float = 10.0
    """Trim and rubber added to each edge of a screen post."""
    glass_thickness: float = 5.0
    glass_clearance: float = 12.0
    """Kept between the dropped glass and metal."""
    tyre_radius: float | None = None
    """The height of the axle if not told."""
    tyre_width: float = 125.0
    lock: float = 0.6
    """Steering lock to either side."""
    kingpin: float = 60.0
    """From the tyre's middle plane inward to the axis about which it steers."""
    bump: float = 60.0
    rebound: float = 60.0
    tyre_clearance: float = 25.0
    """Kept between the swept tyre and metal."""
    engine: Box | None = None
    engine_clearance: float = 25.0


class UsedSize(Fact):
    """A body size as used, and whether it was measured or taken from the survey."""

    person: str
    field: str
    name: str
    """As ISO 7250-1 has it, or the survey."""
    value: float
    source: str


class PairShare(Fact):
    """Share of random pairs that fit."""

    crew: str
    at: str
    room: float
    """mm for two bodies without clothing and gap."""
    share: float


class WidthBudget(Fact):
    """What the width over the metal at the shoulders is made of."""

    parts: tuple[tuple[str, float], ...]
    total: float
    finished: float | None = None
    """The width that was asked for or built."""
    words: tuple[str, ...] = ()
    """What a difference is made of."""


class Room(Fact):
    """A measure of the cab by its name in SAE J1100."""

    code: str
    name: str
    value: float
    words: str
    mark: str


class Clearance(Fact):
    """Room between two things; negative where they would share a place."""

    name: str
    value: float
    wanted: float
    at: tuple[float, float, float]
    words: str


class Sight(Fact):
    """A line of sight that just touches something."""

    name: str
    person: str
    start: tuple[float, float, float]
    end: tuple[float, float, float]
    angle: float
    """rad above level; negative looks down."""
    words: str


class PostSight(Fact):
    """What a screen post hides at the height of the eyes."""

    person: str
    post: Literal["left", "right"]
    eyes: Points2
    """(2, 2), left eye and right eye, x and y."""
    outline: Points2
    """(n, 2), the post cut at eye height."""
    hidden: tuple[float, float]
    """rad, from the left eye and from the right eye."""
    both: float
    """rad that neither eye sees, far away."""
    z: float


class Door(Fact):
    """The side at the window: lean, and the room that dropped glass needs."""

    station: float
    tumblehome: float
    """rad from upright, belt to cantrail; positive leans inward."""
    drop: float
    """mm, height of the window."""
    given: float
    """mm from the skin's inner face to the trim."""
    needed: float
    """mm, least door thickness in which flat glass drops straight in its own plane."""
    clear_outside: float
    """mm, least between the dropping glass and the outer metal; negative pierces it."""
    glass: Points2
    """(4, 2) y and z: the dropped pane's outline in section."""


class SweptWheel(Fact):
    """A wheel with all places that steering and springing bring it to."""

    name: str
    centre: tuple[float, float, float]
    radius: float
    width: float
    lock: float
    kingpin: float
    """mm from the centre towards the vehicle's middle; the axis is upright."""
    bump: float
    rebound: float
    volume: float
    """mm^3 swept."""


class Stretch(Fact):
    """A proposed departure; start and end on the reference."""

    name: str
    reason: str
    axis: Literal["x", "y", "z"]
    start: float
    end: float
    by: float
    seat_by: float = 0.0
    """mm by which the seat must be moved along with it."""


class PackageShape(Fact):
    """Something drawn as a plain body: its outlines in three views, and a mesh."""

    name: str
    kind: ShapeKind
    side: Points2
    """x and z."""
    plan: Points2
    """x and y."""
    rear: Points2
    """y and z."""
    vertices: Points3
    triangles: Triangles


class Package(Fact):
    """People and all that stands around them."""

    sizes: tuple[UsedSize, ...] = ()
    pairs: tuple[PairShare, ...] = ()
    pair_bounds: tuple[float, float] = (0.0, 1.0)
    """Least and greatest share of any two that fit at shoulders, elbows and hips at once."""
    budget: WidthBudget | None = None
    rooms: tuple[Room, ...] = ()
    clearances: tuple[Clearance, ...] = ()
    sights: tuple[Sight, ...] = ()
    posts: tuple[PostSight, ...] = ()
    door: Door | None = None
    wheels: tuple[SweptWheel, ...] = ()
    shapes: tuple[PackageShape, ...] = ()
    stretches: tuple[Stretch, ...] = ()
    cautions: tuple[str, ...] = ()
