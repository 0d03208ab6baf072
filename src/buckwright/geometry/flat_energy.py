"""Energy of a flat shape of a mesh, its slope and its positive second derivatives."""

from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from buckwright.geometry.factor import elimination_order
from buckwright.geometry.strain import (
    Measure,
    Stretch,
    map_matrices,
    shape_gradients,
    stretch_of,
)

__all__ = ["FlatEnergy", "longest_step"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_EVEN = 1e-9
"""A triangle stretched so nearly alike all round has no direction of its own."""


def _cross(u: Array, v: Array) -> Array:
    return np.asarray(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])


def longest_step(flat: Array, triangles: Index, step: Array) -> float:
    """The least t > 0 at which a triangle of flat + t step loses its area; inf if none does.

    All triangles of `flat` (n, 2) are counter-clockwise. Along a straight step the area of a
    triangle is a quadratic of t.
    """
    a, b, c = (triangles[:, k] for k in range(3))
    u, v = flat[b] - flat[a], flat[c] - flat[a]
    du, dv = step[b] - step[a], step[c] - step[a]
    c0, c1, c2 = _cross(u, v), _cross(u, dv) + _cross(du, v), _cross(du, dv)
    root = c1 * c1 - 4.0 * c0 * c2
    real = root >= 0.0
    # The form without cancellation: the least positive root of c0 + c1 t + c2 t^2.
    down = -c1[real] + np.sqrt(root[real])
    up = -c1[real] - np.sqrt(root[real])
    with np.errstate(divide="ignore", invalid="ignore"):
        times = np.stack([2.0 * c0[real] / down, 2.0 * c0[real] / up])
    times = times[np.isfinite(times) & (times > 0.0)]
    return float(times.min()) if len(times) else float("inf")


class FlatEnergy:
    """The integral of an isotropic measure over a mesh in space, for flat shapes of it.

    Build once for a mesh; `measure` may be changed at any time. The unknowns are ordered
    (x0, y0, x1, y1, ...).
    """

    def __init__(self, vertices: Array, triangles: Index, measure: Measure) -> None:
        self.triangles, self.measure = triangles, measure
        self.areas, gradients = shape_gradients(vertices, triangles)
        self.matrices = map_matrices(gradients)
        self.count = len(vertices)
        rows, columns = np.repeat(triangles, 3, axis=1), np.tile(triangles, (1, 3))
        pairs, inverse = np.unique(rows * self.count + columns, return_inverse=True)
        self._block = inverse.ravel()
        self._columns = pairs % self.count
        self._starts = np.searchsorted(pairs, np.arange(self.count + 1) * self.count)

    @cached_property
    def elimination(self) -> Index:
        """(2 n,) the order in which the unknowns of this mesh's systems are best taken."""
        return elimination_order(self.triangles, self.count)

    def logs(self, flat: Array) -> tuple[Array, Array] | None:
        """Principal log strains of each triangle, larger first; None if one is flipped."""
        stretch = stretch_of(flat, self.triangles, self.matrices)
        return stretch.logs() if np.all(stretch.minor > 0.0) else None

    def value(self, flat: Array) -> float:
        """The energy; inf if a triangle is flipped."""
        logs = self.logs(flat)
        return float("inf") if logs is None else float(self.areas @ self.measure(*logs)[0])

    def derivatives(self, flat: Array) -> tuple[float, Array, sparse.bsr_matrix]:
        """Energy, slope (2 n,), and second derivatives made positive, (2 n, 2 n).

        No triangle of `flat` may be flipped.
        """
        stretch = stretch_of(flat, self.triangles, self.matrices)
        value, slopes, bends, mix = _second(stretch, self.measure)
        turn, skew = _units(stretch)
        parts = self.matrices
        along_q = np.einsum("mi,mij->mj", turn, parts[:, :2])
        across_q = turn[:, 0, None] * parts[:, 1] - turn[:, 1, None] * parts[:, 0]
        along_r = np.einsum("mi,mij->mj", skew, parts[:, 2:])
        across_r = skew[:, 0, None] * parts[:, 3] - skew[:, 1, None] * parts[:, 2]
        slopes = self.areas * slopes
        slope = slopes[0][:, None] * along_q + slopes[1][:, None] * along_r
        cosine, sine = mix[:, :, None]
        axes = [cosine * along_q + sine * along_r, cosine * along_r - sine * along_q]
        frame = np.stack([*axes, across_q, across_r], axis=1)
        weighed = frame * (self.areas[:, None] * bends)[:, :, None]
        second = np.swapaxes(frame, 1, 2) @ weighed
        return float(self.areas @ value), self._gather(slope), self.assemble(second)

    def assemble(self, elements: Array) -> sparse.bsr_matrix:
        """(2 n, 2 n) sum of the triangles' matrices (m, 6, 6)."""
        data = np.empty((len(self._columns), 2, 2))
        for p in range(2):
            for q in range(2):
                part = elements[:, p::2, q::2].ravel()
                data[:, p, q] = np.bincount(self._block, part, minlength=len(data))
        size = 2 * self.count
        return sparse.bsr_matrix((data, self._columns, self._starts), shape=(size, size))

    def _gather(self, elements: Array) -> Array:
        total = [
            np.bincount(self.triangles.ravel(), elements[:, k::2].ravel(), minlength=self.count)
            for k in range(2)
        ]
        return np.asarray(np.stack(total, axis=1).ravel(), dtype=np.float64)


def _units(stretch: Stretch) -> tuple[Array, Array]:
    """Unit vectors along turn and skew; any one where there is no skew."""
    q, r = 0.5 * (stretch.major + stretch.minor), 0.5 * (stretch.major - stretch.minor)
    even = (r <= _EVEN * q)[:, None]
    skew = np.where(even, [1.0, 0.0], stretch.skew / np.where(even[:, 0], 1.0, r)[:, None])
    return stretch.turn / q[:, None], skew


def _second(stretch: Stretch, measure: Measure) -> tuple[Array, Array, Array, Array]:
    """What the measure does along turn and skew, Q and R being their lengths.

    Returns: value (m,); slopes (2, m) by Q and R; the four second derivatives, at least 0, (m, 4):
    two in the plane of Q and R, across Q, across R; and (2, m) cosine and sine of the first one's
    direction in that plane.
    """
    s1, s2 = stretch.major, stretch.minor
    value, g1, g2, g11, g12, g22 = measure(*stretch.logs())
    d1, d2 = g1 / s1, g2 / s2
    d11, d12, d22 = (g11 - g1) / s1**2, g12 / (s1 * s2), (g22 - g2) / s2**2
    q, r = 0.5 * (s1 + s2), 0.5 * (s1 - s2)
    even = r <= _EVEN * q
    by_q, by_r = d1 + d2, np.where(even, 0.0, d1 - d2)
    qq, qr, rr = d11 + 2.0 * d12 + d22, d11 - d22, d11 - 2.0 * d12 + d22
    across_r = np.where(even, rr, by_r / np.where(even, 1.0, r))
    angle = 0.5 * np.arctan2(2.0 * qr, qq - rr)
    mean, half = 0.5 * (qq + rr), np.hypot(0.5 * (qq - rr), qr)
    bends = np.stack([mean + half, mean - half, by_q / q, across_r], axis=1)
    mix = np.stack([np.cos(angle), np.sin(angle)])
    return value, np.stack([by_q, by_r]), np.maximum(bends, 0.0), mix
