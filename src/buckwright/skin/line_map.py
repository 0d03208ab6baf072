"""The lines of a body as a map: countries are its fields, borders the pieces of its lines.

Each connected part of the network covers a closed surface by itself: its own outside is a field
like the others. Regions are fields with nothing but passable pieces between them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.polyline import polyline_length
from buckwright.skin.fields import face_walks, line_rings
from buckwright.skin.sampling import Samples
from buckwright.skin.turning_order import handles, settle_order

__all__ = ["LineMap", "Piece", "Territory"]

Array = NDArray[np.float64]
Pair = tuple[int, int]
Piece = tuple[str, int]
"""A line and the number of one of its arcs."""


@dataclass(frozen=True, eq=False, slots=True)
class Territory:
    """Fields joined over passable pieces."""

    fields: frozenset[int]
    loops: tuple[tuple[tuple[Piece, bool], ...], ...]
    """Round it with the land on the left, the longest first: pieces, and whether each is
    followed against the sense of its line."""
    inner: frozenset[Piece]
    """Pieces with this land on both sides."""

    def border(self) -> frozenset[Piece]:
        """Pieces on its loops."""
        return frozenset(piece for loop in self.loops for piece, _ in loop)


class LineMap:
    """Fields on both sides of every piece of line."""

    def __init__(self, samples: Samples) -> None:
        self.samples = samples
        self.pieces: dict[Piece, NDArray[np.int64]] = {
            (name, k): arc.vertices
            for name, arcs in samples.arcs.items()
            for k, arc in enumerate(arcs)
        }
        sides = [pair for vertices in self.pieces.values() for pair in _pairs(vertices)]
        self.ring = line_rings(samples.points, sides)
        for part in self.parts:
            settle_order(samples.points, self.ring, [self.pieces[p] for p in sorted(part)])
        self.walks = face_walks(self.ring)
        face_of = {side: k for k, walk in enumerate(self.walks) for side in _round(walk)}
        self.left = {p: face_of[int(v[0]), int(v[1])] for p, v in self.pieces.items()}
        self.right = {p: face_of[int(v[1]), int(v[0])] for p, v in self.pieces.items()}

    def length(self, piece: Piece) -> float:
        """Length of a piece, mm."""
        return polyline_length(self.samples.points[self.pieces[piece]])

    def ends(self, piece: Piece) -> Pair:
        """The nodes of a piece."""
        vertices = self.pieces[piece]
        return int(vertices[0]), int(vertices[-1])

    def middle(self, piece: Piece) -> Array:
        """The point half-way along a piece, (3,)."""
        vertices = self.pieces[piece]
        return np.asarray(self.samples.points[vertices[len(vertices) // 2]])

    @cached_property
    def parts(self) -> tuple[frozenset[Piece], ...]:
        """Pieces that hang together, the longest part first."""
        parent: dict[int, int] = {}

        def top(v: int) -> int:
            while parent.setdefault(v, v) != v:
                v = parent[v]
            return v

        for piece in self.pieces:
            a, b = (top(v) for v in self.ends(piece))
            parent[a] = b
        found: dict[int, list[Piece]] = {}
        for piece in self.pieces:
            found.setdefault(top(self.ends(piece)[0]), []).append(piece)
        lengths = {part: sum(map(self.length, part)) for part in map(frozenset, found.values())}
        return tuple(sorted(lengths, key=lambda part: -lengths[part]))

    def excess(self, part: Iterable[Piece]) -> int:
        """0 where the pieces lie in order on one surface, else twice the handles it would need."""
        return handles(self.ring, [self.pieces[piece] for piece in part])

    def territories(self, part: Iterable[Piece], walls: frozenset[Piece]) -> list[Territory]:
        """The land of one part, divided by the walls, that with most line on it first."""
        pieces = sorted(part)
        owner = {side[p]: side[p] for p in pieces for side in (self.left, self.right)}

        def top(k: int) -> int:
            while owner[k] != k:
                k = owner[k]
            return k

        for piece in pieces:
            if piece not in walls:
                owner[top(self.left[piece])] = top(self.right[piece])
        lands: dict[int, set[int]] = {}
        for k in owner:
            lands.setdefault(top(k), set()).add(k)
        found = [self._territory(frozenset(fields), pieces) for fields in lands.values()]
        sizes = {t: sum(map(self.length, (*t.border(), *t.inner))) for t in found}
        return sorted(found, key=lambda t: -sizes[t])

    def _territory(self, fields: frozenset[int], pieces: list[Piece]) -> Territory:
        inner, border = set(), {}
        for piece in pieces:
            on_left, on_right = self.left[piece] in fields, self.right[piece] in fields
            if on_left and on_right:
                inner.add(piece)
            elif on_left or on_right:
                border[self._start(piece, turned=on_right)] = (piece, on_right)
        loops = self._loops(border)
        length = {loop: sum(self.length(piece) for piece, _ in loop) for loop in loops}
        return Territory(fields, tuple(sorted(loops, key=lambda p: -length[p])), frozenset(inner))

    def _start(self, piece: Piece, *, turned: bool) -> Pair:
        """The first side of a piece as it is followed."""
        v = self.pieces[piece]
        return (int(v[-1]), int(v[-2])) if turned else (int(v[0]), int(v[1]))

    def _loops(
        self, border: dict[Pair, tuple[Piece, bool]]
    ) -> list[tuple[tuple[Piece, bool], ...]]:
        left, loops = dict(border), []
        while left:
            start = side = min(left)
            loop = []
            while True:
                piece, turned = left.pop(side)
                loop.append((piece, turned))
                vertices = self.pieces[piece]
                came, node = (vertices[1], vertices[0]) if turned else (vertices[-2], vertices[-1])
                side = self._onward(int(came), int(node), border)
                if side == start:
                    break
            loops.append(tuple(loop))
        return loops

    def _onward(self, came: int, node: int, border: dict[Pair, tuple[Piece, bool]]) -> Pair:
        """The next side of the border at a node, passing over pieces inside the land."""
        near = self.ring[node]
        at = near.index(came)
        for turn in range(1, len(near) + 1):
            side = (node, near[at - turn])
            if side in border:
                return side
        message = "a border ends in the air"
        raise ValueError(message)


def _pairs(vertices: NDArray[np.int64]) -> list[Pair]:
    return list(pairwise(vertices.tolist()))


def _round(walk: list[int]) -> list[Pair]:
    return list(zip(walk, [*walk[1:], walk[0]], strict=True))
