"""Lines that are exact to a spline: rings, straight runs, and curves fitted through many points."""

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import make_interp_spline

from buckwright.geometry.spline import even_knots, spline_curve
from buckwright.model.lines import Line

Array = NDArray[np.float64]


def ring(name: str, centre: tuple[float, float, float], radius: float, *, normal: int = 1) -> Line:
    """A closed cubic through a circle, round to 1e-5 of its radius; square on axis `normal`."""
    turn = 2.0 * np.pi * np.arange(64) / 64
    flat = np.column_stack([np.cos(turn), np.sin(turn)]) * radius
    points = np.insert(flat, normal, 0.0, axis=1) + centre
    wrapped = np.vstack([points, points[:1]])
    curve = make_interp_spline(np.linspace(0.0, 1.0, 65), wrapped, k=3, bc_type="periodic")
    return Line(name=name, degree=3, knots=curve.t, control=curve.c, closed=True, sigma=0.1)


def straight(name: str, start: tuple[float, float, float], end: tuple[float, float, float]) -> Line:
    """A straight line with even speed."""
    knots = even_knots(20, 3, 0.0, 1.0, closed=False)
    means = np.array([knots[k + 1 : k + 4].mean() for k in range(20)])
    control = np.array(start) + means[:, None] * (np.array(end) - np.array(start))
    curve = spline_curve(knots, control, 3, closed=False)
    return Line(name=name, degree=3, knots=curve.t, control=curve.c, closed=False, sigma=0.1)


def through(name: str, points: Array, *, closed: bool = False) -> Line:
    """The cubic spline through points (n, 3) at even parameters; a closed one repeats none."""
    if closed:
        points = np.vstack([points, points[:1]])
    at = np.linspace(0.0, 1.0, len(points))
    kind = "periodic" if closed else "not-a-knot"
    curve = make_interp_spline(at, points, k=3, bc_type=kind)
    return Line(name=name, degree=3, knots=curve.t, control=curve.c, closed=closed, sigma=0.1)
