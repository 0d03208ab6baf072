"""Sheets: what is drawn, before any file format.

A sheet is drawn once, in millimetres at full size, y up, and written by several writers.
"""

from typing import Literal

from buckwright.model.fact import Fact, Points2

__all__ = ["Ink", "Label", "Sheet", "Stroke"]

Ink = Literal[
    "cut", "outline", "crease", "thin", "centre", "mark", "stretch", "shrink", "text", "grid"
]
"""What a line on paper means; each writer has its own pen, layer and colour for it."""


class Stroke(Fact):
    """A polyline at full size."""

    ink: Ink
    points: Points2
    closed: bool = False
    name: str = ""


class Label(Fact):
    """Words on the sheet: `at` is the left end of the base line."""

    at: tuple[float, float]
    text: str
    height: float = 8.0
    """mm of capital letters."""
    angle: float = 0.0
    """rad, counter-clockwise."""


class Sheet(Fact):
    """One full-size drawing."""

    name: str
    """ASCII, short, unique: file names and layer names come from it."""
    title: str
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...] = ()
    notes: tuple[str, ...] = ()
    """Sentences printed beside the title: cautions, doubts, how to use."""
    kind: Literal["elevation", "wire", "frame", "blank", "gauge", "check"] = "elevation"
    cut_file: bool = False
    """True when a machine or scissors follow it: it is also written as DXF."""
