"""Squares marked on a blank, and the lengths that they must have on the finished panel."""

from typing import Literal

from buckwright.model.fact import Fact, Numbers, Points2, Points3

__all__ = ["GridLine", "PanelGrid"]


class GridLine(Fact):
    """One straight line of the grid on the blank, from trim line to trim line."""

    name: str
    """`A`, `B`, ... along the grain from the lower edge; `1`, `2`, ... across it from the left.
    A line that an opening or a bay of the edge divides has parts `A`, `A'`, `A''`."""
    way: Literal["along", "across"]
    crossings: tuple[str, ...]
    """(k,) name of the line crossed at each mark; `edge` at the ends."""
    points: Points2
    """(k, 2) the marks on the blank."""
    places: Points3
    """(k, 3) where they lie on the finished panel."""
    blank_lengths: Numbers
    """(k - 1,) mm from mark to mark on the blank."""
    panel_lengths: Numbers
    """(k - 1,) mm from mark to mark along the line on the finished panel."""
    strip: bool = False
    """Whether a gauge strip is drawn for it."""


class PanelGrid(Fact):
    """The grid of one panel."""

    panel: str
    square: float
    """mm, side of a square on the blank."""
    origin: tuple[float, float]
    """A crossing of the grid, on the blank."""
    lines: tuple[GridLine, ...]
