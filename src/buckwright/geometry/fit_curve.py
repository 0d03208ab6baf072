"""A smooth curve through close points: the fewest even knots that stay within a tolerance."""

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_lsq_spline

from buckwright.geometry.polyline import arc_lengths
from buckwright.geometry.spline import basis_matrix, even_knots, spline_curve

__all__ = ["fit_close_points"]

Array = NDArray[np.float64]


def _least_squares(knots: Array, degree: int, at: Array, values: Array, *, closed: bool) -> BSpline:
    if not closed:
        return make_lsq_spline(at, values, knots, k=degree)
    basis = basis_matrix(knots, degree, at, closed=True)
    square = basis.T @ basis
    square[np.diag_indices_from(square)] += 1e-12 * np.trace(square) / len(square)
    control = np.asarray(np.linalg.solve(square, basis.T @ values), dtype=np.float64)
    return spline_curve(knots, control, degree, closed=True)


def fit_close_points(
    points: Array, also: Array, *, tolerances: tuple[float, float], closed: bool, degree: int = 5
) -> BSpline:
    """Spline of (3 + k) dimensions through `points` (n, 3) and `also` (n, k), by chord length.

    Least squares over the coarsest even knots, 80 mm apart and then half of that each time, for
    which no point is missed by more than its tolerance; at the finest there is still more than
    one point to a span, so that noise from point to point is not followed. Coincident
    neighbours are dropped. Raises ValueError for fewer than two distinct points.
    """
    if closed:
        apart = np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1)
    else:
        apart = np.concatenate([[1.0], np.linalg.norm(np.diff(points, axis=0), axis=1)])
    keep = apart > 1e-6
    points, also = points[keep], also[keep]
    if len(points) < 2:
        message = "a curve needs two distinct points at least"
        raise ValueError(message)
    along = arc_lengths(points, closed=closed)
    total, at = float(along[-1]), along[: len(points)]
    values = np.hstack([points, also])
    widest = float(np.diff(along).max())
    # With few points a lower degree, so that the curve does not swing between them.
    degree = min(degree, max((len(points) - 1) // 2, 2), len(points) - 1)
    least = 2 * degree + 1 if closed else 1
    spans = max(least, round(total / 80.0))
    # Every span holds a point, and there are more points than unknowns.
    most = max(least, min(int(total / (1.3 * widest)), (len(points) - degree) // 2))
    while True:
        spans = min(spans, most)
        count = spans if closed else spans + degree
        knots = even_knots(count, degree, 0.0, total, closed=closed)
        curve = _least_squares(knots, degree, at, values, closed=closed)
        missed = np.abs(curve(at) - values)
        good = missed[:, :3].max() <= tolerances[0] and missed[:, 3:].max() <= tolerances[1]
        if good or spans >= most:
            return curve
        spans *= 2
