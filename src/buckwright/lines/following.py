"""A line drawn to given places as a batten goes: with the least change of curvature of its move."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.remap import refine_knots
from buckwright.geometry.spline import basis_matrix, curvature_extrema, spline_curve
from buckwright.model.lines import Line

__all__ = ["drawn_by", "free_control", "with_control"]

Array = NDArray[np.float64]

MISSED = 1e-7
"""mm by which a place may be missed before the line gets more knots."""


def free_control(line: Line) -> Array:
    """(m, 3) control points without those that a closed line repeats."""
    control = np.asarray(line.control, dtype=np.float64)
    return control[: len(control) - line.degree] if line.closed else control


def with_control(line: Line, knots: Array, free: Array) -> Line:
    """The line on these knots and free control points, its turns of curvature counted anew."""
    curve = spline_curve(knots, free, line.degree, closed=line.closed)
    turns = curvature_extrema(curve, closed=line.closed)
    update = {"knots": knots, "control": np.asarray(curve.c), "curvature_extrema": turns}
    return line.model_copy(update=update)


def drawn_by(line: Line, at: Array, moves: Array) -> Line:
    """The line moved by `moves` (n, 3) at parameters `at` (n,), and as smoothly as can be between.

    The move is a spline on the line's own knots, so the line keeps its continuity; where the
    knots are too few for the places, more are put in.
    """
    knots, free = np.asarray(line.knots), free_control(line)
    change, missed = _least_change(line, knots, at, moves)
    if missed > MISSED:
        spans = np.unique(knots[(knots >= 0.0) & (knots <= 1.0)])
        middles = 0.5 * (spans[1:] + spans[:-1])
        knots, free = refine_knots(line.curve(), middles, closed=line.closed)
        change, _ = _least_change(line, knots, at, moves)
    return with_control(line, knots, free + change)


def _least_change(line: Line, knots: Array, at: Array, moves: Array) -> tuple[Array, float]:
    """(m, 3) move of the control points, and by how many mm it misses a place at most."""
    order = min(3, line.degree)
    spans = np.unique(knots[(knots >= 0.0) & (knots <= 1.0)])
    middles, lengths = 0.5 * (spans[1:] + spans[:-1]), np.diff(spans)
    third = basis_matrix(knots, line.degree, middles, derivative=order, closed=line.closed)
    third = third * np.sqrt(lengths)[:, None]
    energy = third.T @ third
    held = basis_matrix(knots, line.degree, at, closed=line.closed)
    count = len(energy)
    # Places decide alone; the energy is scaled to them so that the system is well conditioned.
    energy = energy / np.trace(energy) * count
    system = np.block([[energy, held.T], [held, np.zeros((len(at), len(at)))]])
    goal = np.vstack([np.zeros((count, 3)), moves])
    change = np.linalg.lstsq(system, goal, rcond=1e-14)[0][:count]
    return change, float(np.abs(held @ change - moves).max(initial=0.0))
