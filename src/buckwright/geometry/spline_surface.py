"""Tensor-product B-spline surfaces, fitted to points over a plane chart or laid through a grid."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.interpolate import BSpline, make_interp_spline

from buckwright.geometry.flat_start import factor_positive

__all__ = ["SplineSurface", "fit_surface", "surface_through"]

Array = NDArray[np.float64]

DEGREE = 3
STIFF = 1e-5
"""Weight of the third differences of control points against one mean squared distance."""


@dataclass(frozen=True, eq=False, slots=True)
class SplineSurface:
    """A bicubic surface; both knot vectors end with full multiplicity.

    Attributes: knots_u (nu + 4,), knots_v (nv + 4,), control (nu, nv, 3).
    """

    knots_u: Array
    knots_v: Array
    control: Array

    def points(self, chart: Array, *, along: tuple[int, int] = (0, 0)) -> Array:
        """(k, 3) points, or derivatives of the orders `along` (u, v), at chart points (k, 2)."""
        rows = [
            _basis(knots, at, order)
            for knots, at, order in zip((self.knots_u, self.knots_v), chart.T, along, strict=True)
        ]
        matrix = _rows_together(rows[0], rows[1])
        return np.asarray(matrix @ self.control.reshape(-1, 3))

    def normals(self, chart: Array) -> Array:
        """(k, 3) unit normals, u cross v."""
        cross = np.cross(self.points(chart, along=(1, 0)), self.points(chart, along=(0, 1)))
        return np.asarray(cross / np.linalg.norm(cross, axis=1, keepdims=True))


def fit_surface(chart: Array, points: Array, *, weights: Array, spacing: float) -> SplineSurface:
    """The smoothest surface close to points (k, 3) over chart places (k, 2).

    Knots lie about `spacing` apart and reach one spacing beyond the places; there, and in holes,
    the surface goes on smoothly. `weights` (k,) say how closely each point is followed.
    Reference: Eilers and Marx, 'Flexible smoothing with B-splines and penalties', Statistical
    Science 11 (1996), doi:10.1214/ss/1038425655, with third differences in two directions.
    """
    knots = [_even_knots(chart[:, k], spacing) for k in range(2)]
    matrix = _rows_together(*(_basis(t, chart[:, k], 0) for k, t in enumerate(knots)))
    counts = [len(t) - DEGREE - 1 for t in knots]
    weighed = sparse.diags(weights / weights.mean()) @ matrix
    normal = matrix.T @ weighed + STIFF * _roughness(*counts)
    control = factor_positive(normal).solve(weighed.T @ points).reshape(*counts, 3)
    ends = []
    for axis in range(2):
        clamped, control = _clamped(knots[axis], control, axis)
        ends.append(clamped)
    return SplineSurface(ends[0], ends[1], control)


def surface_through(points: Array, u: Array, v: Array) -> SplineSurface:
    """The bicubic surface through a grid of points (k, p, 3) at ticks u (k,) and v (p,), each
    rising, four at least.
    """
    along = make_interp_spline(u, points, k=DEGREE, axis=0)
    both = make_interp_spline(v, along.c, k=DEGREE, axis=1)
    return SplineSurface(along.t, both.t, np.ascontiguousarray(np.moveaxis(both.c, 0, 1)))


def _even_knots(at: Array, spacing: float) -> Array:
    low, high = float(at.min()) - spacing, float(at.max()) + spacing
    spans = max(int(np.ceil((high - low) / spacing)), DEGREE + 1)
    step = (high - low) / spans
    return np.asarray(low + step * np.arange(-DEGREE, spans + DEGREE + 1), dtype=np.float64)


def _basis(knots: Array, at: Array, order: int) -> sparse.csr_matrix:
    """(k, n) basis functions or their derivatives."""
    if order == 0:
        return sparse.csr_matrix(BSpline.design_matrix(at, knots, DEGREE))
    inner = BSpline.design_matrix(at, knots[order:-order], DEGREE - order)
    count = len(knots) - DEGREE - 1
    change = sparse.identity(count, format="csr")
    for k in range(1, order + 1):
        # Derivative of a spline: differences of its control points over knot widths.
        degree = DEGREE - k + 1
        width = knots[k + degree : k + degree + count - k] - knots[k : k + count - k]
        scale = np.divide(degree, width, out=np.zeros_like(width), where=width > 0.0)
        step = sparse.diags([-scale, scale], [0, 1], shape=(count - k, count - k + 1))
        change = step @ change
    return sparse.csr_matrix(inner @ change)


def _rows_together(first: sparse.csr_matrix, second: sparse.csr_matrix) -> sparse.csr_matrix:
    """(k, n * m) products of the entries of rows, as for functions of two variables."""
    k, m = second.shape
    a = np.diff(first.indptr)
    b = np.diff(second.indptr)
    i = np.repeat(np.arange(first.nnz), np.repeat(b, a))
    starts = np.repeat(second.indptr[:-1], a)
    sizes = np.repeat(b, a)
    offset = np.arange(len(i)) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    j = np.repeat(starts, sizes) + offset
    rows = np.repeat(np.arange(k), a * b)
    values = first.data[i] * second.data[j]
    columns = first.indices[i].astype(np.int64) * m + second.indices[j]
    return sparse.csr_matrix((values, (rows, columns)), shape=(k, first.shape[1] * m))


def _roughness(rows: int, columns: int) -> sparse.csr_matrix:
    """Squared third differences of a grid of control points, all four kinds."""
    total = sparse.csr_matrix((rows * columns, rows * columns))
    for order, weight in zip(((3, 0), (2, 1), (1, 2), (0, 3)), (1.0, 3.0, 3.0, 1.0), strict=True):
        first, second = (_differences(n, o) for n, o in zip((rows, columns), order, strict=True))
        step = sparse.kron(first, second, format="csr")
        total = total + weight * (step.T @ step)
    return sparse.csr_matrix(total)


def _differences(count: int, order: int) -> sparse.csr_matrix:
    matrix = sparse.identity(count, format="csr")
    for k in range(order):
        size = count - k
        step = sparse.diags([-1.0, 1.0], [0, 1], shape=(size - 1, size))
        matrix = step @ matrix
    return sparse.csr_matrix(matrix)


def _clamped(knots: Array, control: Array, axis: int) -> tuple[Array, Array]:
    """The same surface with the knots at both ends of one axis repeated in full."""
    curve = BSpline(knots, np.moveaxis(control, axis, 0), DEGREE)
    start, end = float(knots[DEGREE]), float(knots[-DEGREE - 1])
    for at in (start, end):
        curve = curve.insert_knot(at, DEGREE)
    first = int(np.searchsorted(curve.t, start, side="left"))
    last = int(np.searchsorted(curve.t, end, side="right"))
    inner = curve.t[first:last]
    count = len(inner) - DEGREE - 1
    return inner, np.moveaxis(np.asarray(curve.c[first : first + count]), 0, axis)
