"""Which pieces of line divide the skin: edges, lines that nothing crosses, what the hand says."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from buckwright.model.fields import FieldChoice
from buckwright.model.lines import LineSpec
from buckwright.skin.line_map import LineMap, Piece

__all__ = ["Walls", "part_walls"]

ON_PLANE = 2.0
"""mm from the centre plane within which a line lies in it."""
REACH = 30.0
"""mm from the place of a correction within which its piece of line must pass."""


@dataclass(frozen=True, slots=True)
class Walls:
    """What divides one connected part of the network."""

    pieces: frozenset[Piece]
    edges: frozenset[Piece]
    """Those of them along which metal may end; tape is laid on metal both sides of it."""
    joined: frozenset[Piece]
    """Pieces that the hand says divide nothing."""
    why: str
    """How they were chosen, as the end of a sentence."""


def part_walls(
    lines: LineMap,
    part: frozenset[Piece],
    specs: Sequence[LineSpec],
    choices: Sequence[FieldChoice],
) -> Walls:
    """Edges divide; where no line is marked as one, lines do that no other passes."""
    marked = {spec.name for spec in specs if spec.mark == "edge"}
    edges = {piece for piece in part if piece[0] in marked}
    why = "bounded by edges"
    if not edges:
        names = {name for name, _ in part}
        uncrossed = {name for name in names if not _is_crossed(lines, name)}
        edges = {piece for piece in part if piece[0] in uncrossed}
        why = "bounded by lines that no other passes, for none is marked as an edge"
    if _is_half(lines, part):
        edges |= {piece for piece in part if _in_plane(lines, piece)}
        why += " and by the centre plane"
    edges |= _closing(lines, part, frozenset(edges))
    parted = {c.lines[0] for c in choices if c.what == "part"}
    joined = frozenset(_joined(lines, part, choices))
    walls = (edges | {piece for piece in part if piece[0] in parted}) - joined
    return Walls(frozenset(walls), frozenset(edges - joined), joined, why)


def _is_crossed(lines: LineMap, name: str) -> bool:
    """Whether another line goes away from it on both sides of one of its nodes."""
    arcs = lines.samples.arcs[name]
    following = list(pairwise(arcs))
    if arcs[0].vertices[0] == arcs[-1].vertices[-1]:
        following.append((arcs[-1], arcs[0]))
    for before, after in following:
        node = int(after.vertices[0])
        near = lines.ring[node]
        came, goes = near.index(int(before.vertices[-2])), near.index(int(after.vertices[1]))
        between = (goes - came) % len(near) - 1
        if 0 < between < len(near) - 2:
            return True
    return False


def _is_half(lines: LineMap, part: Iterable[Piece]) -> bool:
    """Whether a part keeps to the left of the centre plane and has a line in it."""
    pieces = list(part)
    points = np.vstack([lines.samples.points[lines.pieces[p]] for p in pieces])
    return bool(points[:, 1].max() < ON_PLANE) and any(_in_plane(lines, p) for p in pieces)


def _in_plane(lines: LineMap, piece: Piece) -> bool:
    points = lines.samples.points[lines.pieces[piece]]
    return bool(np.abs(points[:, 1]).max() < ON_PLANE)


def _closing(lines: LineMap, part: frozenset[Piece], walls: frozenset[Piece]) -> set[Piece]:
    """Pieces of tape that close an edge which starts and ends on that tape, as a window's sill."""
    found: set[Piece] = set()
    land = {k: t for t in lines.territories(part, walls) for k in t.fields}
    for name in sorted({p[0] for p in walls}):
        own = [p for p in sorted(walls) if p[0] == name]
        loose = all(land[lines.left[p]] is land[lines.right[p]] for p in own)
        arcs = lines.samples.arcs[name]
        ends = {int(arcs[0].vertices[0]), int(arcs[-1].vertices[-1])}
        if not loose or len(ends) < 2:
            continue
        for tape in sorted({p[0] for p in part} - {name}):
            if ends <= lines.samples.nodes(tape):
                found |= _between(lines, tape, ends)
                break
    return found


def _between(lines: LineMap, tape: str, ends: set[int]) -> set[Piece]:
    """Pieces of a line between two of its nodes."""
    nodes = [int(arc.vertices[0]) for arc in lines.samples.arcs[tape]]
    nodes.append(int(lines.samples.arcs[tape][-1].vertices[-1]))
    low, high = sorted(nodes.index(node) for node in ends)
    return {(tape, k) for k in range(low, high)}


def _joined(
    lines: LineMap, part: frozenset[Piece], choices: Sequence[FieldChoice]
) -> Iterable[Piece]:
    """The pieces that pass the places at which the hand joined what they divide."""
    for choice in choices:
        if choice.what != "join":
            continue
        near = {
            piece: float(
                np.linalg.norm(lines.samples.points[lines.pieces[piece]] - choice.at, axis=1).min()
            )
            for piece in part
            if piece[0] == choice.lines[0]
        }
        if near:
            piece = min(near, key=lambda p: near[p])
            if near[piece] < REACH:
                yield piece
