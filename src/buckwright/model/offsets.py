"""The table of offsets, and how far the views agree before lines are drawn together."""

from typing import Literal

from buckwright.model.fact import Fact, Numbers

__all__ = ["Disagreement", "Offset", "OffsetRow"]


class Offset(Fact):
    """Where a line passes a station, as the body now stands; mm."""

    line: str
    station: float
    half_breadth: float
    height: float
    share: float
    """Where along the line, 0 to 1."""


class OffsetRow(Fact):
    """One row of a table that somebody typed; None where a cell was left empty."""

    row: int
    """Its number in the table, from 1; the head is row 1."""
    line: str
    station: float
    half_breadth: float | None = None
    height: float | None = None


class Disagreement(Fact):
    """Two views that say different things of one place, before they were drawn together."""

    line: str
    other: str
    quantity: Literal["station", "half-breadth", "height"]
    """In which they differ most."""
    views: tuple[str, str]
    """What each is read from: 'side elevation', 'plan', 'section', 'left side', 'right side'."""
    says: tuple[float, float]
    """mm, as the body now stands."""
    by: float
    """mm, in all three directions together."""
    doubt: float
    """mm, standard error of the difference: beyond three of them it is no accident."""
    point: Numbers
    """(3,) where, as the body now stands."""

    @property
    def unlikely(self) -> bool:
        """Whether measuring does not explain it."""
        return self.by > 3.0 * self.doubt + 0.1
