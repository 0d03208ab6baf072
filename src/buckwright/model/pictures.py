"""Mats, pictures, traces, and what is measured from them.

Frame of this file: millimetres of the mat as measured by its bars, x to the right along the
columns, y up the page (against the count of the rows, so that it is negative on the mat), z up
out of the paper; the origin is the top-left outer corner. Pixels have their centres at integers.
"""

from typing import Any, Literal

import numpy as np
from pydantic import Field

from buckwright.model.fact import Fact, Indices, Numbers, Points2, Points3
from buckwright.model.finding import Finding

__all__ = [
    "Bar",
    "Calibration",
    "CameraGroup",
    "Corners",
    "Mat",
    "MeasuredLine",
    "Picture",
    "PictureSource",
    "Trace",
    "TraceKind",
]


def _unsaid(value: Any) -> bool:
    """Whether a field that came later is left at nothing: then it is not written."""
    return not value


class Bar(Fact):
    """A measured distance between two grid corners (column, row) of the mat.

    Counted from the top-left outer corner, so that (1, 1) is the first inner corner. In a set of
    cards the ends may lie on two cards, numbered from 0.
    """

    start: tuple[int, int]
    end: tuple[int, int]
    mm: float
    start_card: int = Field(0, exclude_if=_unsaid)
    end_card: int = Field(0, exclude_if=_unsaid)
    sigma: float = Field(0.0, exclude_if=_unsaid)
    """mm, standard error of the reading; 0 for a caliper's."""


class Mat(Fact):
    """The printed board of coded marks: squares as (columns, rows).

    A mat may be a set of such boards, all alike, each with marks of its own: sheets laid side by
    side, or cards taped on and around a part. Where they lie is found from the pictures.
    """

    squares: tuple[int, int]
    square_mm: float
    marker_mm: float
    dictionary: str
    bars: tuple[Bar, ...] = ()
    more_cards: int = Field(0, exclude_if=_unsaid)
    """Boards besides the first."""

    @property
    def cards(self) -> int:
        """How many boards there are."""
        return 1 + self.more_cards

    @property
    def corners_each(self) -> int:
        """Inner corners of one board."""
        return (self.squares[0] - 1) * (self.squares[1] - 1)

    def corner(self, card: int, at: tuple[int, int]) -> int:
        """Number of an inner corner on the whole set: card from 0, column and row from 1."""
        column, row = at
        return card * self.corners_each + (row - 1) * (self.squares[0] - 1) + column - 1

    @property
    def marks_each(self) -> int:
        """Coded marks of one board: card k has the numbers from k times this on."""
        return self.squares[0] * self.squares[1] // 2


class PictureSource(Fact):
    """A photograph as it came in: its name, the SHA-256 of its bytes, its size in pixels."""

    name: str
    sha256: str
    size: tuple[int, int]
    """(columns, rows) of the sensor's own image, rotation tags not applied."""
    camera: str = Field("", exclude_if=_unsaid)
    """Maker, model and lens as the file tells them; empty where it does not."""
    focal_mm: float = Field(0.0, exclude_if=_unsaid)
    """Focal length that the file tells; 0 where it does not."""
    zoom: float = Field(0.0, exclude_if=_unsaid)
    """Digital zoom that the file tells; 0 for none."""
    turned: int = Field(0, exclude_if=_unsaid)
    """Quarter turns clockwise that show it upright."""
    taken_size: tuple[int, int] | None = Field(None, exclude_if=_unsaid)
    """(columns, rows) that the camera wrote down, where they are not those of `size`."""


TraceKind = Literal["hand", "tape", "edge", "silhouette", "point"]


class Trace(Fact):
    """A polyline in one picture that follows one line.

    Of kind 'hand' the points are as they were set. Of 'tape', 'edge' and 'silhouette' they were
    snapped from the clicks; a silhouette is the outline that one camera sees, no line of the
    body. A 'point' is one marked place.
    """

    line: str
    picture: str
    px: Points2
    kind: TraceKind = Field("hand", exclude_if=lambda kind: kind == "hand")
    closed: bool = Field(default=False, exclude_if=_unsaid)
    """Whether it goes all round; its first point is not repeated."""
    clicks: Points2 = Field(np.zeros((0, 2)), exclude_if=lambda clicks: len(clicks) == 0)
    """(k, 2) px where the hand clicked; empty where the points themselves are the hand's."""
    sigma: Numbers = Field(np.zeros(0), exclude_if=lambda sigma: len(sigma) == 0)
    """(n,) px across the trace, as snapping found it; empty where that is not known."""

    @property
    def on_body(self) -> bool:
        """Whether it follows a line of the body: an outline and a single point do not."""
        return self.kind in ("hand", "tape", "edge")


class Corners(Fact):
    """Inner corners of the mat found in one picture."""

    picture: str
    ids: Indices
    """(n,) number of the inner corner: row-major, (columns - 1) to a row, card after card."""
    px: Points2
    size: tuple[int, int]
    camera: str = Field("", exclude_if=_unsaid)
    """Pictures of one size and one such name were taken by one camera at one zoom."""
    blur_px: float = Field(0.0, exclude_if=_unsaid)
    """Standard deviation of the blur at the corners; 0 where it was not looked at."""


class CameraGroup(Fact):
    """Lens shared by pictures taken with one camera at one zoom: (k1, k2, p1, p2, k3)."""

    focal: float
    centre: tuple[float, float]
    distortion: Numbers


class Picture(Fact):
    """A picture with its camera: p_camera = rotation @ p_mat + translation."""

    name: str
    size: tuple[int, int]
    rotation_vector: Numbers
    """(3,) Rodrigues vector, mat to camera."""
    translation: Numbers
    """(3,) mm."""
    focal: float
    """px, of this picture."""
    principal: tuple[float, float]
    distortion: Numbers
    """(5,) k1, k2, p1, p2, k3."""
    residual_px: float
    """rms of the corners kept, per coordinate."""
    corners_used: int


class Calibration(Fact):
    """Where every camera stood, and how sure that is."""

    pictures: tuple[Picture, ...]
    groups: tuple[CameraGroup, ...]
    mat_points: Points3
    """(n, 3) inner corners as adjusted, in true millimetres."""
    residual_px: float
    scale: Literal["bar", "not measured"]
    scale_sigma: float
    """Relative standard error of every length."""
    centre_sigma: Numbers
    """(pictures,) mm, standard error of each camera centre (root of the trace / 3)."""
    covariance: Numbers = np.zeros(0)
    """Lower triangle, row by row, of a square of 9 k + 5 g: of each picture its turn (3) rad in
    the camera's axes, its centre (3) mm, focal length and principal point (2) px; then of each
    group its distortion (5). In the mat's frame at its scale, whose own error is not in it.
    Empty where it was not kept."""
    group_of: Indices = np.zeros(0, np.int64)
    """(pictures,) group of each picture, where the covariance was kept."""
    findings: tuple[Finding, ...] = ()

    def picture(self, name: str) -> Picture:
        """The picture of that name; KeyError if it was not solved."""
        for picture in self.pictures:
            if picture.name == name:
                return picture
        raise KeyError(name)


class MeasuredLine(Fact):
    """A line as the pictures give it, in millimetres of the mat."""

    name: str
    points: Points3
    """(n, 3) in order along the line; of a closed line the first is not repeated."""
    sigma: Numbers
    """(n,) mm, standard error of each point across the line (one direction, rms of both)."""
    closed: bool
    pictures: tuple[str, ...]
    residual_px: float
    conditioning: Numbers
    """(n,) 0 where the pictures cannot place the point, 1 where they place it best."""
    findings: tuple[Finding, ...] = ()
