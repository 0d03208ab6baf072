"""Lattices of lines on surfaces known in closed form, whose crossings are known exactly."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.model.lines import LineSpec, PlacedLine

Array = NDArray[np.float64]

RADIUS = 2000.0
"""mm of the ball on whose left side the lattice lies."""


def on_ball(turn: Array | float, rise: Array | float) -> Array:
    """(n, 3) points of the ball; the axis stands up, y < 0."""
    turn, rise = np.broadcast_arrays(turn, rise)
    return RADIUS * np.column_stack(
        [np.cos(rise) * np.cos(turn), -np.cos(rise) * np.sin(turn), np.sin(rise)]
    )


def ball_lattice(
    meridians: int, parallels: int, *, points: int = 24, sigma: float = 0.0, seed: int = 0
) -> tuple[tuple[PlacedLine, ...], tuple[LineSpec, ...]]:
    """Meridians and parallels; sigma is that of the errors (0.02 mm are stated at the least)."""
    rng = np.random.default_rng(seed)
    turns, rises = np.linspace(0.9, 1.9, meridians), np.linspace(0.1, 0.9, parallels)
    along, up = np.linspace(0.85, 1.95, points), np.linspace(0.05, 0.95, points)
    lines = {f"meridian {k}": on_ball(turn, up) for k, turn in enumerate(turns)}
    lines |= {f"parallel {k}": on_ball(along, rise) for k, rise in enumerate(rises)}
    placed = tuple(
        placed_line(name, exact + rng.normal(scale=sigma, size=exact.shape), max(sigma, 0.02))
        for name, exact in lines.items()
    )
    return placed, specs_of(placed)


def placed_line(
    name: str, points: Array | Sequence[Sequence[float]], sigma: float, *, closed: bool = False
) -> PlacedLine:
    """A measured line whose points are all as sure."""
    return PlacedLine(name=name, points=points, sigma=np.full(len(points), sigma), closed=closed)


def specs_of(placed: Sequence[PlacedLine], *, tolerance: float = 0.0) -> tuple[LineSpec, ...]:
    """One spec for each."""
    return tuple(
        LineSpec(name=line.name, closed=line.closed, tolerance=tolerance) for line in placed
    )
