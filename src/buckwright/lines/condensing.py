"""One line as the hand feels it: its batten, and all other lines as springs at its crossings.

What is here is small, and enough to say where this line and those that it takes along go for any
pull: the page has it sent once and does the sums of `pulling` while the hand moves.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.lines.both_sides import evened
from buckwright.lines.crowd import CROWD
from buckwright.lines.grips import Grip, find_grips, laid_place
from buckwright.lines.laying import Laid, LaidLine
from buckwright.lines.pulling import draw_to, line_places, make_system, with_battens
from buckwright.model.lines import BattenChoice, Pin

__all__ = ["Felt", "Follower", "feel_line"]

Array = NDArray[np.float64]

DRAWN = 61
"""Points at which a line that is taken along is drawn."""
NOTICED = 0.02
"""A line that moves by less than this share of the pull is left still until the hand lets go."""


@dataclass(frozen=True, eq=False, slots=True)
class Follower:
    """A line that is taken along: points + response @ moves of the crossings."""

    names: tuple[str, ...]
    """The line's, and its mirror image's if it has one."""
    points: Array
    """(n, 3) with the crossings of the pulled line where they were laid."""
    response: Array
    """(n, 3, 3 j)."""


@dataclass(frozen=True, eq=False, slots=True)
class Felt:
    """One laid line in the hand; j crossings on it."""

    line: LaidLine
    mirrored: bool
    """Whether the name is that of its mirror image."""
    nodes: tuple[int, ...]
    """The crossings on it, each once."""
    points: Array
    """(j, 3) where those were laid."""
    firm: Array
    """(3 j, 3 j) how the other lines hold its crossings."""
    load: Array
    """(3 j,) how pins on other lines pull at them."""
    given: NDArray[np.bool_]
    """(3 j,) moves of the crossings that are given, by the centre plane or pins elsewhere."""
    moves: Array
    """(3 j,) those moves."""
    grips: tuple[Grip | None, ...]
    """Of the pins, in order, those on this line."""
    followers: tuple[Follower, ...]


def feel_line(
    laid: Laid, name: str, pins: tuple[Pin, ...], battens: tuple[BattenChoice, ...] = ()
) -> Felt:
    """The line of that name in the hand, other lines with their pins; KeyError if there is none.

    Raises JobError for a pin that cannot be, and where there are too many crossings to send.
    """
    k, mirrored = laid_place(laid, name)
    if len(laid.nodes) > CROWD:
        raise JobError(
            f"The lines cross at {len(laid.nodes)} places, more than can be felt while the hand "
            "moves.",
            "Type a figure into the table of offsets instead: the lines follow at once.",
        )
    laid = with_battens(laid, battens)
    grips = find_grips(laid, pins)
    system = make_system(laid, grips, without=k)
    nodes = tuple(int(n) for n in np.unique(laid.lines[k].held.node))
    edge = (3 * np.array(nodes, dtype=np.int64)[:, None] + np.arange(3)).ravel()
    known = system.given.copy()
    known[edge] = True
    inner = ~known
    others = system.given.copy()
    others[edge] = False
    solver = np.linalg.inv(system.firm[np.ix_(inner, inner)])
    follow = -solver @ system.firm[np.ix_(inner, edge)]
    rest = -solver @ (system.firm[np.ix_(inner, others)] @ system.moves[others])
    firm = system.firm[np.ix_(edge, edge)] + system.firm[np.ix_(edge, inner)] @ follow
    load = -(
        system.firm[np.ix_(edge, others)] @ system.moves[others]
        + system.firm[np.ix_(edge, inner)] @ rest
    )
    still = system.moves.copy()
    still[inner], still[edge] = rest, 0.0
    ways = np.zeros((len(still), len(edge)))
    ways[edge, np.arange(len(edge))] = 1.0
    ways[inner] = follow
    return Felt(
        line=laid.lines[k],
        mirrored=mirrored,
        nodes=nodes,
        points=laid.points[list(nodes)],
        firm=firm,
        load=load,
        given=system.given[edge],
        moves=np.where(system.given[edge], system.moves[edge], 0.0),
        grips=tuple(grip if grip.line == k else None for grip in grips),
        followers=tuple(_followers(laid, k, grips, still, ways)),
    )


def _followers(
    laid: Laid, without: int, grips: tuple[Grip, ...], still: Array, ways: Array
) -> list[Follower]:
    found = []
    for k, line in enumerate(laid.lines):
        at, which, side = line_places(laid, k, grips)
        if k == without or not len(at):
            continue
        sign = np.stack([np.ones_like(side), side, np.ones_like(side)], axis=1)
        where = 3 * which[:, None] + np.arange(3)
        response = sign[:, :, None] * ways[where]
        if np.abs(response).max(initial=0.0) < NOTICED:
            continue
        found.append(_follower(line, at, sign * still[where], response))
    return found


def _follower(line: LaidLine, at: Array, still: Array, response: Array) -> Follower:
    draft = line.draft
    rows = draft.batten.rows(np.linspace(draft.start, draft.end, DRAWN))

    names = (line.sided.placed.name, *filter(None, [line.sided.partner]))

    def drawn(moves: Array) -> Array:
        control = draw_to(line, at, moves) if np.any(moves) else line.control
        return np.asarray(rows @ evened(control, line.sided, closed=draft.closed))

    points, laid_at = drawn(still), drawn(np.zeros_like(still))
    columns = [drawn(response[:, :, c]) - laid_at for c in range(response.shape[2])]
    return Follower(names, points, np.stack(columns, axis=2))
