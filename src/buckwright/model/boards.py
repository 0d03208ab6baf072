"""What the job asks of a station buck, and the sawn boards that follow.

A board stands in a station (x), a buttock (y) or a level (z), its middle on that plane. It is
drawn in the two other axes of the vehicle: (y, z), (x, z) or (x, y), millimetres.
"""

from typing import Literal

from buckwright.model.fact import Fact, Numbers, Points2
from buckwright.model.finding import Finding
from buckwright.model.nesting import Layout

__all__ = ["Board", "BoardEdge", "BoardPart", "BoardSpec", "Boards", "Slot"]


class BoardSpec(Fact):
    """Where boards stand, and what they are sawn from."""

    stations: tuple[float, ...]
    """x of boards across the vehicle; they carry the others."""
    buttocks: tuple[float, ...] = ()
    """y of boards along it, let into the stations from above."""
    levels: tuple[float, ...] = ()
    """z of boards along it, let into the stations from the left and from the right."""
    regions: tuple[str, ...] = ()
    """Regions of the skin that the boards carry; all that lie on both sides if empty."""
    thickness: float = 18.0
    """mm, measured on the board in hand: what is sold as 18 mm seldom is."""
    fit: float = 0.2
    """mm by which a slot is wider than the board, and by which laps stop short of each other."""
    cutter: float = 6.0
    """mm, diameter of the router bit: inside corners are relieved by it."""
    depth: float = 120.0
    """mm from the skin's inner face to the inside of a board; 0 for stations without a hole."""
    edge: Literal["square", "bevel"] = "square"
    """Sawn square and touching with one corner, or bevelled to the skin."""
    sheet_size: tuple[float, float] = (2440.0, 1220.0)
    longest_part: float = 1200.0
    """mm; a longer or higher board is sawn in parts, which also fill sheets better."""
    gap: float = 10.0
    """mm between boards on a sheet."""
    margin: float = 10.0
    density: float = 6.5e-7
    """kg/mm^3, of the board: about that of birch plywood."""
    wheels: Literal["keep clear", "ignore"] = "keep clear"
    wheel_room: float = 20.0
    """mm kept from a tyre."""


class BoardEdge(Fact):
    """A run of a board's edge that carries metal, in the middle of its thickness."""

    points: Points2
    along: Numbers
    """(n,) mm along the run."""
    bevel: Numbers
    """(n,) rad between the edge and square: positive where the board is smaller on the face
    towards the rear (of a station), the right (of a buttock) or the top (of a level)."""


class Slot(Fact):
    """Half of a lap with another board."""

    other: str
    middle: tuple[float, float]
    """Middle of the slot's bottom."""
    out: tuple[float, float]
    """Unit vector from the bottom to the mouth."""
    width: float
    depth: float
    """mm from the bottom to the edge of the board, along the middle."""


class BoardPart(Fact):
    """A part of a board that no sheet holds whole, or a plate that joins two of them."""

    name: str
    outline: Points2
    """Where it lies in the board; closed, first point not repeated."""
    holes: tuple[Points2, ...] = ()
    plate: bool = False


class Board(Fact):
    """One board: its outline as cut, and what is cut into it."""

    name: str
    """As written on it: S3, B1, L2 left."""
    kind: Literal["station", "buttock", "level"]
    at: float
    """mm, of the middle of its thickness on its axis."""
    thickness: float
    outline: Points2
    """Closed, slots and their relieved corners included; first point not repeated."""
    holes: tuple[Points2, ...] = ()
    faces: tuple[Points2, ...] = ()
    """Outlines without slots on the front, left or lower face, and on the other: a bevelled edge
    runs from one to the other. Empty for a square edge."""
    edges: tuple[BoardEdge, ...] = ()
    slots: tuple[Slot, ...] = ()
    greatest_bevel: float = 0.0
    """rad."""
    gap_most: float = 0.0
    """mm that the finished edge stands off the skin's inner face at worst."""
    over_most: float = 0.0
    """mm that it stands out beyond it at worst."""
    gap_words: str = ""
    """What the edge leaves, in a sentence."""
    mass: float = 0.0
    """kg, plates included."""
    parts: tuple[BoardPart, ...] = ()
    """What it is sawn as; empty if in one piece."""
    joints: tuple[Points2, ...] = ()
    """Ends of each joint between parts."""

    @property
    def plane_axes(self) -> tuple[int, int, int]:
        """Numbers of the board's own axis, and of the two that it is drawn in."""
        return {"station": (0, 1, 2), "buttock": (1, 0, 2), "level": (2, 0, 1)}[self.kind]


class Boards(Fact):
    """The station buck."""

    boards: tuple[Board, ...]
    layout: Layout
    mass: float
    gap_most: float
    """mm, of all boards."""
    assembly: tuple[str, ...] = ()
    """How it goes together, in order."""
    findings: tuple[Finding, ...] = ()
