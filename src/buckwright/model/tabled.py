"""Lines that came in as a table of figures beside, or in place of, pictures."""

from buckwright.model.fact import Fact, Numbers
from buckwright.model.finding import Finding
from buckwright.model.lines import PlacedLine

__all__ = ["LineTable", "PlaceRow", "TableAgainstPictures"]


class PlaceRow(Fact):
    """One row of a table that gives a place of a line; mm, vehicle axes at full size."""

    row: int
    """Its number in the table, from 1; the head is row 1."""
    line: str
    x: float
    y: float
    """As typed: a half-breadth counts outward, to whichever side its line is on."""
    z: float


class LineTable(Fact):
    """A table that the job keeps, and the lines that it gives, at full size in vehicle axes."""

    name: str
    """Of its file."""
    sha256: str
    """Digest of the file's bytes."""
    sigma: float
    """mm, how sure its figures are, as typed."""
    lines: tuple[PlacedLine, ...]
    wheelbase: float = 0.0
    """mm, as typed; 0 where nobody said."""
    findings: tuple[Finding, ...] = ()
    """Rows that were left out, and what was made of the others."""


class TableAgainstPictures(Fact):
    """How far a table and the pictures disagree about one line before they were merged."""

    line: str
    rms: float
    """mm, over the table's places."""
    most: float
    most_at: Numbers
    """(3,) the table's place where they differ most."""
    doubt: float
    """mm, standard error of the difference that both explain there."""
