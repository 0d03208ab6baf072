"""Networks of many crossings: lines with room for all of theirs, laid together and pulled.

The same least energy as in `laying` and `pulling`, reckoned by the sparse system of `springs`.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from buckwright.lines.batten import MOST_STIFF
from buckwright.lines.crossings import Node
from buckwright.lines.drafting import Draft, redraft
from buckwright.lines.sides import SidedLine
from buckwright.lines.springs import Asked, Springs, Sprung, make_springs

if TYPE_CHECKING:
    from buckwright.lines.grips import Grip
    from buckwright.lines.laying import Laid, Places

__all__ = ["CROWD", "lay_crowd", "pull_crowd", "with_room"]

Array = NDArray[np.float64]

CROWD = 300
"""Crossings beyond which the sparse system is the quicker one."""
FULL = 0.6
"""Share of its control points that a line may spend on its crossings."""
ROOM, SPARE = 1.25, 8
"""Control points for each crossing, and besides, of a line that has more."""
ROUNDS = 3


def with_room(draft: Draft, crossings: int) -> Draft:
    """The draft with control points enough to pass so many crossings, and still to bend.

    Never stiffer than double precision carries with so many, see `MOST_STIFF`: the line then has
    some nine half-waves to itself, which is more than its crossings leave it.
    """
    count = int(np.ceil(ROOM * crossings)) + SPARE
    if crossings <= FULL * draft.batten.count or count <= draft.batten.count:
        return draft
    wide = redraft(
        replace(draft, batten=replace(draft.batten, count=count)), draft.start, draft.end
    )
    most = wide.batten.floor * 10.0**MOST_STIFF
    return replace(wide, stiffness=np.minimum(wide.stiffness, most))


def lay_crowd(
    drafts: Sequence[Draft],
    sided: Sequence[SidedLine],
    nodes: Sequence[Node],
    places: Sequence["Places"],
) -> tuple[tuple[Draft, ...], Array]:
    """The drafts through their crossings, and where these lie (nodes, 3)."""
    springs = _springs(drafts, sided, nodes, places)
    rest = [draft.control for draft in drafts]
    rough = np.array([node.point for node in nodes])
    rough[[node.on_plane for node in nodes], 1] = 0.0
    controls, points = rest, rough
    targets = [draft.target for draft in drafts]
    for _ in range(ROUNDS):
        targets = [d.batten.along(c) for d, c in zip(drafts, controls, strict=True)]
        rest = [
            d.batten.bend(d.stiffness, target) for d, target in zip(drafts, targets, strict=True)
        ]
        moves = springs.settle(springs.gaps @ np.vstack([*rest, rough]).ravel())
        controls = [rest[k] + springs.of_line(moves, k) for k in range(len(drafts))]
        points = rough + springs.of_nodes(moves)
    held = tuple(
        replace(draft, control=control, target=target)
        for draft, control, target in zip(drafts, controls, targets, strict=True)
    )
    return held, points


def pull_crowd(laid: "Laid", grips: tuple["Grip", ...]) -> tuple[list[Array], Array]:
    """Moves of each line's control points, and (nodes, 3) of the crossings, under these grips."""
    springs = springs_of(laid)
    rows: list[sparse.csr_matrix] = []
    wanted: list[float] = []
    for grip in grips:
        for row, move in _readings(springs, laid, grip):
            rows.append(row)
            wanted.append(move)
    asked = Asked(sparse.csr_matrix(sparse.vstack(rows)), np.array(wanted))
    moves = springs.settle(np.zeros(springs.gaps.shape[0]), asked)
    return [springs.of_line(moves, k) for k in range(len(laid.lines))], springs.of_nodes(moves)


@lru_cache(maxsize=1)
def springs_of(laid: "Laid") -> Springs:
    """The factored system of laid lines; that of the last ones is kept for the next pull."""
    return _springs(
        [line.draft for line in laid.lines],
        [line.sided for line in laid.lines],
        laid.nodes,
        [line.held for line in laid.lines],
    )


def _springs(
    drafts: Sequence[Draft],
    sided: Sequence[SidedLine],
    nodes: Sequence[Node],
    places: Sequence["Places"],
) -> Springs:
    lines = [
        Sprung(d.batten, d.stiffness, s.share, p.at, p.node, p.side)
        for d, s, p in zip(drafts, sided, places, strict=True)
    ]
    return make_springs(lines, np.array([node.on_plane for node in nodes], dtype=bool))


def _readings(
    springs: Springs, laid: "Laid", grip: "Grip"
) -> list[tuple[sparse.csr_matrix, float]]:
    """The coordinates that a grip sets, and by how much it moves each."""
    if grip.node is not None:
        now, places = laid.points[grip.node], [(springs.starts[-1] + grip.node, np.ones(1), 1.0)]
    else:
        line = laid.lines[grip.line]
        draft, start = line.draft, springs.starts[grip.line]
        weights = draft.batten.rows(np.array([grip.at]))[0]
        now, places = weights @ line.control, [(start, weights, 1.0)]
        if line.sided.kind == "self" and not grip.on_plane:
            other = draft.batten.rows(np.array([draft.start + draft.end - grip.at]))[0]
            places.append((start, other, -1.0))
    found = []
    for axis in range(3):
        flat = axis == 1 and grip.on_plane
        if flat and grip.node is not None:
            continue
        if not flat and not np.isfinite(grip.point[axis]):
            continue
        move = 0.0 if flat else float(grip.point[axis] - now[axis])
        for point, weights, side in places:
            signed = side * move if axis == 1 else move
            found.append((springs.reading(int(point), weights, axis), signed))
    return found
