"""A line measured along itself."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.polyline import arc_lengths
from buckwright.model.lines import Line

__all__ = ["Ruler"]

Array = NDArray[np.float64]


class Ruler:
    """A line measured along itself."""

    def __init__(self, line: Line, step: float) -> None:
        self.line = line
        curve = line.curve()
        rough = float(arc_lengths(np.asarray(curve(np.linspace(0.0, 1.0, 400))))[-1])
        self.at = np.linspace(0.0, 1.0, max(400, int(16 * rough / step)) + 1)
        self.points = np.asarray(curve(self.at), dtype=np.float64)
        self.along = arc_lengths(self.points)
        self.length = float(self.along[-1])

    def distance(self, parameter: float) -> float:
        """Distance along the line at a parameter, mm."""
        return float(np.interp(parameter, self.at, self.along))

    def between(self, start: float, end: float, count: int) -> Array:
        """`count` + 1 points evenly spaced between two distances; the second may pass the end."""
        wanted = np.linspace(start, end, count + 1)
        if self.line.closed:
            wanted = np.mod(wanted, self.length)
        return np.asarray(self.line.curve()(np.interp(wanted, self.along, self.at)))
