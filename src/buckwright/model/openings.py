"""Doors, windows, screens and lids: what the job asks for, and how they swing and drop.

Millimetres and radians in vehicle axes at full size.
"""

from typing import Literal

import numpy as np
from pydantic import Field

from buckwright.model.fact import Fact, Indices, Numbers, Points2, Points3, Triangles
from buckwright.model.finding import Finding

__all__ = [
    "Drop",
    "GlassSpec",
    "Hinge",
    "HingeAxis",
    "HingePin",
    "Opening",
    "OpeningSpec",
    "Openings",
    "Outline",
    "Pane",
    "Swing",
    "Touch",
]

Place = tuple[float, float, float]


class HingePin(Fact):
    """A hinge's middle, and the way its pin points where that was measured."""

    point: Place
    direction: Place | None = None


class Hinge(Fact):
    """The pins about which a part swings, and how far it should."""

    pins: tuple[HingePin, ...]
    """Two at least; three or more are checked for lying in one line."""
    swing: float = 1.2
    """rad, wanted."""


class GlassSpec(Fact):
    """A pane: flat, or bent in one direction."""

    shape: Literal["flat", "cylinder"] = "flat"
    radius: float | None = None
    """mm to which a cylinder is bent about a level axis, hollow side inward; the best one if not
    told."""
    outline: tuple[str, ...] = ()
    """Lines round it; the opening's own outline if empty."""
    thickness: float = 5.0
    overlap: float = 10.0
    """mm by which the glass reaches beyond its outline; negative where it stops short."""
    set_in: float = 6.0
    """mm, least from the metal's inner face to the glass when shut."""
    clearance: float = 5.0
    """mm wanted all round while it drops."""
    drops: bool = False
    drop: float | None = None
    """mm wanted; the whole window if not told."""


class OpeningSpec(Fact):
    """One opening of the body, and the part or glass that closes it."""

    name: str
    kind: Literal["door", "window", "screen", "lid"]
    outline: tuple[str, ...]
    """One closed line, or lines in order round it that meet."""
    region: str = "body"
    """Region of the skin from which a door or lid is cut."""
    gap: float = 5.0
    """mm of the shut gap, half on either side of the outline."""
    drain: float = 7.0
    """mm of the gap along the bottom edge, where water leaves."""
    thickness: float = 50.0
    """mm from the metal's inner face to the trim."""
    metal: float = 1.2
    hinge: Hinge | None = None
    glass: GlassSpec | None = None


class Outline(Fact):
    """The outline as it lies on the skin."""

    points: Points3
    """Closed, first not repeated; about every 8 mm."""
    perimeter: float
    area: float
    """mm^2 within it: of the skin for doors and lids, windows in them included; else of the best
    flat or bent surface."""
    off_most: float
    """mm, the farthest that it lies off the skin."""
    off_at: Place
    inner: Points3
    """(n, 3) edge of the part, half the gap inside the outline, on the skin."""
    outer: Points3
    """(n, 3) edge of the body, half the gap outside."""


class HingeAxis(Fact):
    """The line nearest to the pins."""

    point: Place
    direction: Place
    """Unit, upward (or rearward, where it lies level)."""
    span: tuple[float, float]
    """mm along the direction from `point` to the first and the last pin."""
    residual: float
    """mm, the farthest that a pin lies off the axis."""
    twist: float
    """rad, the most that a measured pin points away from it; 0 where none was measured."""
    tested: bool
    """False for two pins without directions: any two lie in one line."""
    lean_back: float
    """rad from upright towards the rear."""
    lean_right: float
    """rad from upright towards the right."""


class Touch(Fact):
    """The first place where a swinging part meets the body."""

    angle: float
    point: Place
    """In space, where the part is then."""
    part: str
    """Which of the part's edges, or its skin."""
    against: str
    """What it meets, in words."""


class Swing(Fact):
    """A part turned about its axis, from shut to the wanted angle or the first touch."""

    wanted: float
    reached: float
    sense: Literal[-1, 1]
    """Right-handed about the axis' direction, or left-handed."""
    touch: Touch | None
    angles: Numbers
    clearances: Numbers
    """(n,) mm, least between part and body at each angle."""
    least: float
    least_angle: float
    least_at: Place
    least_against: str
    lift: float
    """mm that the part's free edge rises from shut to open; negative sinks."""
    width: float
    """mm that a person has to pass between door and jamb when open, at the narrowest level."""
    width_at: float
    """z of that level."""
    vertices: Points3
    """The part's skin and its return edge, shut; what the page turns."""
    triangles: Triangles


class Drop(Fact):
    """Glass let down inside a door."""

    wanted: float
    reached: float
    """mm down its own surface before it touches."""
    stopped_by: str
    """What it touches then; empty if it drops wholly."""
    steps: Numbers
    outer: Numbers
    """(n,) mm, least to the outer metal's inner face."""
    inner: Numbers
    """(n,) mm, least to the trim."""
    edge: Numbers
    """(n,) mm, least to the return edge round the door."""
    direction: tuple[float, float]
    """Unit, in the flat pane."""
    needed: float
    """mm, least thickness of the door in which this glass would drop with its clearance."""
    shift: float
    """mm farther in that it would have to stand for its clearance to the outer metal."""


class Pane(Fact):
    """Glass: its surface, how far that lies off its outline, and the flat piece to cut."""

    shape: Literal["flat", "cylinder"]
    origin: Place
    axes: Points3
    """(3, 3) rows: across, along the cylinder's axis, inward normal."""
    curvature: float
    """1/mm, positive where the axis lies inside the vehicle; 0 for flat glass."""
    edge: Points3
    """(n, 3) the outline."""
    off: Numbers
    """(n,) mm by which the outline lies inside (positive) or outside the best surface."""
    off_rms: float
    off_most: float
    off_at: Place
    off_other: float
    """mm, what the worst would be with the other shape."""
    stands_in: float
    """mm, the farthest that the glass lies behind the metal's inner face round its outline."""
    outline: Points2
    """(k, 2) flat, true size, closed, overlap included."""
    area: float
    drop: Drop | None = None


class Opening(Fact):
    """An opening worked out; what has no answer is None, and a finding says why."""

    name: str
    kind: Literal["door", "window", "screen", "lid"]
    outline: Outline | None = None
    axis: HingeAxis | None = None
    swing: Swing | None = None
    pane: Pane | None = None
    findings: tuple[Finding, ...] = ()
    region: str = ""
    """Region of the skin that the part is cut from, and its side."""
    side: str = ""
    taken: Indices = Field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    """Numbers of the region's triangles that go with the part."""


class Openings(Fact):
    """All openings of the job."""

    openings: tuple[Opening, ...]
    findings: tuple[Finding, ...] = ()
