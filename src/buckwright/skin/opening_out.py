"""A ring of metal round an opening of several lines is divided, so that it can be laid flat."""

from heapq import heappop, heappush

import numpy as np

from buckwright.skin.line_map import LineMap, Piece, Territory

__all__ = ["opening_cuts"]

ALIKE = 0.05
"""Share of a piece's length by which its mirror image may be off."""


def opening_cuts(lines: LineMap, land: Territory) -> frozenset[Piece]:
    """The pieces that lead from an inner loop of the land to its outer one the shortest way.

    With their mirror images where the land has them. Empty where there is no way along lines, or
    no inner loop.
    """
    if len(land.loops) < 2:
        return frozenset()
    outer = {node for piece, _ in land.loops[0] for node in lines.ends(piece)}
    inner = {node for piece, _ in land.loops[1] for node in lines.ends(piece)}
    way = _shortest(lines, land.inner, inner, outer)
    return frozenset(way) | {p for p in (_mirror(lines, land, piece) for piece in way) if p}


def _shortest(
    lines: LineMap, pieces: frozenset[Piece], start: set[int], goal: set[int]
) -> list[Piece]:
    near: dict[int, list[tuple[int, Piece]]] = {}
    for piece in pieces:
        a, b = lines.ends(piece)
        near.setdefault(a, []).append((b, piece))
        near.setdefault(b, []).append((a, piece))
    queue: list[tuple[float, int, tuple[Piece, ...]]] = [(0.0, node, ()) for node in sorted(start)]
    done: set[int] = set()
    while queue:
        far, node, way = heappop(queue)
        if node in goal:
            return list(way)
        if node in done:
            continue
        done.add(node)
        for other, piece in near.get(node, []):
            heappush(queue, (far + lines.length(piece), other, (*way, piece)))
    return []


def _mirror(lines: LineMap, land: Territory, piece: Piece) -> Piece | None:
    """The piece inside the land that is the mirror image of this one, if there is another."""
    wanted = lines.middle(piece) * [1.0, -1.0, 1.0]
    room = ALIKE * lines.length(piece)
    others = [p for p in land.inner if p != piece]
    for other in sorted(others, key=lambda p: float(np.linalg.norm(lines.middle(p) - wanted))):
        same = abs(lines.length(other) - lines.length(piece)) < room
        if same and np.linalg.norm(lines.middle(other) - wanted) < room:
            return other
        break
    return None
