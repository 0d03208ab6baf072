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

from buckwright.geometry.spline import (
    corner_parameters,
    curvature_extrema,
    normals_about,
    turning_axes,
)
from buckwright.lines.band import across_frames, band_demands, gaps_across, pin_demands
from buckwright.lines.batten import ALIKE_MORE, Batten, alike_points
from buckwright.lines.demands import Demands, demand, joined, obey

__all__ = ["Held", "lessen_turns"]

Array = NDArray[np.float64]

PRICE = 12.0
"""Weighed square distance that a turn may cost, for each point of those that err alike.

Four spare freedoms (two turns in two directions) cost 4 by chance on the average and more than
12 once in fifty lines (chi-square).
"""
EASY = 0.1
"""Share of what a turn may cost by which signs laid down may wrong the batten unseen."""
DEAR = 10.0
"""The same, by which they may wrong it at most if they are to be tried."""
HOPELESS = 20.0
"""How many times over its price a turn may be, before it is given up."""
TRIES = 3
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


@dataclass(frozen=True, eq=False, slots=True)
class Trial:
    """The batten as it was, and what may be asked of it."""

    control: Array
    stiffness: Array
    held: Held
    places: Array
    """(q,) parameters at which the change of curvature is looked at."""
    axes: Array
    """(q, 3) about which the line turns there; steady, so they are found once."""
    rows: tuple[Array, Array, Array]
    """(q, m) first, second and third derivatives there."""
    weights: Array
    """(q,) what a wrong change costs there."""
    fresh: frozenset[int]
    """Places that begin a new stretch, beyond a corner: there a sign may change for nothing."""
    before: float
    """Misfit of the batten as it was."""
    budget: float
    """What the misfit may grow by."""


@dataclass(frozen=True, eq=False, slots=True)
class Pressed:
    """What pressed in the programme before: the next one is much like it."""

    outside: NDArray[np.bool_]
    """(n,) points that were found outside their band, and are looked after from then on."""
    turns: Array
    """(q,) forces that keep the signs."""
    band: Array
    """(n, 4) forces that keep points in their band."""


def lessen_turns(batten: Batten, control: Array, stiffness: Array, held: Held) -> Array:
    """Control points (m, 3) with as few turns of curvature as the points allow.

    `control` is given back where no turn can go. Pins are kept, and the band where it is kept
    now. Cost some 5 ms for each try at 50 control points, at most six tries.
    """
    closed = batten.closed
    best, fewest = control, curvature_extrema(batten.curve(control), closed=closed)
    if fewest == 0:
        return control
    places, limber = _places(batten)
    trial = Trial(
        control=control,
        stiffness=stiffness,
        held=held,
        places=places,
        axes=turning_axes(batten.curve(control), places, closed=closed),
        rows=_derivatives(batten, places),
        weights=limber * stiffness[0],
        fresh=_fresh(batten, control, places),
        before=batten.misfit(control),
        budget=PRICE * max(1.0, ALIKE_MORE * alike_points(batten, stiffness)),
    )
    change = _change(trial, control).of(control)
    costs, back = _least_wrong(change, trial.weights, fewest, trial.fresh)
    step = 2 if closed and not trial.fresh else 1
    tried = set[bytes]()
    for turns, lasts in _worth_trying(costs, trial.budget, step=step):
        fewer, within_reach = None, False
        for last in lasts:
            signs = _signs(back, turns, last, trial.fresh)
            if signs.tobytes() in tried:
                continue
            tried.add(signs.tobytes())
            found = _with_turns(batten, trial, turns, signs)
            within_reach |= found is not None
            if found is None or batten.misfit(found) - trial.before > trial.budget:
                continue
            count = curvature_extrema(batten.curve(found), closed=closed)
            if count < fewest:
                fewer, fewest = found, count
                break
        if fewer is None and (best is not control or not within_reach):
            # Each turn less costs more than the one before.
            break
        best = best if fewer is None else fewer
    return best


def _worth_trying(costs: Array, budget: float, *, step: int) -> list[tuple[int, list[int]]]:
    """Numbers of turns, and the last signs to try with each, the cheaper first.

    From the number that hardly wrongs the batten downwards.
    """
    fewer = range(0, len(costs) - 1, step)
    easy = [turns for turns in fewer if costs[turns].min() <= EASY * budget]
    start = easy[0] if easy else fewer[-1]
    tries = []
    for turns in range(start, -1, -step):
        lasts = [
            int(last) for last in np.argsort(costs[turns]) if costs[turns, last] <= DEAR * budget
        ]
        tries += [(turns, lasts)] if lasts else []
    return tries[:TRIES]


def _places(batten: Batten) -> tuple[Array, Array]:
    """(2 q,) places near both ends of each span, the batten's limberness times their share."""
    places = batten.middles[:, None] + batten.widths[:, None] * np.array([-0.48, 0.48])
    return places.ravel(), np.repeat(batten.limber / 2.0, 2)


def _fresh(batten: Batten, control: Array, places: Array) -> frozenset[int]:
    corners = corner_parameters(batten.curve(control))
    return frozenset(np.searchsorted(places, corners).tolist())


def _derivatives(batten: Batten, places: Array) -> tuple[Array, Array, Array]:
    first, second, third = (batten.rows(places, derivative=k) for k in (1, 2, 3))
    return first, second, third


def _change(trial: Trial, shape: Array) -> Change:
    first, second, third = trial.rows
    run, turn = first @ shape, second @ shape
    square = np.maximum(np.einsum("ij,ij->i", run, run), 1e-300)
    normal = normals_about(trial.axes, run, turn)
    bend = np.einsum("ij,ij->i", turn, normal)
    return Change(third, second, normal, (-3.0 * bend / square)[:, None] * run)


def _least_wrong(
    change: Array, weights: Array, most: int, fresh: frozenset[int]
) -> tuple[Array, NDArray[np.bool_]]:
    """Costs (most + 1, 2) of signs with so many changes and the last one +, -; the way back.

    The cost of a sign is the weighed square of what goes against it. Dynamic programming along
    the line, for every number of changes at once; back[j, k, s] tells whether the sign changed
    before place j. At `fresh` places it may for nothing.
    """
    wrongs = np.column_stack(
        [weights * np.minimum(change, 0.0) ** 2, weights * np.maximum(change, 0.0) ** 2]
    ).tolist()
    never = float("inf")
    cost = [[0.0, 0.0], *([never, never] for _ in range(most))]
    back = np.zeros((len(change), most + 1, 2), dtype=bool)
    # Plain numbers: arrays so small cost more to begin with than to reckon.
    for place, (rising, falling) in enumerate(wrongs):
        if place:
            less = cost if place in fresh else [[never, never], *cost[:-1]]
            for number, (before, here) in enumerate(zip(less, cost, strict=True)):
                back[place, number] = before[1] < here[0], before[0] < here[1]
            cost = [
                [min(here[0], before[1]), min(here[1], before[0])]
                for before, here in zip(less, cost, strict=True)
            ]
        cost = [[here[0] + rising, here[1] + falling] for here in cost]
    return np.array(cost), back


def _signs(back: NDArray[np.bool_], turns: int, last: int, fresh: frozenset[int]) -> Array:
    """(q,) 1 or -1: the sign laid down at each place, ending with 1 (0) or -1 (1)."""
    sign, left = last, turns
    signs = np.empty(len(back))
    for place in range(len(signs) - 1, -1, -1):
        signs[place] = 1.0 - 2.0 * sign
        if back[place, left, sign]:
            sign, left = 1 - sign, left if place in fresh else left - 1
    return signs


def _with_turns(batten: Batten, trial: Trial, turns: int, signs: Array) -> Array | None:
    """Control points with these signs of change laid down, which turn so many times.

    None where the points or other demands forbid it by far. After the first round the places of
    the turns are found anew.
    """
    last = int(signs[-1] < 0.0)
    shape, many = trial.control, len(batten.at)
    pressed = Pressed(np.zeros(many, dtype=bool), np.zeros(len(signs)), np.zeros((many, 4)))
    for number in range(ROUNDS):
        rest = batten.bend(trial.stiffness, batten.along(shape))
        change = _change(trial, shape)
        if number == 1:
            _, back = _least_wrong(change.of(rest), trial.weights, turns, trial.fresh)
            signs = _signs(back, turns, last, trial.fresh)
        turned = _turn_demands(batten, rest, change, signs)
        answer = _obeying(batten, trial, rest, turned, across_frames(batten, shape), pressed)
        if answer is None:
            return None
        found, pressed = answer
        moved = float(np.abs(found - shape).max())
        shape = found
        if number and moved < 1e-3:
            break
    return shape


def _is_hopeless(batten: Batten, trial: Trial, control: Array) -> bool:
    """Whether the points lie so far off that no further round can bring the line back to them."""
    return batten.misfit(control) - trial.before > HOPELESS * trial.budget


def _obeying(
    batten: Batten, trial: Trial, rest: Array, turned: Demands, frames: Array, pressed: Pressed
) -> tuple[Array, Pressed] | None:
    """One programme; points are brought in as they are found outside their band."""
    width = trial.held.half_width
    pinned = pin_demands(batten, rest, trial.held.pins, trial.control)
    ends = len(pinned.low), len(pinned.low) + len(turned.low)
    for _ in range(BATCH):
        which = np.flatnonzero(pressed.outside)
        near = band_demands(batten, rest, frames, width, which)
        forces = np.concatenate([np.zeros(ends[0]), pressed.turns, pressed.band[which].ravel()])
        found = obey(batten, rest, trial.stiffness, joined([pinned, turned, near]), start=forces)
        if found is None or _is_hopeless(batten, trial, found.control):
            return None
        band = np.zeros_like(pressed.band)
        band[which] = found.forces[ends[1] :].reshape(-1, 4)
        out = gaps_across(batten, found.control, frames) > width + 1e-6
        settled = not np.any(out & ~pressed.outside)
        pressed = Pressed(pressed.outside | out, found.forces[ends[0] : ends[1]], band)
        if settled:
            return found.control, pressed
    return None


def _turn_demands(batten: Batten, rest: Array, change: Change, signs: Array) -> Demands:
    sign = signs[:, None]
    terms = [(change.third, sign * change.normal), (change.second, sign * change.along)]
    return demand(batten, rest, terms, np.zeros(len(signs)), np.full(len(signs), 1e30))
