"""All lines faired together, so that they meet where they cross and both sides are mirror images.

Each batten, left to itself, would pass its nodes at `free` points; moving it to others costs
energy that is quadratic in the move. The nodes are placed where the sum of these energies over
all lines is least: every line gives way in measure of its doubt and its stiffness. That is one
small linear system for each coordinate; then every line is laid again through its nodes.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.lines.crossings import Node, find_nodes
from buckwright.lines.doubts import band_doubts, end_doubts, miss_doubts, side_doubts
from buckwright.lines.drafting import Draft, draft_line, pin_draft, redraft
from buckwright.lines.fairing import finish_line
from buckwright.lines.sides import MIRROR, SidedLine, as_sided
from buckwright.model.finding import Finding
from buckwright.model.lines import Crossing, Line, LineNetwork, LineSpec, PlacedLine

__all__ = ["fair_network"]

Array = NDArray[np.float64]

ROUNDS = 3


@dataclass(frozen=True, eq=False, slots=True)
class Pins:
    """Where one line is held: parameters, nodes, and 1 or -1 for the side of each."""

    at: Array
    node: NDArray[np.int64]
    side: Array


def fair_network(placed: tuple[PlacedLine, ...], specs: tuple[LineSpec, ...]) -> LineNetwork:
    """The fair lines with their crossings, in the order of `placed`, and what is in doubt.

    Lines of a pair end as exact mirror images; lines over the whole width are exactly symmetric,
    centre lines lie exactly in y = 0. Lines that cross share the point within 1e-6 mm.
    Raises JobError where the points of a line do not make a line.
    """
    sided = as_sided(placed, specs)
    drafts = tuple(draft_line(line.placed) for line in sided)
    nodes, misses = find_nodes(drafts, sided)
    pins = [_pins(k, drafts[k], sided[k], nodes) for k in range(len(sided))]
    drafts = tuple(
        redraft(draft, *_span(k, draft, sided[k], nodes)) for k, draft in enumerate(drafts)
    )
    points = _placed_nodes(drafts, sided, nodes, pins)
    for _ in range(ROUNDS - 1):
        drafts = tuple(_held(d, p, points) for d, p in zip(drafts, pins, strict=True))
        drafts = tuple(redraft(d, d.start, d.end) for d in drafts)
        points = _placed_nodes(drafts, sided, nodes, pins)
    drafts = tuple(_held(d, p, points) for d, p in zip(drafts, pins, strict=True))
    lines: dict[str, Line] = {}
    doubts: list[Finding] = [*side_doubts(sided), *miss_doubts(nodes, misses, sided)]
    doubts += end_doubts(drafts, nodes, sided)
    for draft, line, held in zip(drafts, sided, pins, strict=True):
        fair, band = finish_line(draft, line.placed, tolerance=line.tolerance, pins=held.at)
        lines |= _both_sides(fair, line)
        doubts += band_doubts(fair, band, draft)
    crossings = [
        crossing
        for node, point in zip(nodes, points, strict=True)
        for crossing in _crossings(node, point, drafts, sided)
    ]
    order = [line.name for line in placed if line.name in lines]
    order += [name for name in lines if name not in order]
    return LineNetwork(
        lines=tuple(lines[name] for name in order),
        crossings=tuple(crossings),
        findings=tuple(doubts),
    )


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


def _pins(k: int, draft: Draft, sided: SidedLine, nodes: tuple[Node, ...]) -> Pins:
    """The nodes on a line, in order; on a line over the whole width their mirror images too."""
    held = []
    for number, node in enumerate(nodes):
        if k not in node.at:
            continue
        held.append((node.at[k], number, 1.0))
        if sided.kind == "self" and not node.on_plane:
            held.append((draft.start + draft.end - node.at[k], number, -1.0))
    held.sort()
    return Pins(
        np.array([h[0] for h in held]),
        np.array([h[1] for h in held], dtype=np.int64),
        np.array([h[2] for h in held]),
    )


def _placed_nodes(
    drafts: tuple[Draft, ...],
    sided: tuple[SidedLine, ...],
    nodes: tuple[Node, ...],
    pins: list[Pins],
) -> Array:
    """(nodes, 3) points where the battens' energies together are least."""
    count = len(nodes)
    if not count:
        return np.empty((0, 3))
    system, load = np.zeros((3 * count, 3 * count)), np.zeros(3 * count)
    for draft, line, held in zip(drafts, sided, pins, strict=True):
        if not len(held.at):
            continue
        rows = draft.batten.rows(held.at)
        free = rows @ draft.batten.bend(draft.stiffness, draft.target)
        stiff = line.share * _stiffness_of(draft, rows)
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


def _stiffness_of(draft: Draft, rows: Array) -> Array:
    """(3 k, 3 k) force at the pins for a move of the pins, x, y, z of each in turn."""
    slack = draft.batten.compliance(rows, draft.stiffness)
    firm = np.linalg.inv(slack + 1e-12 * _mean_diagonal(slack) * np.eye(len(rows)))
    axes = draft.batten.axes
    blocks = np.einsum("akl,ai,aj->kilj", firm, axes, axes)
    return np.asarray(blocks.reshape(3 * len(rows), 3 * len(rows)))


def _mean_diagonal(slack: Array) -> Array:
    return np.asarray(np.trace(slack, axis1=1, axis2=2)[:, None, None])


def _points_of(held: Pins, points: Array) -> Array:
    """(k, 3) points of a line's pins."""
    at = points[held.node].copy()
    at[:, 1] *= held.side
    return at


def _held(draft: Draft, held: Pins, points: Array) -> Draft:
    if not len(held.at):
        return draft
    return pin_draft(draft, held.at, _points_of(held, points))


def _both_sides(fair: Line, sided: SidedLine) -> dict[str, Line]:
    """The line, made exactly symmetric or joined by its mirror image."""
    control = np.asarray(fair.control)
    if sided.kind == "self":
        return {fair.name: fair.model_copy(update={"control": _symmetric(fair)})}
    if sided.kind == "centre":
        return {fair.name: fair.model_copy(update={"control": control * [1.0, 0.0, 1.0]})}
    if sided.partner is None:
        return {fair.name: fair}
    return {
        fair.name: fair,
        sided.partner: fair.model_copy(update={"name": sided.partner, "control": control * MIRROR}),
    }


def _symmetric(line: Line) -> Array:
    """Control points, each averaged with the mirror image of its opposite number."""
    control = np.asarray(line.control)
    if not line.closed:
        return np.asarray(0.5 * (control + control[::-1] * MIRROR))
    free = len(control) - line.degree
    # Free point j has its middle (degree + 1) / 2 knots back: its opposite is 2 - j for cubics.
    opposite = np.mod(line.degree - 1 - np.arange(free), free)
    half = 0.5 * (control[:free] + control[opposite] * MIRROR)
    return np.vstack([half, half[: line.degree]])


def _crossings(
    node: Node, point: Array, drafts: tuple[Draft, ...], sided: tuple[SidedLine, ...]
) -> list[Crossing]:
    """Every two lines of a node, and their mirror images."""
    gaps = {frozenset(touch.lines): touch.gap for touch in node.touches}
    place = {k: _parameter(drafts[k], at) for k, at in node.at.items()}
    left = sorted((sided[k].placed.name, place[k], k) for k in node.at)
    sides = [left]
    if not node.on_plane:
        right = [
            (sided[k].partner or name, 1.0 - t if sided[k].kind == "self" else t, k)
            for name, t, k in left
            if sided[k].kind in ("self", "pair")
        ]
        sides.append(right)
    found = []
    for which, members in enumerate(sides):
        at = point if which == 0 else point * MIRROR
        for i, (name, t, k) in enumerate(members):
            for other, u, m in members[i + 1 :]:
                gap = gaps.get(frozenset((k, m)), 0.0)
                found.append(Crossing(lines=(name, other), parameters=(t, u), point=at, gap=gap))
    return found


def _parameter(draft: Draft, at: float) -> float:
    """From millimetres along the batten to the line's 0 to 1."""
    return float(np.clip((at - draft.start) / (draft.end - draft.start), 0.0, 1.0))
