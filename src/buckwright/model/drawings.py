"""Sheets: what is drawn, before any file format.

A sheet is drawn once, in millimetres at full size, y up, and written by several writers.
"""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.lettering import lettering_width
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

    def corners(self) -> NDArray[np.float64]:
        """(4, 2) corners of the room that the words take, tails of letters included."""
        width, low, high = lettering_width(self.text, self.height), -0.35, 1.2
        local = np.array([[0.0, low], [0.0, high], [0.0, high], [0.0, low]]) * self.height
        local[2:, 0] = width
        cosine, sine = np.cos(self.angle), np.sin(self.angle)
        return np.asarray(local @ np.array([[cosine, sine], [-sine, cosine]]) + self.at)


class Sheet(Fact):
    """One full-size drawing."""

    name: str
    """ASCII, short, unique: file names and layer names come from it."""
    title: str
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...] = ()
    notes: tuple[str, ...] = ()
    """Sentences printed beside the title: cautions, doubts, how to use."""
    kind: Literal["elevation", "opening", "wire", "frame", "board", "blank", "gauge", "check"] = (
        "elevation"
    )
    cut_file: bool = False
    """True when a machine or scissors follow it: it is also written as DXF."""

    def box(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Lower left and upper right corner (2,) of all that is drawn, words included.

        Raises ValueError for an empty sheet.
        """
        points = np.vstack([*(s.points for s in self.strokes), *(w.corners() for w in self.labels)])
        return points.min(axis=0), points.max(axis=0)
