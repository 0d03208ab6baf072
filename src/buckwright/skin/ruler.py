"""A line measured along itself, in millimetres and in steps of its samples."""

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from buckwright.geometry.polyline import arc_lengths
from buckwright.model.lines import Line

__all__ = ["Ruler"]

Array = NDArray[np.float64]

SAG, FINEST = 0.015, 2.0
"""Where a line bends, steps are shortened until chords lie no farther from it than this share of
the step; but no step becomes shorter than the whole one over this."""
FINE = 16
"""Points of the ruler to a step."""


class Ruler:
    """A line with a table of distances along it, and of steps of about `step` mm."""

    def __init__(self, line: Line, step: float) -> None:
        self.line = line
        curve = line.curve()
        rough = float(arc_lengths(np.asarray(curve(np.linspace(0.0, 1.0, 400))))[-1])
        self.at = np.linspace(0.0, 1.0, max(400, int(FINE * rough / step)) + 1)
        self.points = np.asarray(curve(self.at), dtype=np.float64)
        self.along = arc_lengths(self.points)
        self.length = float(self.along[-1])
        density = self._density(step)
        pieces = 0.5 * (density[1:] + density[:-1]) * np.diff(self.along)
        self._steps = np.concatenate([[0.0], np.cumsum(pieces)])

    def _density(self, step: float) -> Array:
        """Steps per mm at each point of the ruler, changing gently."""
        curve = self.line.curve()
        first, second = np.asarray(curve(self.at, nu=1)), np.asarray(curve(self.at, nu=2))
        speed = np.maximum(np.linalg.norm(first, axis=1), 1e-12)
        bend = np.linalg.norm(np.cross(first, second), axis=1) / speed**3
        # A chord of length s on a bend k lies k s^2 / 8 inside it.
        shorter = np.sqrt(bend * step / (8.0 * SAG))
        mode = "wrap" if self.line.closed else "nearest"
        return np.asarray(
            gaussian_filter1d(np.clip(shorter, 1.0, FINEST), 1.5 * FINE, mode=mode) / step
        )

    def distance(self, parameter: float) -> float:
        """Distance along the line at a parameter, mm."""
        return float(np.interp(parameter, self.at, self.along))

    def steps(self, start: float, end: float) -> float:
        """Steps between two distances; the second may pass the end of a closed line."""
        turns, rest = divmod(end, self.length) if self.line.closed else (0.0, end)
        low, high = np.interp([start, rest], self.along, self._steps)
        return float(turns * self._steps[-1] + high - low)

    def between(self, start: float, end: float, count: int) -> Array:
        """`count` + 1 distances, evenly spaced in steps, from one to another."""
        first = float(np.interp(start, self.along, self._steps))
        wanted = first + np.linspace(0.0, self.steps(start, end), count + 1)
        turns, rest = np.divmod(wanted, self._steps[-1]) if self.line.closed else (0.0, wanted)
        found = turns * self.length + np.interp(rest, self._steps, self.along)
        found[0], found[-1] = start, end
        return np.asarray(found)

    def places(self, along: Array) -> Array:
        """(k, 3) points at distances along the line."""
        inside = np.mod(along, self.length) if self.line.closed else along
        return np.asarray(self.line.curve()(np.interp(inside, self.along, self.at)))
