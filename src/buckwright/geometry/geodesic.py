"""Straight ways over an open triangle mesh: locally shortest paths, exact on its flat triangles.

A shortest way along edges is pulled taut inside the row of triangles that it passes, unfolded
into the plane; where it then bends round a vertex that it could pass on the other side more
shortly, the row is led round there, until no such vertex is left. The method, in other words:
Xin and Wang, 'Efficiently determining a locally exact shortest path on polyhedral surfaces',
Computer-Aided Design 39 (2007), doi:10.1016/j.cad.2007.08.001.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import dijkstra

from buckwright.geometry.mesh import edges_of
from buckwright.geometry.sleeve import Bend, taut_path

__all__ = ["Geodesics", "MeshPath"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_ROUNDS = 2000
"""Vertices led round at most; a path over a panel needs as many as it has triangles."""


@dataclass(frozen=True, eq=False, slots=True)
class MeshPath:
    """A way over a mesh, point by point.

    Attributes: points (k, 3); edges (k, 2), the vertices of the edge that each point lies on, and
    part (k,), how far from the first to the second; a point at a vertex has it twice, part 0.
    """

    points: Array
    edges: Index
    part: Array


class Geodesics:
    """Finds straight ways between vertices of one mesh; build once, ask often.

    The mesh (n, 3), (m, 3) hangs together, its triangles are turned alike and at no edge meet
    more than two.
    """

    def __init__(self, vertices: Array, triangles: Index) -> None:
        self.vertices, self.triangles = vertices, triangles
        self._points = vertices.tolist()
        self._corners = triangles.tolist()
        self._owner = {
            (t[k], t[(k + 1) % 3]): i for i, t in enumerate(self._corners) for k in range(3)
        }
        edges, _ = edges_of(triangles)
        lengths = np.linalg.norm(vertices[edges[:, 0]] - vertices[edges[:, 1]], axis=1)
        size = (len(vertices), len(vertices))
        self._graph = sparse.csr_matrix((lengths, (edges[:, 0], edges[:, 1])), shape=size)
        self._whole = _corner_sums(vertices, triangles)
        self._before: dict[int, Index] = {}

    def between(self, start: int, end: int) -> MeshPath:
        """The straight way from one vertex to another.

        It is shortest among those near it; a way round the other side of a hill may be shorter.
        Raises ValueError where the two are the same or no way joins them.
        """
        if start == end:
            message = "a path needs two different ends"
            raise ValueError(message)
        row = self._trimmed(self._row(self._chain(start, end)), start, end)
        for _ in range(_ROUNDS):
            nodes, bends = taut_path(self._points, self._corners, row, start, end)
            bend = self._shortcut(bends)
            if bend is None:
                break
            row = self._trimmed(self._led_round(row, bend), start, end)
        edges = np.array([(a, b) for a, b, _ in nodes], dtype=np.int64)
        part = np.array([p for _, _, p in nodes])
        here, there = self.vertices[edges[:, 0]], self.vertices[edges[:, 1]]
        return MeshPath(here + part[:, None] * (there - here), edges, part)

    def _chain(self, start: int, end: int) -> list[int]:
        """Vertices of the shortest way along edges."""
        if start not in self._before:
            _, before = dijkstra(
                self._graph, directed=False, indices=start, return_predecessors=True
            )
            self._before[start] = before
        chain = [end]
        while chain[-1] != start:
            step = int(self._before[start][chain[-1]])
            if step < 0:
                message = "no way over the mesh joins the two vertices"
                raise ValueError(message)
            chain.append(step)
        return chain[::-1]

    def _row(self, chain: list[int]) -> list[int]:
        """Triangles that follow each other beside the chain, each sharing an edge with the next."""
        row = [self._beside(chain[0], chain[1])]
        for before, here, after in zip(chain[:-2], chain[1:-1], chain[2:], strict=True):
            sides = ((here, after), (after, here))
            goals = {self._owner[side] for side in sides if side in self._owner}
            turn = self._turned(row[-1], here, goals, left=True)
            if turn is None:
                turn = self._turned(row[-1], here, goals, left=False)
            assert turn is not None, (before, here, after)
            row += turn[1:]
        return row

    def _beside(self, a: int, b: int) -> int:
        owner = self._owner.get((a, b))
        return self._owner[b, a] if owner is None else owner

    def _turned(self, first: int, pivot: int, goals: set[int], *, left: bool) -> list[int] | None:
        """Triangles round the pivot from the first to a goal, counter-clockwise for `left`.

        None where the rim comes between.
        """
        found, here = [first], first
        while here not in goals:
            corners = self._corners[here]
            k = corners.index(pivot)
            edge = (pivot, corners[k - 1]) if left else (corners[(k + 1) % 3], pivot)
            following = self._owner.get(edge)
            if following is None or following == first:
                return None
            found.append(following)
            here = following
        return found

    def _shortcut(self, bends: list[Bend]) -> Bend | None:
        """The bend with most to gain by passing its vertex on the other side."""
        best, gain = None, 1e-9
        for bend in bends:
            spare = np.pi - (self._whole[bend.vertex] - bend.inside)
            if spare > gain:
                best, gain = bend, spare
        return best

    def _led_round(self, row: list[int], bend: Bend) -> list[int]:
        first, last = row[bend.first], row[bend.last]
        turn = self._turned(first, bend.vertex, {last}, left=not bend.left)
        assert turn is not None, "a vertex with less than half a turn outside has no rim there"
        return row[: bend.first] + turn + row[bend.last + 1 :]

    def _trimmed(self, row: list[int], start: int, end: int) -> list[int]:
        """The row without going there and back, and without triangles round its ends."""
        kept: list[int] = []
        for triangle in row:
            if triangle in kept:
                del kept[kept.index(triangle) + 1 :]
            else:
                kept.append(triangle)
        first = max(i for i, t in enumerate(kept) if start in self._corners[t])
        last = min(i for i, t in enumerate(kept) if i >= first and end in self._corners[t])
        return kept[first : last + 1]


def _corner_sums(vertices: Array, triangles: Index) -> Array:
    """(n,) sum of the corners round each vertex; endless at the rim, which nothing passes."""
    total = np.zeros(len(vertices))
    for k in range(3):
        here = vertices[triangles[:, k]]
        u = vertices[triangles[:, (k + 1) % 3]] - here
        v = vertices[triangles[:, (k + 2) % 3]] - here
        angle = np.arctan2(np.linalg.norm(np.cross(u, v), axis=1), np.einsum("ij,ij->i", u, v))
        np.add.at(total, triangles[:, k], angle)
    edges, of_triangle = edges_of(triangles)
    rim = edges[np.bincount(of_triangle.ravel(), minlength=len(edges)) == 1]
    total[rim.ravel()] = np.inf
    return total
