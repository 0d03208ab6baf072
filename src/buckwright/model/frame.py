"""What is known of the inner frame beside its members: rooms, stand, weight, lift, way out."""

from typing import Literal

from buckwright.model.fact import Fact, Numbers

__all__ = ["BodyPart", "Foot", "FrameRooms", "InnerFrame", "Lift", "WayOut", "Wheel"]


class Wheel(Fact):
    """The room of a wheel with its tyre: a cylinder with a level axle along y."""

    name: str
    centre: Numbers
    """(3,) middle of the tyre."""
    radius: float
    width: float


class BodyPart(Fact):
    """A box with sides along the axes round a part of a seated person, clothing included."""

    person: str
    part: str
    low: Numbers
    high: Numbers


class FrameRooms(Fact):
    """Least distance, mm, from the frame's faces to what it must keep off; None: not asked."""

    skin: float
    """To the inner face of every region, those on one side only too."""
    wires: float | None = None
    wheels: float | None = None
    people: float | None = None
    """Of the members that stay while people sit in it."""


class Foot(Fact):
    """Where the frame stands: a leg of the frame with a foot or a castor under it."""

    name: str
    leg: str
    """The member that ends in it."""
    at: Numbers
    """(3,) middle of the leg's lower end, vehicle axes."""
    kind: Literal["foot", "castor"]
    load: float
    """kg that it must carry: on an uneven floor three feet carry all."""


class Lift(Fact):
    """How many people lift it, and by which rule."""

    what: str
    mass: float
    people: int
    """0: not by hand, with a hoist."""
    limit: float
    """kg that so many may lift together."""
    rule: str


class WayOut(Fact):
    """Whether the frame comes out of the finished body in one piece, and how."""

    free: bool
    way: str
    """In words: 'down, out of the open underside'."""
    direction: Numbers
    """(3,) unit vector of the frame's motion; zeros if there is none."""
    least_gap: float = 0.0
    """mm to the metal on the way."""
    blocked_by: tuple[str, ...] = ()
    """Regions in the way of the best straight pull."""
    wires_to_cut: tuple[str, ...] = ()
    """Wires that stand in the way: cut them and take them out first."""
    pieces: tuple[tuple[str, str], ...] = ()
    """(bay of the frame, way it comes out) when it bolts apart at the rings."""


class InnerFrame(Fact):
    """The frame as a whole."""

    kind: Literal["square tube", "folded strip"]
    stock: str
    """What to buy, in words."""
    mass_per_m: float
    """kg."""
    strip_width: float = 0.0
    """mm to slit the strip to before it is folded; 0 for tube."""
    rooms: FrameRooms
    wheels: tuple[Wheel, ...] = ()
    people: tuple[BodyPart, ...] = ()
    """What it was kept off; empty if people are ignored."""
    people_source: str = ""
    feet: tuple[Foot, ...] = ()
    raised: float = 0.0
    """mm that the body stands above its true height over the ground."""
    sill_height: float = 0.0
    """mm from the floor to the lowest metal as it stands."""
    tips_at_deg: float = 0.0
    """Slope at which the buck falls over its narrower side."""
    members_mass: float
    """kg, all members."""
    centre_of_gravity: Numbers
    """(3,) of the members alone."""
    unbraced: tuple[str, ...] = ()
    """Faces of the box without a diagonal."""
    lifts: tuple[Lift, ...] = ()
    way_out: WayOut | None = None
