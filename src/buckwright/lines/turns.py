"""False turns of the curvature taken out: bumps that the points do not insist on.

A batten bent on a board swells and eases between a few places only, where its curvature turns.
Noise leaves more turns than the shape has. For a number of turns the sign of the change of
curvature is laid down along the line, in the way that wrongs the batten least; that makes
demands on the cubic's third derivative, which is constant in each span. The line with fewest
turns is kept whose points lie hardly farther from it than before: a false turn costs a few units
of weighed square distance, a true one many.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.spline import curvature_extrema
from buckwright.lines.band import across_frames, band_demands, gaps_across, pin_demands
from buckwright.lines.batten import Batten, alike_points
from buckwright.lines.demands import Demands, demand, joined, obey

__all__ = ["Held", "lessen_turns"]

Array = NDArray[np.float64]

PRICE = 12.0
"""Weighed square distance that a turn may cost, for each point of those that err alike.

Four spare freedoms (two turns in two directions) cost 4 by chance on the average and more than
12 once in fifty lines (chi-square).
"""
STRETCH = 0.06
"""Share of a line over which it is taken to turn about one axis."""
TRIES = 6
ROUNDS = 4
BATCH = 4
"""How often points found outside their band are brought in within a round."""


@dataclass(frozen=True, eq=False, slots=True)
class Held:
    """What else the line must keep."""

    pins: Array
    """(k,) parameters at which the line must not move."""
    half_width: Array
    """(n,) mm of the band round each point."""


@dataclass(frozen=True, eq=False, slots=True)
class Change:
    """The change of curvature at places along a curve as a linear reading of control points.

    With the unit normal n, signed curvature k and speed s held, it is
    n . c''' - 3 k s T . c'' (times s^2): zero on circles travelled at any speed.
    """

    third: Array
    second: Array
    normal: Array
    along: Array

    def of(self, control: Array) -> Array:
        """(q,) change of curvature, times the speed squared."""
        return np.asarray(
            np.einsum("ij,ij->i", self.third @ control, self.normal)
            + np.einsum("ij,ij->i", self.second @ control, self.along)
        )


def lessen_turns(batten: Batten, control: Array, stiffness: float, held: Held) -> Array:
    """Control points (m, 3) with as few turns of curvature as the points allow.

    `control` is given back where no turn can go. Pins are kept, and the band where it is kept
    now. Cost some 5 ms for each try at 50 control points, at most six tries.
    """
    closed = batten.closed
    best, fewest = control, curvature_extrema(batten.curve(control), closed=closed)
    if fewest == 0:
        return control
    before = batten.misfit(control)
    budget = PRICE * max(1.0, 1.25 * alike_points(batten, stiffness))
    places, weights = _places(batten)
    change = _change(batten, places, control).of(control)
    costs, back = _least_wrong(change, weights * stiffness, fewest)
    for turns, last in _worth_trying(costs, 4.0 * budget, step=2 if closed else 1):
        if turns >= fewest:
            break
        signs = _signs(back, turns, last)
        found = _with_turns(batten, control, stiffness, held, (places, weights, signs))
        if found is None or batten.misfit(found) - before > budget:
            continue
        count = curvature_extrema(batten.curve(found), closed=closed)
        if count < fewest:
            best, fewest = found, count
        if count <= turns:
            break
    return best


def _worth_trying(costs: Array, most: float, *, step: int) -> list[tuple[int, int]]:
    """Numbers of turns with the last sign, fewest first and of two the cheaper first."""
    tries = [
        (turns, int(last))
        for turns in range(0, len(costs), step)
        for last in np.argsort(costs[turns])
        if costs[turns, last] <= most
    ]
    return tries[:TRIES]


def _places(batten: Batten) -> tuple[Array, Array]:
    """(2 q,) places near both ends of each span, the batten's limberness times their share."""
    width = np.diff(np.append(batten.middles, 2 * batten.middles[-1] - batten.middles[-2]))
    places = batten.middles[:, None] + width[:, None] * np.array([-0.48, 0.48])
    return places.ravel(), np.repeat(batten.limber / 2.0, 2)


def _change(batten: Batten, places: Array, shape: Array) -> Change:
    first, second, third = (batten.rows(places, derivative=k) for k in (1, 2, 3))
    run, turn = first @ shape, second @ shape
    speed = np.maximum(np.linalg.norm(run, axis=1), 1e-300)
    tangent = run / speed[:, None]
    normal = np.cross(_axes_of_turning(np.cross(tangent, turn), places, batten.closed), tangent)
    normal = normal / np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-300)
    bend = np.einsum("ij,ij->i", turn, normal)
    # Which way is up must not change from round to round: the sharpest bend says.
    normal, bend = (np.sign(bend[np.argmax(np.abs(bend))]) * part for part in (normal, bend))
    return Change(third, second, normal, -3.0 * (bend / speed)[:, None] * tangent)


def _axes_of_turning(axes: Array, places: Array, closed: bool) -> Array:
    """(q, 3) unit axes about which the line turns hereabouts, from one to the next alike.

    Where a line is nearly straight its own axis is noise: the axis of least squares over a
    stretch, each place counting by its curvature squared, is not, and has no sign to lose at
    an inflexion.
    """
    reach = STRETCH * float(np.ptp(places))
    apart = np.abs(places[:, None] - places)
    if closed:
        apart = np.minimum(apart, float(np.ptp(places)) - apart)
    near = np.exp(-0.5 * (apart / reach) ** 2)
    square = near @ (axes[:, :, None] * axes[:, None, :]).reshape(-1, 9)
    found = np.linalg.eigh(square.reshape(-1, 3, 3))[1][:, :, 2]
    same = np.einsum("ij,ij->i", found[1:], found[:-1]) >= 0.0
    sign = np.concatenate([[1.0], np.cumprod(np.where(same, 1.0, -1.0))])
    return np.asarray(sign[:, None] * found)


def _least_wrong(change: Array, weights: Array, most: int) -> tuple[Array, NDArray[np.bool_]]:
    """Costs (most + 1, 2) of signs with so many changes and the last one +, -; the way back.

    The cost of a sign is the weighed square of what goes against it. Dynamic programming along
    the line, for every number of changes at once; back[j, k, s] tells whether the sign changed
    before place j.
    """
    wrong = np.stack(
        [weights * np.minimum(change, 0.0) ** 2, weights * np.maximum(change, 0.0) ** 2]
    )
    cost = np.full((most + 1, 2), np.inf)
    cost[0] = 0.0
    back = np.zeros((len(change), most + 1, 2), dtype=bool)
    for place in range(len(change)):
        if place:
            other = np.vstack([[np.inf, np.inf], cost[:-1, ::-1]])
            back[place] = other < cost
            cost = np.minimum(cost, other)
        cost = cost + wrong[:, place]
    return cost, back


def _signs(back: NDArray[np.bool_], turns: int, last: int) -> Array:
    """(q,) 1 or -1: the sign laid down at each place, ending with 1 (0) or -1 (1)."""
    sign, left = last, turns
    signs = np.empty(len(back))
    for place in range(len(signs) - 1, -1, -1):
        signs[place] = 1.0 - 2.0 * sign
        if back[place, left, sign]:
            sign, left = 1 - sign, left - 1
    return signs


def _with_turns(
    batten: Batten,
    control: Array,
    stiffness: float,
    held: Held,
    laid: tuple[Array, Array, Array],
) -> Array | None:
    """Control points with these signs of change laid down; None where other demands forbid it.

    After the first round the places of the turns are found anew.
    """
    places, weights, signs = laid
    turns, last = int(np.sum(signs[1:] != signs[:-1])), int(signs[-1] < 0.0)
    shape = control
    for number in range(ROUNDS):
        rest = batten.bend(stiffness, batten.along(shape))
        change = _change(batten, places, shape)
        if number == 1:
            _, back = _least_wrong(change.of(rest), weights, turns)
            signs = _signs(back, turns, last)
        found = _obeying(batten, rest, stiffness, held, (control, shape, change, signs))
        if found is None:
            return None
        moved = float(np.abs(found - shape).max())
        shape = found
        if number and moved < 1e-3:
            break
    return shape


def _obeying(
    batten: Batten,
    rest: Array,
    stiffness: float,
    held: Held,
    laid: tuple[Array, Array, Change, Array],
) -> Array | None:
    """One programme; points are brought in as they are found outside their band."""
    control, shape, change, signs = laid
    kept = [
        pin_demands(batten, rest, held.pins, control),
        _turn_demands(batten, rest, change, signs),
    ]
    frames = across_frames(batten, shape)
    outside = np.zeros(len(batten.at), dtype=bool)
    for _ in range(BATCH):
        near = band_demands(batten, rest, frames, held.half_width, np.flatnonzero(outside))
        found = obey(batten, rest, stiffness, joined([*kept, near]))
        if found is None:
            return None
        out = gaps_across(batten, found, frames) > held.half_width + 1e-6
        if not np.any(out & ~outside):
            return found
        outside |= out
    return None


def _turn_demands(batten: Batten, rest: Array, change: Change, signs: Array) -> Demands:
    sign = signs[:, None]
    terms = [(change.third, sign * change.normal), (change.second, sign * change.along)]
    return demand(batten, rest, terms, np.zeros(len(signs)), np.full(len(signs), 1e30))
