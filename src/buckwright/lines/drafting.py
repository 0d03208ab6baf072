"""Drafting one line: a first batten on the points, its stiffness, and where it may be limber.

A draft is a batten at rest. It can be laid again over another stretch (`redraft`), or held to pins,
points that the line must pass through (`pin_draft`); its stiffness stays as first chosen.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from buckwright.errors import JobError
from buckwright.geometry.polyline import arc_lengths
from buckwright.geometry.spline import foot_parameters, length_table
from buckwright.lines.batten import ALIKE_FIRST, Batten, choose_stiffness, lay_batten
from buckwright.lines.keeping import DEGREE, Kept
from buckwright.model.lines import PlacedLine

__all__ = [
    "BAND_SIGMAS",
    "FIRST_POINTS",
    "Draft",
    "draft_line",
    "drafted",
    "free_points",
    "measured_along",
    "pin_draft",
    "redraft",
]

Array = NDArray[np.float64]

LEAST_SIGMA = 1e-3
"""mm; a point is never taken as surer than this."""

BAND_SIGMAS = 4.5
"""Half-width of the tolerance band: beyond it one point in 25,000 lies by chance alone."""

FIRST_POINTS = 40
"""Control points of the first batten, which is only to be measured along; more if it needs them."""

LIMBER_FLOOR = 0.03
"""Share of the mean square change of curvature below which the batten gets no stiffer."""


@dataclass(frozen=True, eq=False, slots=True)
class Draft:
    """A batten at rest on its points, ready for pins and band."""

    name: str
    batten: Batten
    stiffness: Array
    """(2,) in the plane nearest to the points, and across it."""
    limber: tuple[Array, Array]
    control: Array
    """(m, 3)."""
    target: Array
    """(q, 3) the g that the control points were found with."""
    sigma: Array
    """(n,) mm."""
    start: float
    end: float
    band: Array | None = None
    """(n,) mm, half-width of the band where it was typed; else it follows from sigma."""

    @property
    def closed(self) -> bool:
        """Whether the line closes on itself."""
        return self.batten.closed

    def curve(self) -> BSpline:
        """The curve, parameter in millimetres."""
        return self.batten.curve(self.control)


def draft_line(placed: PlacedLine) -> Draft:
    """The batten on the points alone, with its stiffness and where it is limber."""
    points, sigma = _checked(placed)
    closed = placed.closed
    along = arc_lengths(points, closed=closed)
    at, end = along[: len(points)], float(along[-1])
    count = min(FIRST_POINTS, free_points(len(points), closed=closed))
    batten = lay_batten(points, sigma, at, start=0.0, end=end, count=count, closed=closed)
    return drafted(placed.name, batten, sigma)


def drafted(name: str, batten: Batten, sigma: Array) -> Draft:
    """The draft that a batten laid over rough parameters leads to."""
    # Zigzag of the points makes the first lengths too long: measure again along the batten.
    # For that a guess at how far errors are alike will do.
    stiffness = choose_stiffness(batten, alike=ALIKE_FIRST)
    count = _enough_points(batten, stiffness)
    if count == FIRST_POINTS:
        count = free_points(len(batten.points), closed=batten.closed)
    batten, _ = measured_along(batten, batten.bend(stiffness), sigma, None, count)
    stiffness = choose_stiffness(batten)
    control = batten.bend(stiffness)
    limber = _where_limber(batten, control)
    count = _enough_points(batten, stiffness)
    batten, spread = measured_along(batten, control, sigma, limber, count)
    stiffness = choose_stiffness(batten)
    control, target = _settled(batten, stiffness)
    start, end = float(batten.knots[DEGREE]), float(batten.knots[-DEGREE - 1])
    return Draft(name, batten, stiffness, spread, control, target, sigma, start=start, end=end)


def free_points(points: int, *, closed: bool) -> int:
    """Free control points for so many measured ones."""
    return int(np.clip(round(0.8 * points), 8 if closed else 6, 100))


def _enough_points(batten: Batten, stiffness: Array) -> int:
    """Free control points that can still follow what the batten follows, and no more.

    Five for each free parameter; points beyond that only cost accuracy, see `MOST_STIFF`.
    """
    now = batten.count
    return int(np.clip(np.ceil(5.0 * batten.freedom(stiffness).max()), min(now, 16), now))


def redraft(draft: Draft, start: float, end: float, *, kept: Kept | None = None) -> Draft:
    """The same batten over [start, end]: points beyond the ends are left out.

    It keeps what it kept, if nothing else is said.
    """
    batten = draft.batten
    at = foot_parameters(draft.curve(), batten.points, batten.at, closed=draft.closed)
    inside = np.ones(len(at), dtype=bool) if draft.closed else (at >= start) & (at <= end)
    again = lay_batten(
        batten.points[inside],
        draft.sigma[inside],
        at[inside],
        start=start,
        end=end,
        count=batten.count,
        closed=draft.closed,
        limber=draft.limber,
        kept=batten.kept if kept is None else kept,
    )
    control, target = _settled(again, draft.stiffness)
    return replace(
        draft,
        batten=again,
        control=control,
        target=target,
        sigma=draft.sigma[inside],
        band=None if draft.band is None else draft.band[inside],
        start=start,
        end=end,
    )


def pin_draft(draft: Draft, at: Array, pins: Array) -> Draft:
    """The batten at rest with the curve held to `pins` (k, 3) at parameters `at` (k,)."""
    control, target = draft.control, draft.target
    rows = draft.batten.rows(at)
    for _ in range(3):
        target = draft.batten.along(control)
        free = draft.batten.bend(draft.stiffness, target)
        control = free
        # Twice: the second draw takes off what rounding left of the first.
        for _ in range(2):
            control = control + draft.batten.draw(rows, pins - rows @ control, draft.stiffness)
    return replace(draft, control=control, target=target)


def _checked(placed: PlacedLine) -> tuple[Array, Array]:
    """Points without doubles, and their standard errors."""
    points, sigma = np.asarray(placed.points), np.asarray(placed.sigma)
    if len(sigma) != len(points):
        message = "one standard error is needed for each point"
        raise ValueError(message)
    following = np.roll(points, -1, axis=0)
    step = np.linalg.norm(following - points, axis=1)
    if not placed.closed and len(step):
        step[-1] = np.inf
    kept = step > 1e-6
    least = 5 if placed.closed else 4
    if int(kept.sum()) < least:
        raise JobError(
            f"The line '{placed.name}' has only {int(kept.sum())} different points.",
            f"Trace it again with {least} points at least.",
        )
    return points[kept], np.maximum(sigma[kept], LEAST_SIGMA)


def measured_along(
    batten: Batten, control: Array, sigma: Array, limber: Array | None, count: int
) -> tuple[Batten, tuple[Array, Array]]:
    """The batten laid again with parameters measured along the curve, and r where it is known.

    Closed lines begin at the same place as before, open ones at the point farthest out.
    """
    curve = batten.curve(control)
    knots, lengths = length_table(curve)
    at = foot_parameters(curve, batten.points, batten.at, closed=batten.closed)
    beyond = np.minimum(at - knots[0], 0.0) + np.maximum(at - knots[-1], 0.0)
    at = np.interp(at, knots, lengths) + (0.0 if batten.closed else beyond)
    start, end = 0.0, float(lengths[-1])
    if not batten.closed:
        start, end = float(at.min()), float(at.max())
    values = np.ones_like(batten.middles) if limber is None else limber
    spread = np.interp(batten.middles, knots, lengths), values
    again = lay_batten(
        batten.points,
        sigma,
        at,
        start=start,
        end=end,
        count=count,
        closed=batten.closed,
        limber=spread,
        kept=batten.kept.measured(knots, lengths),
    )
    return again, spread


def _where_limber(batten: Batten, control: Array) -> Array:
    """(q,) r: the less, the more the curvature changes hereabouts.

    The mean square change of curvature is taken over some three spacings of the points; near
    the ends, where the free batten has none, the value from farther in is kept.
    """
    change = batten.third @ control - batten.along(control)
    size = (change**2).sum(axis=1)
    start, end = float(batten.knots[DEGREE]), float(batten.knots[-DEGREE - 1])
    reach = 3.0 * (end - start) / len(batten.points)
    apart = np.abs(batten.middles[:, None] - batten.middles)
    if batten.closed:
        apart = np.minimum(apart, end - start - apart)
    near = np.exp(-0.5 * (apart / reach) ** 2)
    local = (near @ size) / near.sum(axis=1)
    if not batten.closed:
        inset = min(2.0 * reach, 0.25 * (end - start))
        held = np.clip(batten.middles, start + inset, end - inset)
        local = np.interp(held, batten.middles, local)
    mean = float(local.mean())
    if mean <= 0.0:
        return np.ones_like(local)
    limber = 1.0 / (local / mean + LIMBER_FLOOR)
    return np.asarray(limber / np.exp(np.mean(np.log(limber))))


def _settled(batten: Batten, stiffness: Array) -> tuple[Array, Array]:
    """Control points at rest and the target they were found with, after three rounds."""
    control = batten.bend(stiffness)
    target = np.zeros((len(batten.middles), 3))
    for _ in range(3):
        target = batten.along(control)
        control = batten.bend(stiffness, target)
    return control, target
