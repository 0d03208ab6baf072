"""Where seams could go: options weighed against each other, and what the shop can handle."""

from typing import Literal

from buckwright.model.fact import Fact, Points3
from buckwright.model.finding import Finding
from buckwright.model.panels import PanelSpec, SeamSpec

__all__ = ["ProposedSeam", "SeamOption", "SeamPiece", "SeamStudy", "ShopReach"]


class ShopReach(Fact):
    """How large a panel the shop can handle."""

    throat: float = 900.0
    """mm that the wheel or the shrinker reaches in from an edge: a panel may be twice as wide."""
    longest: float = 2400.0
    """mm, longest panel that people can hold and guide."""
    most_pieces: int = 6
    """Panels that a region may be made of at most."""


class ProposedSeam(Fact):
    """A seam: where it runs and why it is there."""

    name: str
    line: str | None
    """The line that it follows; None for a straight way over the skin."""
    points: Points3
    """(k, 3) on the skin, from end to end; it ends on the region's edge or on another seam."""
    length: float
    """mm to weld."""
    meets_deg: tuple[float, float]
    """Angle between seam and edge at its two ends; 90 is square."""
    least_radius: float
    """mm, tightest radius of the skin on the way."""
    rounding_before: float
    """rad, total rounding (area integral of the Gauss curvature) of the piece that it divides."""
    rounding_after: tuple[float, float]
    """rad, that of the two pieces that it makes."""
    why: str


class SeamPiece(Fact):
    """One panel of an option."""

    name: str
    edge: Points3
    """(k, 3) round its edge, closed; the first point is not repeated."""
    area: float
    """mm^2."""
    size: tuple[float, float]
    """mm, long and short side of the least box round its flat shape, allowance not counted."""
    peak: float
    """Greatest principal logarithmic strain, stretch or shrink."""
    work_density: float
    """Area mean of e1^2 + e2^2 + e1 e2."""
    within_reach: bool
    on_sheet: bool


class SeamOption(Fact):
    """One way to divide a region."""

    name: str
    seams: tuple[ProposedSeam, ...]
    pieces: tuple[SeamPiece, ...]
    peak: float
    """Greatest of its pieces."""
    work_density: float
    """Area mean over all pieces."""
    weld: float
    """mm to weld in all."""
    within_reach: bool
    on_sheet: bool
    takes_it: bool
    """Whether the metal takes the peak in one temper, without annealing."""
    words: str
    drawn: tuple[SeamSpec, ...] = ()
    """The seams as the job asks for them, in the same order."""
    panels: tuple[PanelSpec, ...] = ()
    """The panels between them, in the order of the pieces."""


class SeamStudy(Fact):
    """Options for one region, fewest pieces first, and which of them to take."""

    region: str
    side: Literal["whole", "left", "right"]
    options: tuple[SeamOption, ...]
    chosen: str
    """Name of an option."""
    why: str
    reach: ShopReach
    sheet: tuple[float, float]
    """mm, of the sheet that pieces are cut from."""
    allowance: float
    """mm of metal counted all round each piece."""
    limit: float
    """Greatest effective strain (logarithmic) that the metal takes in one temper."""
    tried: int
    """Pieces that were laid flat in the search."""
    complete: bool
    """False where the search was stopped: the best so far."""
    findings: tuple[Finding, ...] = ()

    def option(self, name: str) -> SeamOption:
        """The option of that name; KeyError if there is none."""
        for option in self.options:
            if option.name == name:
                return option
        raise KeyError(name)
