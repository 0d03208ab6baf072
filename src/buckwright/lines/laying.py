"""All lines laid fair together, so that they meet where they cross.

Each batten, left to itself, would pass its nodes at `free` points; moving it to others costs
energy that is quadratic in the move. The nodes are placed where the sum of these energies over
all lines is least: every line gives way in measure of its doubt and its stiffness. That is one
small linear system for each coordinate; then every line is laid again through its nodes.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckwright.lines.band import Band
from buckwright.lines.batten import Batten
from buckwright.lines.both_sides import evened
from buckwright.lines.crossings import Node, Touch, find_nodes
from buckwright.lines.crowd import CROWD, lay_crowd, with_room
from buckwright.lines.drafting import Draft, draft_line, pin_draft, redraft
from buckwright.lines.fairing import settle_line
from buckwright.lines.held_lines import RunOn, hold_lines, run_direction, with_direction
from buckwright.lines.sides import SidedLine, as_sided
from buckwright.model.holds import LineHold
from buckwright.model.lines import LineSpec, PlacedLine

__all__ = ["Laid", "LaidLine", "Places", "firmness", "lay_network"]

Array = NDArray[np.float64]

ROUNDS = 3


@dataclass(frozen=True, eq=False, slots=True)
class Places:
    """Where one line is held: parameters, nodes, and 1 or -1 for the side of each."""

    at: Array
    node: NDArray[np.int64]
    side: Array


@dataclass(frozen=True, eq=False, slots=True)
class LaidLine:
    """One line as it lies when nobody has pulled it."""

    draft: Draft
    sided: SidedLine
    held: Places
    control: Array
    """(m, 3) free control points."""
    band: Band


@dataclass(frozen=True, eq=False, slots=True)
class Laid:
    """The lines that are faired once, their nodes, and where these lie."""

    lines: tuple[LaidLine, ...]
    nodes: tuple[Node, ...]
    misses: tuple[Touch, ...]
    points: Array
    """(nodes, 3)."""
    order: tuple[str, ...]
    """Names of the lines as they were placed."""
    run_ons: tuple[RunOn, ...] = ()
    """Ends that run on from another line."""


def lay_network(
    placed: tuple[PlacedLine, ...],
    specs: tuple[LineSpec, ...],
    holds: tuple[LineHold, ...] = (),
) -> Laid:
    """Every line fair, drawn together at its crossings, in its band, with what it keeps.

    Raises JobError where the points of a line do not make a line, or it cannot keep that.
    """
    sided = as_sided(placed, specs)
    drafts = tuple(draft_line(line.placed) for line in sided)
    nodes, misses = find_nodes(drafts, sided)
    run_ons: tuple[RunOn, ...] = ()
    if holds:
        spans = [_span(k, draft, sided[k], nodes) for k, draft in enumerate(drafts)]
        drafts, run_ons = hold_lines(drafts, sided, spans, holds)
        nodes, misses = find_nodes(drafts, sided)
        sided = tuple(_as_typed(line, draft) for line, draft in zip(sided, drafts, strict=True))
    places = [_places(k, drafts[k], sided[k], nodes) for k in range(len(sided))]
    drafts = tuple(
        redraft(draft, *_span(k, draft, sided[k], nodes)) for k, draft in enumerate(drafts)
    )
    drafts = tuple(with_room(d, len(p.at)) for d, p in zip(drafts, places, strict=True))
    lay = lay_crowd if len(nodes) > CROWD else _laid_together
    drafts, points = lay(drafts, sided, nodes, places)
    lines = [_laid(d, s, p) for d, s, p in zip(drafts, sided, places, strict=True)]
    for run_on in run_ons:
        lines[run_on.line] = _running_on(run_on, lines, points)
    return Laid(tuple(lines), nodes, misses, points, tuple(line.name for line in placed), run_ons)


def _laid_together(
    drafts: tuple[Draft, ...],
    sided: tuple[SidedLine, ...],
    nodes: tuple[Node, ...],
    places: Sequence[Places],
) -> tuple[tuple[Draft, ...], Array]:
    """The drafts through their nodes, and where these lie (nodes, 3)."""
    points = _placed_nodes(drafts, sided, nodes, places)
    for _ in range(ROUNDS - 1):
        drafts = tuple(_held(d, p, points) for d, p in zip(drafts, places, strict=True))
        drafts = tuple(redraft(d, d.start, d.end) for d in drafts)
        points = _placed_nodes(drafts, sided, nodes, places)
    return tuple(_held(d, p, points) for d, p in zip(drafts, places, strict=True)), points


def firmness(batten: Batten, rows: Array, stiffness: Array) -> Array:
    """(3 k, 3 k) force at k places for a move of them, x, y, z of each in turn."""
    slack = batten.compliance(rows, stiffness)
    mean = np.trace(slack, axis1=1, axis2=2)[:, None, None]
    firm = np.linalg.inv(slack + 1e-12 * mean * np.eye(len(rows)))
    blocks = np.einsum("akl,ai,aj->kilj", firm, batten.axes, batten.axes)
    return np.asarray(blocks.reshape(3 * len(rows), 3 * len(rows)))


def _as_typed(sided: SidedLine, draft: Draft) -> SidedLine:
    """A tolerance that was typed is the whole of it."""
    return sided if draft.band is None else replace(sided, tolerance=0.0)


def _running_on(run_on: RunOn, lines: Sequence[LaidLine], points: Array) -> LaidLine:
    """The line laid again in the direction of the one that it runs on from."""
    line = lines[run_on.line]
    way = run_direction(
        run_on, [one.draft for one in lines], [one.control for one in lines], line.control
    )
    kept = with_direction(line.draft, run_on, way, both=line.sided.kind == "self")
    draft = redraft(line.draft, line.draft.start, line.draft.end, kept=kept)
    return _laid(_held(draft, line.held, points), line.sided, line.held)


def _laid(draft: Draft, sided: SidedLine, held: Places) -> LaidLine:
    control, band = settle_line(draft, tolerance=sided.tolerance, pins=held.at)
    return LaidLine(draft, sided, held, evened(control, sided, closed=draft.closed), band)


def _span(k: int, draft: Draft, sided: SidedLine, nodes: tuple[Node, ...]) -> tuple[float, float]:
    """Start and end of a line, moved to the nodes it ends on."""
    ends = [draft.start, draft.end]
    for node in nodes:
        end = node.ends.get(k, -1)
        if end >= 0:
            ends[end] = node.at[k]
    if sided.kind == "self" and not draft.closed:
        ends[1] = draft.start + draft.end - ends[0]
    return ends[0], ends[1]


def _places(k: int, draft: Draft, sided: SidedLine, nodes: tuple[Node, ...]) -> Places:
    """The nodes on a line, in order; on a line over the whole width their mirror images too."""
    held = []
    for number, node in enumerate(nodes):
        if k not in node.at:
            continue
        held.append((node.at[k], number, 1.0))
        if sided.kind == "self" and not node.on_plane:
            held.append((draft.start + draft.end - node.at[k], number, -1.0))
    held.sort()
    return Places(
        np.array([h[0] for h in held]),
        np.array([h[1] for h in held], dtype=np.int64),
        np.array([h[2] for h in held]),
    )


def _placed_nodes(
    drafts: tuple[Draft, ...],
    sided: tuple[SidedLine, ...],
    nodes: tuple[Node, ...],
    places: Sequence[Places],
) -> Array:
    """(nodes, 3) points where the battens' energies together are least."""
    count = len(nodes)
    if not count:
        return np.empty((0, 3))
    system, load = np.zeros((3 * count, 3 * count)), np.zeros(3 * count)
    for draft, line, held in zip(drafts, sided, places, strict=True):
        if not len(held.at):
            continue
        rows = draft.batten.rows(held.at)
        free = rows @ draft.batten.bend(draft.stiffness, draft.target)
        stiff = line.share * firmness(draft.batten, rows, draft.stiffness)
        sign = np.stack([np.ones_like(held.side), held.side, np.ones_like(held.side)], axis=1)
        where = (3 * held.node[:, None] + np.arange(3)).ravel()
        signed = sign.ravel()[:, None] * stiff * sign.ravel()
        np.add.at(system, (where[:, None], where[None, :]), signed)
        np.add.at(load, where, sign.ravel() * (stiff @ free.ravel()))
    for number, node in enumerate(nodes):
        if node.on_plane:
            row = 3 * number + 1
            system[row], system[:, row] = 0.0, 0.0
            system[row, row], load[row] = 1.0, 0.0
    return np.asarray(np.linalg.solve(system, load).reshape(-1, 3))


def _held(draft: Draft, held: Places, points: Array) -> Draft:
    if not len(held.at):
        return draft
    where = points[held.node].copy()
    where[:, 1] *= held.side
    return pin_draft(draft, held.at, where)
