"""Lines pulled by hand: the pulled line gives way like a batten, and takes with it what it crosses.

A pin moves one place of a line. Every line resists in measure of its stiffness and of how sure its
points are, and the crossings move to where the energy of all lines together is least: one small
linear system over the moves of crossings and pins. Then each line is drawn to the moves of its
places. Linear from the lines as they were laid, so that pins may be set in any order; what `laid`
holds is sent to the page for one line, which does the same sums while the hand moves.
"""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.lines.both_sides import evened
from buckwright.lines.crowd import CROWD, pull_crowd
from buckwright.lines.grips import Grip, find_grips, laid_place
from buckwright.lines.laying import Laid, LaidLine, firmness
from buckwright.model.lines import BattenChoice, Pin

__all__ = [
    "Pulled",
    "System",
    "draw_to",
    "line_places",
    "make_system",
    "pull_lines",
    "settle",
    "with_battens",
]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

LEAST_RUN = 0.1
"""A line whose points run on by less than this share of what they did is folding."""
HAND_FREEDOM = 8.0
"""Freedoms that the hand's own batten spends on a line at most. Where points are many and sure, the
line was faired with a batten so limber that it would give way as a dent beside the pin."""
LEAST_STIFF, MOST_STIFF = 1e-5, 1e5
"""Factors on a batten's stiffness: a length of a seventh, and of seven times, that gives way."""
UNMET = 1e-3
"""mm by which a pin may be missed."""
FARTHEST = 0.5
"""Of its own length: nobody pulls a batten farther than that."""


@dataclass(frozen=True, eq=False, slots=True)
class Pulled:
    """All lines after the hand."""

    controls: tuple[Array, ...]
    """Free control points of each laid line."""
    points: Array
    """(nodes, 3)."""
    grips: tuple[Grip, ...]


@dataclass(frozen=True, eq=False, slots=True)
class System:
    """The springs between crossings and pins; d = 3 (nodes + pins) moves."""

    firm: Array
    """(d, d) force for moves."""
    given: NDArray[np.bool_]
    """(d,) which moves are given."""
    moves: Array
    """(d,) the given ones, 0 elsewhere."""


def pull_lines(laid: Laid, pins: tuple[Pin, ...]) -> Pulled:
    """Every line where the pins pull it; exactly as laid without pins.

    Raises JobError for a pin that cannot be, or that would fold a line.
    """
    grips = find_grips(laid, pins)
    if not grips:
        return Pulled(tuple(line.control for line in laid.lines), laid.points, ())
    if len(laid.nodes) > CROWD:
        return _pulled_crowd(laid, grips)
    system = make_system(laid, grips)
    moves = settle(system).reshape(-1, 3)
    controls = []
    for k, line in enumerate(laid.lines):
        at, which, side = line_places(laid, k, grips)
        control = line.control
        if len(at) and np.any(moves[which]):
            wanted = moves[which] * np.stack([np.ones_like(side), side, np.ones_like(side)], axis=1)
            drawn = draw_to(line, at, wanted)
            _refuse_bending(line, at, wanted, drawn)
            control = evened(drawn, line.sided, closed=line.draft.closed)
            _refuse_fold(line, control)
        controls.append(control)
    return Pulled(tuple(controls), laid.points + moves[: len(laid.points)], grips)


def _pulled_crowd(laid: Laid, grips: tuple[Grip, ...]) -> Pulled:
    changes, moves = pull_crowd(laid, grips)
    controls = []
    for line, change in zip(laid.lines, changes, strict=True):
        control = evened(line.control + change, line.sided, closed=line.draft.closed)
        if not _runs_on(line.control, change):
            _refuse_fold(line, control)
        controls.append(control)
    return Pulled(tuple(controls), laid.points + moves, grips)


def _runs_on(control: Array, change: Array) -> bool:
    """Whether the change is too slight to fold a line: no step between points is half undone."""
    step = np.linalg.norm(np.diff(control, axis=0), axis=1)
    return bool(np.linalg.norm(np.diff(change, axis=0), axis=1).max() < 0.1 * step.min())


@lru_cache(maxsize=2)
def with_battens(laid: Laid, battens: tuple[BattenChoice, ...]) -> Laid:
    """The lines as laid, to be pulled with the hand's battens: ordinary ones, or as chosen.

    Raises JobError for a line that is not there or a stiffness that no batten has.
    """
    lines = [_with_stiffness(line, _ordinary(line)) for line in laid.lines]
    for choice in battens:
        try:
            k, _ = laid_place(laid, choice.line)
        except KeyError:
            raise JobError(
                f"There is no line '{choice.line}' to choose a batten for.",
                "Drop the choice, or trace that line.",
            ) from None
        if not LEAST_STIFF <= choice.stiffness <= MOST_STIFF:
            raise JobError(
                f"No batten for '{choice.line}' is {choice.stiffness:g} times as stiff as an "
                "ordinary one.",
                f"Choose between {LEAST_STIFF:g} and {MOST_STIFF:g}.",
            )
        lines[k] = _with_stiffness(lines[k], choice.stiffness)
    return replace(laid, lines=tuple(lines))


def _ordinary(line: LaidLine) -> float:
    """How many times stiffer than the line was faired the hand's batten is by itself."""
    batten, stiffness, factor = line.draft.batten, line.draft.stiffness, 1.0
    while factor < MOST_STIFF and batten.freedom(factor * stiffness).max() > HAND_FREEDOM:
        factor *= 2.0
    return factor


def _with_stiffness(line: LaidLine, factor: float) -> LaidLine:
    draft = line.draft
    return replace(line, draft=replace(draft, stiffness=factor * draft.stiffness))


def line_places(laid: Laid, k: int, grips: tuple[Grip, ...]) -> tuple[Array, Index, Array]:
    """Where line k is held: parameters, which move each follows, 1 or -1 for its side.

    Moves 0 to n - 1 are those of the nodes, then one for each grip.
    """
    line = laid.lines[k]
    at, which, side = list(line.held.at), list(line.held.node), list(line.held.side)
    for number, grip in enumerate(grips):
        if grip.line != k or grip.node is not None:
            continue
        at.append(grip.at)
        which.append(len(laid.nodes) + number)
        side.append(1.0)
        if line.sided.kind == "self" and not grip.on_plane:
            at.append(line.draft.start + line.draft.end - grip.at)
            which.append(len(laid.nodes) + number)
            side.append(-1.0)
    return np.array(at), np.array(which, dtype=np.int64), np.array(side)


def make_system(laid: Laid, grips: tuple[Grip, ...], *, without: int | None = None) -> System:
    """The springs of all lines; without one line, and its pins, if that is named."""
    count = len(laid.nodes) + len(grips)
    firm = np.zeros((3 * count, 3 * count))
    given, moves = np.zeros((count, 3), dtype=bool), np.zeros((count, 3))
    for k, line in enumerate(laid.lines):
        at, which, side = line_places(laid, k, grips)
        if k == without or not len(at):
            continue
        rows = line.draft.batten.rows(at)
        stiff = line.sided.share * firmness(line.draft.batten, rows, line.draft.stiffness)
        sign = np.stack([np.ones_like(side), side, np.ones_like(side)], axis=1).ravel()
        where = (3 * which[:, None] + np.arange(3)).ravel()
        np.add.at(firm, (where[:, None], where[None, :]), sign[:, None] * stiff * sign)
    for number, node in enumerate(laid.nodes):
        given[number, 1] = node.on_plane
    for number, grip in enumerate(grips):
        place = len(laid.nodes) + number
        if grip.line == without or grip.node is not None:
            given[place] = True
        if grip.line == without:
            continue
        line = laid.lines[grip.line]
        if grip.node is None:
            now = (line.draft.batten.rows(np.array([grip.at])) @ line.control)[0]
        else:
            place, now = grip.node, laid.points[grip.node]
        asked = np.isfinite(grip.point)
        moves[place, asked] = (grip.point - now)[asked]
        given[place, asked] = True
        if grip.on_plane:
            given[place, 1], moves[place, 1] = True, 0.0
    return System(firm, given.ravel(), moves.ravel())


def settle(system: System) -> Array:
    """(d,) all moves, those that are not given where the forces balance."""
    free = ~system.given
    moves = system.moves.copy()
    load = -system.firm[np.ix_(free, system.given)] @ moves[system.given]
    moves[free] = np.linalg.solve(system.firm[np.ix_(free, free)], load)
    return moves


def draw_to(line: LaidLine, at: Array, moves: Array) -> Array:
    """(m, 3) free control points of the laid line with its places `at` moved by `moves` (k, 3)."""
    batten, stiffness = line.draft.batten, line.draft.stiffness
    rows, change = batten.rows(at), np.zeros_like(line.control)
    # Twice: the second draw takes off what rounding left of the first.
    for _ in range(2):
        change = change + batten.draw(rows, moves - rows @ change, stiffness)
    return np.asarray(line.control + change)


def _refuse_bending(line: LaidLine, at: Array, wanted: Array, control: Array) -> None:
    """Pins that a straight run, or an end whose direction is held, cannot all meet."""
    left = line.draft.batten.rows(at) @ (control - line.control) - wanted
    if np.abs(left).max() > UNMET:
        raise JobError(
            f"The pins of '{line.sided.placed.name}' would bend what it is told to keep straight.",
            "Move a pin so that it fits, or take away the straight run.",
        )


def _refuse_fold(line: LaidLine, control: Array) -> None:
    batten, draft = line.draft.batten, line.draft
    places = np.linspace(draft.start, draft.end, 8 * len(control))
    before, run = (batten.rows(places, derivative=1) @ c for c in (line.control, control))
    kept = np.einsum("ij,ij->i", before, run) / np.einsum("ij,ij->i", before, before)
    moved = np.linalg.norm(batten.rows(places) @ (control - line.control), axis=1)
    worst = int(np.argmin(kept))
    name = line.sided.placed.name
    if moved.max() > FARTHEST * (draft.end - draft.start):
        raise JobError(
            f"'{name}' would be pulled by {moved.max():.0f} mm, more than half its length.",
            "Pull it less far, or trace it again.",
        )
    if kept[worst] < LEAST_RUN:
        where = ", ".join(f"{v:.0f}" for v in (batten.rows(places[[worst]]) @ control)[0])
        raise JobError(
            f"Pulled like that, '{name}' would fold back on itself near ({where}).",
            "Pull it less far, or take away a pin beside it.",
        )
