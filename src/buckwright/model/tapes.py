"""Tape measurements: lengths that people took on the thing itself, beside pictures."""

from typing import Literal

from buckwright.model.fact import Fact
from buckwright.model.finding import Finding

__all__ = ["Tape", "TapeCheck", "TapePlace", "TapeRow", "TapeScale", "TapeSort", "Where"]

Where = Literal["", "start", "end", "front", "rear", "left", "right", "top", "bottom", "centre"]
TapeSort = Literal["between", "along", "wheelbase", "length", "width", "height"]


class TapePlace(Fact):
    """A place that a tape is held to."""

    name: str
    """Of a line, or of a marked point."""
    other: str = ""
    """A line that crosses it: then the place is their crossing."""
    where: Where = ""
    """Which end or outermost place of the line, or which of several crossings; the centre of a
    rim. Empty for a marked point and a single crossing."""


class Tape(Fact):
    """A length as it was read off a tape."""

    name: str
    of: TapeSort
    """Straight between two places; along a line, all of it or from one place to the other; the
    wheelbase; length, width or height of the whole body."""
    size: float
    """mm, as typed."""
    sigma: float
    """mm, how sure the reading is."""
    line: str = ""
    """Along which line."""
    places: tuple[TapePlace, ...] = ()
    """Two, or none."""
    on: Literal["full size", "model"] = "full size"


class TapeScale(Fact):
    """The scale of the whole, corrected from tapes that are trusted."""

    factor: float
    """That the lines from pictures are multiplied with, beside the job's scale."""
    sigma: float
    """Its relative standard error."""
    tapes: tuple[str, ...]
    """Those it was made from."""
    left_out: tuple[str, ...] = ()
    """Those that the others contradicted."""


class TapeRow(Fact):
    """A tape against the lines, at full size, before departures; mm."""

    name: str
    typed: float
    sigma: float
    lines: float
    """What the lines give."""
    lines_sigma: float
    sigmas: float
    """How far apart, in standard errors of the difference."""
    outlier: bool
    """Whether the other tapes contradict it."""
    wrong: Literal["", "tape", "lines", "either"] = ""
    """Which is more likely wrong; empty where nothing is."""


class TapeCheck(Fact):
    """All tapes against the lines, worst first."""

    rows: tuple[TapeRow, ...]
    factor: float = 1.0
    """That brings the lines to the tapes, outliers left out."""
    factor_sigma: float = 0.0
    """Its standard error; 0 where no tape could be held against the lines."""
    findings: tuple[Finding, ...] = ()
