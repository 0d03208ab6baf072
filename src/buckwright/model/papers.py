"""Paper patterns: straight strips of stiff paper that show on a panel where metal must move."""

from typing import Literal

from buckwright.model.fact import Fact, Numbers, Points2, Points3
from buckwright.model.finding import Finding

__all__ = ["PaperJoint", "PaperPattern", "PaperStrip"]


class PaperStrip(Fact):
    """A straight strip of constant width; its frame: x along it from the spine, y across it."""

    number: int
    """0 in the middle, growing with the blank's x where strips run across it, else with its y."""
    outline: Points2
    """Closed; trimmed to the panel's edge; first point not repeated."""
    middle: Points3
    """(n, 3) where its middle line lies on the finished panel."""


class PaperJoint(Fact):
    """Two strips side by side: how far apart their facing edges lie on the finished panel."""

    strips: tuple[int, int]
    at: Numbers
    """(n,) mm along the strips from the spine."""
    gap: Numbers
    """(n,) mm: positive a gap, where metal is missing; negative an overlap, where it is in excess;
    zero where they butt."""


class PaperPattern(Fact):
    """The strips of a panel with what they show.

    Paper area + missing - excess = panel area, but for `unaccounted`.
    """

    panel: str
    width: float
    run: Literal["across", "along"]
    """Of the strips on the blank: against its y, or with its x."""
    strips: tuple[PaperStrip, ...]
    joints: tuple[PaperJoint, ...]
    spine: Points3
    """(n, 3) the line across the panel that all strips cross squarely, butting there."""
    origin: tuple[float, float]
    """Place on the blank (its frame) where the middle strip crosses the spine."""
    panel_area: float
    """mm^2."""
    blank_area: float
    paper_area: float
    missing: float
    """mm^2 of all gaps: the panel has that much more metal than the paper."""
    excess: float
    """mm^2 of all overlaps."""
    unaccounted: float
    """mm^2 of the panel that neither strips nor gaps explain, mostly at its edge."""
    tolerance: float
    """Share of the panel's area that may remain unaccounted for."""
    words: str
    findings: tuple[Finding, ...] = ()
