"""A cubic B-spline in space over its own length, with breaks wherever they are needed."""

from dataclasses import dataclass
from math import factorial

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.polyline import arc_lengths, resample_polyline
from buckwright.geometry.spline import basis_matrix

__all__ = ["Curve", "curve_through", "stretched"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

DEGREE = 3
_FINE = 12
"""Samples to a span where the curve is measured."""


@dataclass(frozen=True, eq=False, slots=True)
class Pieces:
    """The basis functions of s spans as polynomials: cheap to ask often."""

    breaks: Array
    """(s + 1,)."""
    table: Array
    """(4, s, 4) factors of the powers of the way into a span, for each of its control points."""
    column: Index
    """(s, 4) those control points."""
    count: int
    """Of all control points."""
    closed: bool

    def local(self, at: Array) -> tuple[Array, Array, Index]:
        """(m, 4) values and slopes of the functions that are not zero there, (m, 4) whose."""
        length = self.breaks[-1]
        inside = np.mod(at, length) if self.closed else np.clip(at, 0.0, length)
        span = np.searchsorted(self.breaks[1:-1], inside, side="right")
        way = (inside - self.breaks[span])[:, None]
        constant, linear, square, cube = (power[span] for power in self.table)
        value = constant + way * (linear + way * (square + way * cube))
        slope = linear + way * (2.0 * square + 3.0 * way * cube)
        return value, slope, self.column[span]

    def spread(self, local: Array, column: Index) -> Array:
        """(m, n) basis matrix from what `local` gives."""
        basis = np.zeros((len(local), self.count))
        basis[np.arange(len(local))[:, None], column] = local
        return basis


def _pieces(breaks: Array, *, closed: bool) -> Pieces:
    spans = len(breaks) - 1
    count = spans if closed else spans + DEGREE
    knots = _knots(breaks, closed=closed)
    column = (np.arange(spans)[:, None] + np.arange(DEGREE + 1)) % count
    powers = [
        basis_matrix(knots, DEGREE, breaks[:-1], derivative=order, closed=closed) / factorial(order)
        for order in range(DEGREE + 1)
    ]
    table = np.array([power[np.arange(spans)[:, None], column] for power in powers])
    return Pieces(breaks, table, column, count, closed)


@dataclass(frozen=True, eq=False, slots=True)
class Curve:
    """The parameter is nearly the length along the curve, in mm, from 0 to the last break."""

    breaks: Array
    """(s + 1,) ends of the spans, rising from 0."""
    control: Array
    """(n, 3): s + 3 points if open, s if closed."""
    closed: bool
    known: Pieces | None = None
    """Its basis functions, where they were asked for before."""

    @property
    def length(self) -> float:
        """The parameter's range."""
        return float(self.breaks[-1])

    def pieces(self) -> Pieces:
        """Its basis functions as polynomials."""
        return self.known or _pieces(self.breaks, closed=self.closed)

    def moved(self, control: Array) -> "Curve":
        """The curve with other control points on the same breaks."""
        return Curve(self.breaks, control, self.closed, self.pieces())

    def basis(self, at: Array, *, derivative: int = 0) -> Array:
        """(m, n) basis functions or their derivatives at parameters (m,)."""
        knots = _knots(self.breaks, closed=self.closed)
        return basis_matrix(knots, DEGREE, at, derivative=derivative, closed=self.closed)

    def points(self, at: Array) -> Array:
        """(m, 3)."""
        value, _, column = self.pieces().local(at)
        return np.asarray(np.einsum("mk,mkj->mj", value, self.control[column]))

    def moving(self, at: Array) -> tuple[Array, Array]:
        """Points (m, 3) and their slopes by the parameter (m, 3)."""
        value, slope, column = self.pieces().local(at)
        near = self.control[column]
        points = np.einsum("mk,mkj->mj", value, near)
        return np.asarray(points), np.asarray(np.einsum("mk,mkj->mj", slope, near))

    def samples(self) -> Array:
        """(m,) parameters close together, the same number in every span, the end left out."""
        part = np.arange(_FINE) / _FINE
        spans = np.diff(self.breaks)
        inner = (self.breaks[:-1, None] + spans[:, None] * part).ravel()
        return inner if self.closed else np.append(inner, self.length)


def _knots(breaks: Array, *, closed: bool) -> Array:
    if not closed:
        ends = np.full(DEGREE, breaks[0]), np.full(DEGREE, breaks[-1])
        return np.concatenate([ends[0], breaks, ends[1]])
    round_once = breaks[-1] - breaks[0]
    before = breaks[-DEGREE - 1 : -1] - round_once
    after = breaks[1 : DEGREE + 1] + round_once
    return np.concatenate([before, breaks, after])


def curve_through(polyline: Array, spans: int, *, closed: bool) -> Curve:
    """A smooth curve of even spans near a rough polyline (m, 3); gaps in it are bridged."""
    even = resample_polyline(polyline, 12 * spans, closed=closed)
    along = arc_lengths(even, closed=closed)
    breaks = np.linspace(0.0, float(along[-1]), spans + 1, dtype=np.float64)
    return _fitted(even, along[: len(even)], breaks, smoothing=1e-2, closed=closed)


def stretched(curve: Curve, breaks: Array, *, before: float = 0.0, after: float = 0.0) -> Curve:
    """The same curve over its own length, with other breaks, and longer or shorter at its ends.

    Parameters: breaks in the parameter of `curve`; `before` and `after` mm to add at the start
    and the end (negative: to cut off), along the end tangents. Returns a curve that starts at 0.
    """
    fine = curve.samples()
    points = curve.points(fine)
    if not curve.closed:
        fine, points = _with_ends(curve, fine, points, before=before, after=after)
    along = arc_lengths(points, closed=curve.closed)
    places = np.append(fine, curve.length) if curve.closed else fine
    moved = _inside(np.interp(breaks, places, along), float(along[-1]))
    return _fitted(points, along[: len(points)], moved, smoothing=1e-9, closed=curve.closed)


def _inside(breaks: Array, length: float) -> Array:
    """The breaks from 0 to the length; those that were cut off, or nearly, are gone."""
    close = 0.2 * length / len(breaks)
    inner = breaks[(breaks > close) & (breaks < length - close)]
    return np.concatenate([[0.0], inner, [length]])


def _with_ends(
    curve: Curve, fine: Array, points: Array, *, before: float, after: float
) -> tuple[Array, Array]:
    ends = np.array([0.0, curve.length])
    tangent = curve.basis(ends, derivative=1) @ curve.control
    tangent /= np.linalg.norm(tangent, axis=1, keepdims=True)
    keep = (fine >= -before) & (fine <= curve.length + after)
    first, last = -before, curve.length + after
    end_points = curve.points(np.clip([first, last], 0.0, curve.length))
    end_points[0] -= max(before, 0.0) * tangent[0]
    end_points[1] += max(after, 0.0) * tangent[1]
    inner = keep & (fine > first + 1e-9) & (fine < last - 1e-9)
    return (
        np.concatenate([[first], fine[inner], [last]]),
        np.vstack([end_points[:1], points[inner], end_points[1:]]),
    )


def _fitted(points: Array, at: Array, breaks: Array, *, smoothing: float, closed: bool) -> Curve:
    count = len(breaks) - 1 if closed else len(breaks) - 1 + DEGREE
    empty = Curve(breaks, np.zeros((count, 3)), closed)
    basis = empty.basis(at)
    normal = basis.T @ basis
    bend = third_differences(count, closed=closed)
    normal += smoothing * np.trace(normal) / count * (bend.T @ bend)
    normal += 1e-12 * np.trace(normal) * np.eye(count)
    control = np.asarray(np.linalg.solve(normal, basis.T @ points), dtype=np.float64)
    return Curve(breaks, control, closed)


def third_differences(count: int, *, closed: bool) -> Array:
    """(m, count) third differences of the control points, round the end if closed."""
    if closed:
        eye = np.eye(count)
        return np.asarray(
            np.roll(eye, 2, axis=1) * -1.0
            + 3.0 * np.roll(eye, 1, axis=1)
            - 3.0 * eye
            + np.roll(eye, -1, axis=1)
        )
    return np.diff(np.eye(count), 3, axis=0)
