"""Views without a mat: one picture of a side, the top, front or rear, and drawings.

A view has axes of its own in the plane of scale: first to the right and second up, as whoever
looks at it sees them; both run along vehicle axes (`VIEW_AXES`). Pixels have their centres at
integers.
"""

from typing import Literal, NamedTuple

import numpy as np
from pydantic import Field

from buckwright.model.fact import Fact, Numbers, Points2, Points3, Triangles
from buckwright.model.finding import Finding
from buckwright.model.pictures import PictureSource

__all__ = [
    "VIEW_AXES",
    "Apart",
    "Hull",
    "JoinedViews",
    "Known",
    "Length",
    "Outside",
    "Pick",
    "PieceSheet",
    "SeenFrom",
    "SharedMark",
    "SharedPlace",
    "SpaceLine",
    "SquaredView",
    "ViewAxes",
    "ViewCurve",
    "ViewPicture",
    "ViewShift",
    "ViewSpec",
    "ViewTrace",
]

SeenFrom = Literal["left", "right", "front", "rear", "top"]


class ViewAxes(NamedTuple):
    """Which vehicle axis (0, 1, 2) runs right, up and away from the eye, and in which sense."""

    right: tuple[int, float]
    up: tuple[int, float]
    away: tuple[int, float]


VIEW_AXES: dict[str, ViewAxes] = {
    "left": ViewAxes((0, 1.0), (2, 1.0), (1, 1.0)),
    "right": ViewAxes((0, -1.0), (2, 1.0), (1, -1.0)),
    "front": ViewAxes((1, -1.0), (2, 1.0), (0, 1.0)),
    "rear": ViewAxes((1, 1.0), (2, 1.0), (0, -1.0)),
    "top": ViewAxes((0, 1.0), (1, 1.0), (2, -1.0)),
}
"""From above the front is at the left, as on a drawing, so that the right side is up."""


class SharedMark(Fact):
    """A mark that is seen in two pieces of one drawing."""

    name: str
    px: tuple[float, float]


class ViewPicture(Fact):
    """A picture of a view, or one of the pieces of a drawing, and what squares it."""

    source: PictureSource
    corners: Points2 = np.zeros((0, 2))
    """(n, 2) px of four corners or more, or of a grid; none where it was taken from far away."""
    corners_at: Points2 = np.zeros((0, 2))
    """(n, 2) where they lie, to the right and up, in any unit; none: a rectangle whose
    proportions are not known, its corners named round about from the lower left."""
    marks: tuple[SharedMark, ...] = ()


class Pick(Fact):
    """A place in a picture of a view."""

    picture: str
    px: tuple[float, float]


class Known(Fact):
    """A place whose vehicle coordinates along the view's axes are known, one of them or both."""

    pick: Pick
    right: float | None = None
    """mm in the vehicle axis that runs to the right or left in this view."""
    up: float | None = None
    """mm in the vehicle axis that runs up in this view."""


class Length(Fact):
    """Two places and how far apart they are."""

    first: Pick
    second: Pick
    mm: float


class ViewTrace(Fact):
    """A line or an outline, followed in a picture of a view."""

    line: str
    picture: str
    px: Points2
    closed: bool = False
    outline: bool = False
    """Whether it is what this camera sees against the background, no line of the body."""
    between: tuple[float, float] | None = None
    """mm, vehicle coordinates along the sight between which the line lies; None: not said."""
    crown: float = 0.0
    """mm, radius of the crown square to the view over which an outline turns away; 0: none."""
    sigma_px: float = 1.0
    """px, how well the hand follows it."""


class ViewSpec(Fact):
    """A view: what it is seen from, what squares it, puts it to scale and into vehicle axes."""

    name: str
    seen_from: SeenFrom
    pictures: tuple[ViewPicture, ...]
    drawing: bool = False
    """Whether it is flat: then nothing stands before or behind the plane of scale."""
    length: Length | None = None
    known: tuple[Known, ...] = ()
    plane: float = 0.0
    """mm, vehicle coordinate along the sight of the plane in which it is put to scale."""
    distance: float = 0.0
    """mm from the camera to that plane at full size; 0: not known."""
    traces: tuple[ViewTrace, ...] = ()


class SquaredView(Fact):
    """A view put to scale, in vehicle axes."""

    name: str
    seen_from: SeenFrom
    to_plane: tuple[Numbers, ...]
    """Of each picture (9,) row by row: pixels to mm right and up in the view."""
    distance: float
    """mm from the camera to the plane of scale; 0: not known."""
    distance_sigma: float
    foot: tuple[float, float]
    """mm right and up where the plane is nearest to the camera."""
    plane: float
    mm_per_px: float
    """In the middle of the first picture."""
    residual: float
    """mm rms of corners, shared marks and known places; 0 where nothing is left over."""
    worst: str
    """What fits worst; empty where nothing is left over."""
    findings: tuple[Finding, ...] = ()


class SharedPlace(Fact):
    """A mark that several pieces of a drawing share, on the joined sheet."""

    name: str
    at: tuple[float, float]
    """Right and up in the plane of the sheet, the mean of what its pieces say."""
    pieces: tuple[str, ...]
    off: Numbers
    """(pieces,) how far each puts it from there: mm, or pixels of the first piece."""
    rest: float | None = None
    """rms that all other marks are off once this one is left out; None where the pieces would
    then no longer hang together."""


class PieceSheet(Fact):
    """The pieces of a drawing joined to one sheet, to scale or not yet."""

    squared: SquaredView
    """Where every piece lies; in the plane of the first piece if nothing gives the scale yet."""
    to_scale: bool
    why: str = ""
    """Why it is not to scale."""
    places: tuple[SharedPlace, ...]
    """First the one without which the others agree best."""
    alone: tuple[tuple[str, str], ...] = ()
    """Marks that only one piece has, with that piece."""
    findings: tuple[Finding, ...] = ()


class ViewCurve(Fact):
    """A traced line in the plane of a view, mm right and up, with its parallax band."""

    view: str
    line: str
    closed: bool
    read: Points2
    """(n, 2) as the plane of scale shows it."""
    points: Points2
    """(n, 2) where it is, for the middle of where it lies along the sight."""
    near: Points2
    far: Points2
    """(n, 2) where it is if it lies nearest, farthest."""
    parallax: Numbers
    """(n,) mm, r d / (D + d) of the middle: by so much the plane of scale shows it wrong."""
    band: Numbers
    """(n,) mm from `near` to `far`."""
    sigma: Numbers
    """(n,) mm, standard error in one direction besides the band."""
    along: Numbers
    """(n,) mm, vehicle coordinate along the sight that `points` was taken for."""
    findings: tuple[Finding, ...] = ()


class ViewShift(Fact):
    """How a view had to give way so that all agree."""

    view: str
    scale: float
    """Factor on its lengths."""
    turn: float
    """rad, anticlockwise as seen."""
    shift: tuple[float, float]
    """mm right and up."""


class Apart(Fact):
    """One place that two views show differently, after they are joined."""

    line: str
    end: str
    views: tuple[str, str]
    axis: Literal["x", "y", "z"]
    before: float
    """mm, second minus first, before they were joined."""
    after: float


class SpaceLine(Fact):
    """A line in space by two views, in vehicle axes at full size."""

    name: str
    closed: bool
    points: Points3
    sigma: Numbers
    """(n,) mm, standard error in one direction."""
    views: tuple[str, str]
    findings: tuple[Finding, ...] = ()


class JoinedViews(Fact):
    """Several views in one frame."""

    shifts: tuple[ViewShift, ...]
    apart: tuple[Apart, ...]
    """The worst first."""
    rms: float
    """mm of what is left between them."""
    lines: tuple[SpaceLine, ...]
    findings: tuple[Finding, ...] = ()


class Outside(Fact):
    """A line that leaves the hull by more than cell and doubt."""

    line: str
    amount: float
    """mm at its worst place."""
    point: Numbers
    """(3,) that place, mm of the mat."""
    picture: str
    """Whose outline it leaves there."""
    share: float = Field(ge=0.0, le=1.0)
    """Of the line's points that lie outside."""


class Hull(Fact):
    """What all outlines together leave of space: the body lies inside it. mm of the mat."""

    vertices: Points3
    triangles: Triangles
    cell: float
    volume: float
    pictures: tuple[str, ...]
    outside: tuple[Outside, ...] = ()
    findings: tuple[Finding, ...] = ()
