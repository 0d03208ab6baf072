"""A moved line laid back on the surface that the lines around it show.

A window moved up a side that leans in must go inward too. The surface is not known yet, so a
quadric is fitted through the line and its neighbours, and how the line stood off it is kept.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from buckwright.geometry.spline import basis_matrix
from buckwright.lines.following import free_control, with_control
from buckwright.model.lines import Line

__all__ = ["on_surface"]

Array = NDArray[np.float64]

SAMPLES = 240
ROOM = 0.35
"""Share of the line's size within which neighbours show the surface, along it and across."""
OFF = 0.01
"""Share of the line's size off the quadric from which a point counts less and less."""


def on_surface(line: Line, moved: Line, around: Array) -> Line:
    """The moved line, shifted along the normal of its plane as the surface there asks.

    Parameters: `line` before its move; `around` (n, 3) points of other lines. Exact where the
    surface is a quadric over the line's plane.
    """
    at = np.linspace(0.0, 1.0, SAMPLES, endpoint=not line.closed)
    old, new = (np.asarray(one.curve()(at), dtype=np.float64) for one in (line, moved))
    centre = old.mean(axis=0)
    axes = np.linalg.svd(old - centre)[2]
    size = float(np.ptp((old - centre) @ axes[:2].T, axis=0).max())
    before, after = ((points - centre) @ axes.T / size for points in (old, new))
    near = (around.reshape(-1, 3) - centre) @ axes.T / size
    every = np.vstack([before, after])[:, :2]
    low, high = every.min(axis=0) - ROOM, every.max(axis=0) + ROOM
    inside = np.all((near[:, :2] > low) & (near[:, :2] < high), axis=1)
    shown = np.vstack([before, near[inside & (np.abs(near[:, 2]) < ROOM)]])
    shape = _fitted(shown)
    rise = (_quadric(after[:, :2]) - _quadric(before[:, :2])) @ shape
    lift = size * (rise - (after[:, 2] - before[:, 2]))
    knots = np.asarray(moved.knots)
    basis = basis_matrix(knots, moved.degree, at, closed=moved.closed)
    heights = np.linalg.lstsq(basis, lift, rcond=None)[0]
    return with_control(moved, knots, free_control(moved) + heights[:, None] * axes[2])


def _fitted(shown: Array) -> Array:
    """(6,) the quadric through the points; those of other bodies nearby (a wing) count little."""
    system, height = _quadric(shown[:, :2]), shown[:, 2]
    start = np.linalg.lstsq(system, height, rcond=1e-9)[0]
    return np.asarray(
        least_squares(
            lambda shape: system @ shape - height,
            start,
            jac=lambda _: system,
            loss="cauchy",
            f_scale=OFF,
            xtol=1e-14,
            ftol=1e-14,
            gtol=1e-14,
        ).x
    )


def _quadric(places: Array) -> Array:
    u, v = places.T
    return np.column_stack([np.ones(len(u)), u, v, u * u, u * v, v * v])
