"""Lines at full size: what the job asks for, and the fair network."""

from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from buckwright.model.fact import Fact, Numbers, Points3
from buckwright.model.finding import Finding
from buckwright.model.points import PlacedPoint

__all__ = [
    "BattenChoice",
    "Crossing",
    "Datum",
    "Departure",
    "Dimension",
    "DimensionSpec",
    "Line",
    "LineNetwork",
    "LineSpec",
    "Pin",
    "PlacedLine",
    "Placement",
    "SidesApart",
]


class LineSpec(Fact):
    """A line that the job names."""

    name: str
    mark: Literal["tape", "edge"] = "tape"
    closed: bool = False
    mirror: str | None = None
    """Name of the line on the other side that should be its mirror image."""
    tolerance: float = 0.0
    """mm at full size that fairing may move it beyond its measured doubt."""
    use: Literal["body", "datum"] = "body"
    """Datum lines (wheel rims) fix the axes and are no part of the body."""


class Pin(Fact):
    """A place that a line must pass, set by hand.

    On a line of a pair the other one follows as its mirror image.
    """

    line: str
    share: float
    """Where along the fair line it sits, 0 to 1."""
    point: tuple[float | None, float | None, float | None]
    """x, y, z at full size before departures; None where the line is free: what is set in the
    side elevation leaves the half-breadth to the line."""
    reason: str = ""


class BattenChoice(Fact):
    """How stiff a batten the hand takes for a line, beside the ordinary one.

    Only pulls feel it: a limber one gives way beside the pin, a stiff one all along. The length
    that gives way grows with the sixth root.
    """

    line: str
    stiffness: float = 1.0


class Datum(Fact):
    """How the model lies in vehicle axes; the ground is the mat's own plane."""

    front_axle: tuple[str, ...]
    """Circular lines (wheel rims) whose centres lie on the front axle, or marked points on it."""
    rear_axle: tuple[str, ...]
    forward_of: tuple[str, str]
    """(a line at the front, a line at the rear): tells which way the model faces."""


class SidesApart(Fact):
    """A left line and the mirror image of the right one, in vehicle axes at full size."""

    left: str
    right: str
    rms: float
    """mm between them."""
    most: float
    most_at: Numbers
    """(3,) on the left line, where they differ most."""
    doubt: float
    """mm rms that measuring alone explains."""
    points: Points3
    """(n, 3) some places of the left line."""
    apart: Points3
    """(n, 3) from the mirror image of the right line to those places."""


class Placement(Fact):
    """The similarity from mat millimetres to vehicle axes at full size, and what it showed.

    p = scale * rotation @ (p_mat - origin).
    """

    scale: float
    rotation: Points3
    """(3, 3)."""
    origin: Numbers
    """(3,) mm of the mat."""
    wheelbase: float
    """mm at full size, before departures."""
    asymmetry_rms: float
    """mm at full size: distance between left lines and mirrored right lines."""
    sides: tuple[SidesApart, ...] = ()
    """The same pair by pair, and where."""
    points: tuple[PlacedPoint, ...] = ()
    """Single places marked in the pictures."""
    findings: tuple[Finding, ...] = ()


class PlacedLine(Fact):
    """A measured line in vehicle axes at full size, before fairing."""

    name: str
    points: Points3
    sigma: Numbers
    closed: bool


class Line(Fact):
    """A fair B-spline in vehicle axes at full size, parameter from 0 to 1."""

    name: str
    degree: int
    knots: Numbers
    control: Points3
    closed: bool
    sigma: float
    """mm, rms standard error of the points it was faired through."""
    fair_sigma: float | None = None
    """mm, rms standard error of the fair line itself, one way square to it: less than that of its
    points, for many of them say where it runs. None where it was not reckoned."""
    alike: float = 0.0
    """mm along it over which that error is much the same; 0 where it was not reckoned."""
    moved_most: float = 0.0
    """mm, the farthest that fairing moved a point."""
    moved_rms: float = 0.0
    curvature_extrema: int = 0
    tolerance: float = 0.0
    """mm to either side of its points that the line may lie, the median of them."""
    beyond: float = 0.0
    """mm by which its points lie outside that at worst, where it could not be kept."""
    beyond_at: tuple[float, float, float] | None = None
    """The point where."""
    straights: tuple[tuple[float, float], ...] = ()
    """Where it is exactly straight, as parameters."""
    corners: tuple[float, ...] = ()
    """Parameters at which its direction may break."""
    held_ends: tuple[bool, bool] = (False, False)
    """Whether the direction of its first and last end is given."""

    @property
    def doubt(self) -> float:
        """How far the line itself may be off, mm: that of its points where no more is known."""
        return self.sigma if self.fair_sigma is None else self.fair_sigma

    def curve(self) -> BSpline:
        """The scipy B-spline; periodic lines repeat their first control points."""
        extrapolate = "periodic" if self.closed else False
        return BSpline(self.knots, self.control, self.degree, extrapolate=extrapolate)

    def points(self, count: int) -> NDArray[np.float64]:
        """(count, 3) at even parameter steps, both ends included."""
        return np.asarray(self.curve()(np.linspace(0.0, 1.0, count)), dtype=np.float64)


class Crossing(Fact):
    """A point that two lines share, at parameters of each."""

    lines: tuple[str, str]
    parameters: tuple[float, float]
    point: Numbers
    gap: float
    """mm by which the lines missed each other before they were drawn together."""
    said: tuple[Numbers, Numbers] | None = None
    """Where each of the lines, faired alone, passes there; None where that was not kept."""


class LineNetwork(Fact):
    """All fair lines with their crossings."""

    lines: tuple[Line, ...]
    crossings: tuple[Crossing, ...]
    findings: tuple[Finding, ...] = ()

    def line(self, name: str) -> Line:
        """The line of that name; KeyError if there is none."""
        for line in self.lines:
            if line.name == name:
                return line
        raise KeyError(name)


class Departure(Fact):
    """A deliberate change from the reference.

    A stretch is a zone on one axis: what lies before `start` stays, what lies after `end` moves
    by `by`, and the range between is lengthened smoothly (twice continuously differentiable). A
    move or a scale takes named lines and their mirror images along; lines that cross follow.
    """

    name: str
    reason: str
    axis: Literal["x", "y", "z"] = "x"
    start: float = 0.0
    end: float = 0.0
    by: float = 0.0
    on: bool = True
    kind: Literal["stretch", "move", "scale"] = "stretch"
    rigid: tuple[str, ...] = ()
    """Of a stretch: lines that keep their shape; the zone passes over the range they take."""
    lines: tuple[str, ...] = ()
    """Of a move or a scale: the lines of the family; mirror images follow by themselves."""
    move: tuple[float, float, float] = (0.0, 0.0, 0.0)
    """mm rearward, outward from the centre plane, upward."""
    factors: tuple[float, float, float] = (1.0, 1.0, 1.0)
    """Along length, breadth and height."""
    about: tuple[float, float, float] | None = None
    """What a scale leaves in place: x, distance from the centre plane, z; None for the middle of
    the family."""
    on_surface: bool = False
    """Whether the family slides along the surface that the lines around it show."""

    @property
    def stretches(self) -> bool:
        """Whether it is a zone that is switched on and changes something."""
        return self.on and self.kind == "stretch" and self.by != 0.0

    def change(self) -> str:
        """What it changes, in words and millimetres: 'x 1500 to 1900: +60 mm'."""
        if self.kind == "stretch":
            kept = f", {', '.join(self.rigid)} kept rigid" if self.rigid else ""
            return f"{self.axis} {self.start:.0f} to {self.end:.0f}: {self.by:+.0f} mm{kept}"
        names = ", ".join(self.lines)
        if self.kind == "move":
            ways = zip(self.move, ("rearward", "outward", "upward"), strict=True)
            return f"{names}: {', '.join(f'{by:+.0f} mm {way}' for by, way in ways if by)}"
        ways = zip(self.factors, ("length", "breadth", "height"), strict=True)
        return f"{names}: {', '.join(f'{by:g} times the {way}' for by, way in ways if by != 1.0)}"


class DimensionSpec(Fact):
    """A dimension that people watch while the design departs from the reference."""

    name: str
    of: Literal["height", "half-breadth", "length", "extent x", "extent y", "extent z"]
    """Height or half-breadth of a line where its reference passes the station `at`; its length;
    how far it reaches along an axis."""
    line: str
    at: float = 0.0
    """mm, a station of the reference."""


class Dimension(Fact):
    """A dimension on the reference, what each departure adds in order, and now; mm."""

    name: str
    code: str = ""
    """The name that SAE J1100 gives it, where it has one."""
    reference: float
    steps: tuple[float, ...]
    """What each departure that is on adds, in order."""
    now: float
