"""The batten: a cubic B-spline held by weights at points, with least change of curvature.

What is minimised is  sum_i |c(t_i) - p_i|^2 / sigma_i^2  +  stiffness * integral r |c''' - g|^2 dt,
t in millimetres along the line. For a curve travelled at unit speed the part of c''' across the
curve is the change of curvature; the part along it, -k^2, says nothing about fairness, so `g` is
set to that part of the curve found before: a circle costs nothing, as it should. `r` lets the
batten be limber where the line turns sharply and stiff elsewhere.

Most lines of a body lie nearly in a plane, and what leaves the plane is far smoother than what
turns in it. So there are two stiffnesses: in the plane that lies nearest to the points, and across
it. Reckoned with one, a batten follows errors across the plane as if they were shape.

The three coordinates share one matrix. It is brought to diagonal form once (`lay_batten`); every
stiffness, target and pin after that costs a product of small matrices. What the batten keeps
(`keeping`) is in its modes, none of which can bend a straight run or turn an end that is held.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline
from scipy.linalg import eigh

from buckwright.geometry.spline import basis_matrix, spline_curve
from buckwright.lines.keeping import DEGREE, FREE, Kept, batten_knots, left_free

__all__ = [
    "ALIKE_FIRST",
    "ALIKE_MORE",
    "DEGREE",
    "Batten",
    "alike_points",
    "choose_stiffness",
    "gaps_beside",
    "lay_batten",
]

Array = NDArray[np.float64]

ALIKE_FIRST = 8.0
"""How many neighbouring points are taken to share one error, before that is learned."""

ALIKE_MORE = 1.25
"""What is left of a shared error beside the batten falls off sooner than the error itself."""

MOST_STIFF = 10.5
"""Powers of ten between the least and the greatest stiffness.

Double precision carries no more: the stiffest mode is 10^16 times as stiff as rounding. Stiffer
battens need fewer control points, which is how `fairing` lays them.
"""


@dataclass(frozen=True, eq=False, slots=True)
class Batten:
    """Matrices of one batten. See `lay_batten`.

    n points, m control points none of which is repeated, f modes (m where nothing is kept), q
    spans.
    """

    points: Array
    axes: Array
    """(3, 3) rows: two axes of the plane nearest to the points, and the axis across it."""
    at: Array
    """(n,) parameters of the points, mm."""
    weights: Array
    """(n,) 1 / sigma^2."""
    knots: Array
    closed: bool
    count: int
    """Control points that were asked for; there are m with what is kept."""
    kept: Kept
    fixed: Array
    """(m, 3) what the control points are without any of the modes."""
    basis: Array
    """(n, m)."""
    runs: Array
    """(n, m) its first derivative."""
    middles: Array
    """(q,) middle of each knot span."""
    third: Array
    """(q, m) third derivative of the basis, constant in each span."""
    first: Array
    """(q, m) first derivative at the middles."""
    widths: Array
    """(q,) of the spans, mm."""
    limber: Array
    """(q,) r times the width of the span."""
    modes: Array
    """(m, f) columns in which both quadratic forms are diagonal."""
    bends: Array
    """(f,) bending of each mode, in units in which data + floor * bending = 1."""
    floor: float
    """Least stiffness that is ever used."""
    loads: Array
    """(f, 3) pull of the data on each mode."""
    lean: Array
    """(f, 3) pull, for each unit of stiffness, that takes off the bending of `fixed`."""

    def give(self, stiffness: Array) -> Array:
        """(f, 3) how far each mode gives way to a unit pull along each of the axes."""
        spread = stiffness[[0, 0, 1]]
        return np.asarray(1.0 / (1.0 + (spread - self.floor) * self.bends[:, None]))

    def yield_to(self, pull: Array, stiffness: Array) -> Array:
        """(m, 3) change of the control points under `pull` (f, 3) on the modes."""
        return np.asarray(self.modes @ ((self.give(stiffness) * (pull @ self.axes.T)) @ self.axes))

    def bend(self, stiffness: Array, target: Array | None = None) -> Array:
        """(m, 3) control points of the batten at rest; `target` is g, (q, 3)."""
        spread = stiffness[[0, 0, 1]]
        pull = self.loads + ((self.lean @ self.axes.T) * spread) @ self.axes
        if target is not None:
            force = self.limber[:, None] * ((target @ self.axes.T) * spread)
            pull = pull + self.modes.T @ (self.third.T @ (force @ self.axes))
        return np.asarray(self.fixed + self.yield_to(pull, stiffness))

    def compliance(self, rows: Array, stiffness: Array) -> Array:
        """(3, k, k) how far `rows` (k, m) @ control moves along each axis under unit pulls."""
        seen = rows @ self.modes
        give = self.give(stiffness)
        slack = np.stack([(seen * give[:, axis]) @ seen.T for axis in range(3)])
        ridge = 1e-13 * np.trace(slack, axis1=1, axis2=2)[:, None, None]
        return np.asarray(slack + ridge * np.eye(len(rows)))

    def draw(self, rows: Array, moves: Array, stiffness: Array) -> Array:
        """(m, 3) least change of the control points that moves rows @ control by `moves` (k, 3)."""
        turned = moves @ self.axes.T
        slack = self.compliance(rows, stiffness)
        pull = np.linalg.solve(slack, turned.T[:, :, None])[:, :, 0].T
        return self.yield_to((rows @ self.modes).T @ (pull @ self.axes), stiffness)

    def rows(self, at: Array, *, derivative: int = 0) -> Array:
        """(k, m) basis at parameters."""
        return basis_matrix(self.knots, DEGREE, at, derivative=derivative, closed=self.closed)

    def curve(self, control: Array) -> BSpline:
        """The curve of these control points."""
        return spline_curve(self.knots, control, DEGREE, closed=self.closed)

    def along(self, control: Array) -> Array:
        """(q, 3) g: the part of c''' along the curve."""
        run = self.first @ control
        run = run / np.maximum(np.linalg.norm(run, axis=1, keepdims=True), 1e-300)
        third = self.third @ control
        return np.asarray(np.einsum("ij,ij->i", third, run)[:, None] * run)

    def misfit(self, control: Array) -> float:
        """Weighed sum of squared distances to the points."""
        return float((self.weights[:, None] * (self.basis @ control - self.points) ** 2).sum())

    def bending(self, control: Array, stiffness: Array) -> float:
        """Weighed sum of squared changes of curvature, to be added to the misfit."""
        change = (self.third @ control - self.along(control)) @ self.axes.T
        return float((self.limber[:, None] * change**2 * stiffness[[0, 0, 1]]).sum())

    def freedom(self, stiffness: Array) -> Array:
        """(2,) free parameters spent on a coordinate in the plane and across it, at most f."""
        held = 1.0 - self.floor * self.bends
        return np.asarray((held[:, None] * self.give(stiffness)).sum(axis=0)[1:])


def lay_batten(
    points: Array,
    sigma: Array,
    at: Array,
    *,
    start: float,
    end: float,
    count: int,
    closed: bool,
    limber: tuple[Array, Array] | None = None,
    kept: Kept = FREE,
) -> Batten:
    """The batten over [start, end] held at `points` (n, 3) with parameters `at` (n,).

    Parameters: sigma (n,) mm; `count` control points, more or fewer with what is `kept`;
    `limber` gives r as (parameters, values), taken as 1 where it is not given. Cost count^3, a
    millisecond at 80.
    """
    knots = batten_knots(kept, count, start, end, closed=closed)
    ends = np.unique(knots[(knots >= start) & (knots <= end)])
    middles = 0.5 * (ends[1:] + ends[:-1])
    width = np.diff(ends)
    spread = width if limber is None else width * np.interp(middles, *limber)
    weights = 1.0 / sigma**2
    basis = basis_matrix(knots, DEGREE, at, closed=closed)
    third = basis_matrix(knots, DEGREE, middles, derivative=3, closed=closed)
    fixed, space = left_free(kept, knots, closed=closed)
    bends, modes, floor = _modes(basis, weights, third, spread, space)
    loads = basis.T @ (weights[:, None] * (points - basis @ fixed))
    return Batten(
        points=points,
        axes=_axes(points, weights),
        at=at,
        weights=weights,
        knots=knots,
        closed=closed,
        count=count,
        kept=kept,
        fixed=fixed,
        basis=basis,
        runs=basis_matrix(knots, DEGREE, at, derivative=1, closed=closed),
        middles=middles,
        third=third,
        first=basis_matrix(knots, DEGREE, middles, derivative=1, closed=closed),
        widths=width,
        limber=spread,
        modes=modes,
        bends=bends,
        floor=floor,
        loads=modes.T @ loads,
        lean=-modes.T @ (third.T @ (spread[:, None] * (third @ fixed))),
    )


def _modes(
    basis: Array, weights: Array, third: Array, spread: Array, space: Array | None
) -> tuple[Array, Array, float]:
    """Bending (f,) of each mode, the modes (m, f), and the least stiffness."""
    if space is not None:
        basis, third = basis @ space, third @ space
    data = (basis * weights[:, None]).T @ basis
    bending = (third * spread[:, None]).T @ third
    stiff = float(np.trace(bending))
    # A line that is one straight run cannot bend at all.
    floor = 1e-4 * float(np.trace(data)) / stiff if stiff > 0.0 else 1.0
    both = data + floor * bending
    count = len(both)
    both = both + 1e-12 * np.trace(both) / count * np.eye(count)
    bends, modes = eigh(bending, both)
    modes = modes if space is None else space @ modes
    return np.clip(bends, 0.0, 1.0 / floor), modes, floor


def _axes(points: Array, weights: Array) -> Array:
    """(3, 3) principal axes of the points, the one of least spread last."""
    centred = points - (weights @ points) / weights.sum()
    spread = (centred * weights[:, None]).T @ centred
    return np.asarray(np.linalg.eigh(spread)[1].T[::-1])


def choose_stiffness(batten: Batten, *, alike: float | None = None) -> Array:
    """(2,) the stiffness in the plane and across it whose expected error is least.

    Minimises for each  misfit + 2 * alike * freedom: Mallows' criterion with one direction
    across the line, sigma being known. `alike` is how many neighbouring points share one error:
    points traced by hand and fitted by a spline err together, and reckoned as independent they
    make every batten too limber. Where it is not given it is learned in two rounds from what
    lies beside the batten. Settled in docs/experiments/fairing_data_weight.md. References:
    Mallows, 'Some comments on Cp', Technometrics 15 (1973), doi:10.1080/00401706.1973.10489103;
    correlated errors: Opsomer, Wang and Yang, Statistical Science 16 (2001),
    doi:10.1214/ss/1009213287.
    """
    if alike is not None:
        return _cheapest(batten, alike)
    stiffness = _cheapest(batten, ALIKE_FIRST)
    for _ in range(2):
        stiffness = _cheapest(batten, max(1.0, ALIKE_MORE * alike_points(batten, stiffness)))
    return stiffness


def _cheapest(batten: Batten, alike: float) -> Array:
    tries = batten.floor * 10.0 ** np.arange(1.0, MOST_STIFF + 0.25, 0.25)
    give = 1.0 / (1.0 + (tries[:, None] - batten.floor) * batten.bends)
    held = 1.0 - batten.floor * batten.bends
    # |W^(1/2) (B c - p)|^2 with c = fixed + modes @ (give * pull), less a constant.
    loads, lean = batten.loads @ batten.axes.T, batten.lean @ batten.axes.T
    if np.any(lean):
        moved = give[:, :, None] * (loads + tries[:, None, None] * lean)
        square = held[:, None] * moved**2 - 2.0 * moved * loads
    else:
        square = (give**2 * held - 2.0 * give)[:, :, None] * loads**2
    each = square.sum(axis=1)
    misfit = np.column_stack([each[:, 0] + each[:, 1], each[:, 2]])
    price = misfit + 2.0 * alike * (give * held).sum(axis=1)[:, None]
    return np.asarray(tries[np.argmin(price, axis=0)])


def gaps_beside(batten: Batten, stiffness: Array) -> Array:
    """(n, 3) from the points to the batten, square to it, in standard errors of the points."""
    control = batten.bend(stiffness)
    run = batten.runs @ control
    run = run / np.maximum(np.linalg.norm(run, axis=1, keepdims=True), 1e-300)
    gap = (batten.basis @ control - batten.points) * np.sqrt(batten.weights)[:, None]
    return np.asarray(gap - np.einsum("ij,ij->i", gap, run)[:, None] * run)


def alike_points(batten: Batten, stiffness: Array) -> float:
    """How many neighbouring gaps across the batten are alike: the sum of their correlation.

    Summed over both directions along the line, up to where it falls below a twentieth.
    """
    gap = gaps_beside(batten, stiffness)
    count = len(gap)
    square = float((gap**2).mean(axis=0).sum())
    if square <= 0.0:
        return 1.0
    # All lags at once: the correlation of the gaps with themselves.
    full = sum(np.correlate(gap[:, axis], gap[:, axis], "full") for axis in range(3))
    lags = np.arange(1, max(count // 2, 1))
    likeness = np.asarray(full)[count - 1 + lags] / (count - lags) / square
    faded = np.flatnonzero(likeness <= 0.05)
    last = faded[0] if len(faded) else len(likeness)
    return float(1.0 + 2.0 * likeness[:last].sum())
