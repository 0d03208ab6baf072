"""One coordinate of a spline curve sent through a function that is the identity, or a shift, in
parts: what lies in those parts keeps its control points to the last digit but for the shift.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, PPoly

from buckwright.geometry.spline import basis_matrix, domain

__all__ = ["refine_knots", "remap_coordinate"]

Array = NDArray[np.float64]

ZONE_SPANS = 24
"""Knot spans laid into each piece of curve that is remapped; error below 1e-6 of the shift."""


def refine_knots(curve: BSpline, more: Array, *, closed: bool) -> tuple[Array, Array]:
    """Knots with `more` inserted, and the (m, d) free control points of the same curve on them.

    `more` must lie inside the domain and be new. Found by interpolation at the knots' means,
    which is exact because the new splines hold the old.
    """
    degree = curve.k
    start, end = domain(curve)
    if closed:
        one_round = curve.t[degree : -degree - 1]
        inner = np.sort(np.concatenate([one_round, more]))
        count, period = len(inner), end - start
        steps = np.arange(-degree, count + degree + 1)
        knots = inner[steps % count] + period * (steps // count)
    else:
        knots = np.sort(np.concatenate([curve.t, more]))
        count = len(knots) - degree - 1
    means = np.array([knots[k + 1 : k + degree + 1].mean() for k in range(count)])
    held = start + np.mod(means - start, end - start) if closed else means
    matrix = basis_matrix(knots, degree, held, closed=closed)
    points = np.asarray(curve(held), dtype=np.float64)
    return knots, np.asarray(np.linalg.solve(matrix, points), dtype=np.float64)


def remap_coordinate(
    curve: BSpline,
    axis: int,
    function: Callable[[Array], Array],
    breaks: Array,
    rigid: Callable[[Array], NDArray[np.bool_]],
    *,
    closed: bool,
) -> tuple[Array, Array]:
    """Knots and free control points (m, d) of the curve with coordinate `axis` remapped.

    Parameters: `breaks` are the coordinates between which the function changes its kind; `rigid`
    says where it is a plain shift. The function must have as many continuous derivatives as the
    curve's knots leave it, two for a cubic.
    """
    cuts = _crossings(curve, axis, breaks, closed=closed)
    start, end = domain(curve)
    ends = np.unique(np.concatenate([[start], cuts, [end]]))
    middles = 0.5 * (ends[1:] + ends[:-1])
    bent = ~rigid(np.asarray(curve(middles))[:, axis])
    if not np.any(bent):
        control = np.array(curve.c[: len(curve.c) - curve.k] if closed else curve.c)
        shift = function(np.asarray(curve(middles[:1]))[:, axis]) - curve(middles[:1])[:, axis]
        control[:, axis] += shift[0]
        return np.asarray(curve.t), control
    pieces = list(zip(ends[:-1][bent], ends[1:][bent], strict=True))
    more = [np.linspace(a, b, ZONE_SPANS + 1)[1:-1] for a, b in pieces]
    wanted = np.unique(np.concatenate([cuts, *more]))
    apart = np.abs(wanted[:, None] - curve.t).min(axis=1)
    knots, control = refine_knots(curve, wanted[apart > 1e-9 * (end - start)], closed=closed)
    control[:, axis] = _fitted(curve, axis, function, knots, control[:, axis], pieces, closed)
    return knots, control


def _crossings(curve: BSpline, axis: int, values: Array, *, closed: bool) -> Array:
    """Sorted parameters at which the coordinate takes one of the values."""
    start, end = domain(curve)
    scalar = BSpline(curve.t, np.ascontiguousarray(curve.c[:, axis]), curve.k, extrapolate=False)
    pieces = PPoly.from_spline(scalar)
    found = [pieces.solve(float(value), extrapolate=False) for value in values]
    every: Array = np.unique(np.concatenate([np.empty(0), *found]))
    every = every[np.isfinite(every) & (every > start) & (every < end)]
    # Roots are found twice on the border of two spans.
    apart = np.diff(every, prepend=-np.inf)
    return np.asarray(every[apart > 1e-9 * (end - start)])


def _fitted(
    curve: BSpline,
    axis: int,
    function: Callable[[Array], Array],
    knots: Array,
    old: Array,
    pieces: list[tuple[float, float]],
    closed: bool,
) -> Array:
    """(m,) control values: shifted where they touch a rigid part, fitted where they do not."""
    degree = curve.k
    start, end = domain(curve)
    spans = np.unique(knots[(knots >= start) & (knots <= end)])
    middles = 0.5 * (spans[1:] + spans[:-1])
    inside = np.zeros(len(middles), dtype=bool)
    for a, b in pieces:
        inside |= (middles > a) & (middles < b)
    touches = basis_matrix(knots, degree, middles, closed=closed) > 0.0
    value = np.asarray(curve(middles))[:, axis]
    shift = function(value) - value
    fixed = touches[~inside].any(axis=0)
    control = old.copy()
    for k in np.flatnonzero(fixed):
        control[k] += shift[~inside & touches[:, k]][0]
    free = np.flatnonzero(~fixed)
    nodes, _ = np.polynomial.legendre.leggauss(4)
    half = 0.5 * np.diff(spans)[inside]
    at = (middles[inside][:, None] + half[:, None] * nodes).ravel()
    at = np.concatenate([at, spans])
    at = at[[any(a <= t <= b for a, b in pieces) for t in at]]
    basis = basis_matrix(knots, degree, at, closed=closed)
    goal = function(np.asarray(curve(at))[:, axis]) - basis[
        :, ~np.isin(np.arange(len(old)), free)
    ] @ (np.delete(control, free))
    control[free] = np.linalg.lstsq(basis[:, free], goal, rcond=None)[0]
    return control
