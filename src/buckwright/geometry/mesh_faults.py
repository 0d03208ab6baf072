"""Faults of a triangle mesh, and its shape as a whole: pieces, openings, handles."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import csgraph
from scipy.spatial import cKDTree

from buckwright.geometry.mesh import edges_of

__all__ = [
    "MeshForm",
    "crowded_edges",
    "mesh_form",
    "pinched_vertices",
    "repeated_triangles",
    "thin_triangles",
    "triangle_pieces",
    "turned_alike",
    "weld_vertices",
]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def weld_vertices(vertices: Array, triangles: Index, *, reach: float) -> tuple[Array, Index]:
    """The mesh with vertices (n, 3) nearer than `reach` to each other made one.

    Chains of near vertices become one too. Vertices without a triangle are left out; the others
    keep their order.
    """
    count = len(vertices)
    _, first, same = np.unique(vertices, axis=0, return_index=True, return_inverse=True)
    near = cKDTree(vertices[first]).query_pairs(reach, output_type="ndarray")
    ones = np.ones(len(near))
    links = sparse.csr_matrix((ones, (near[:, 0], near[:, 1])), shape=(len(first), len(first)))
    _, group = csgraph.connected_components(links, directed=False)
    label = group[same.ravel()]
    keeper = np.full(label.max() + 1, count)
    np.minimum.at(keeper, label, np.arange(count))
    used, welded = np.unique(keeper[label][triangles], return_inverse=True)
    return vertices[used], welded.reshape(-1, 3).astype(np.int64)


def thin_triangles(vertices: Array, triangles: Index) -> Index:
    """Triangles without area: a corner used twice, or lower than a millionth of their length."""
    corners = vertices[triangles]
    sides = np.roll(corners, -1, axis=1) - corners
    longest = np.einsum("mkd,mkd->mk", sides, sides).max(axis=1)
    double = np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1)
    return np.flatnonzero(double <= 1e-6 * longest)


def repeated_triangles(triangles: Index) -> Index:
    """Triangles whose three corners another one before them has, whatever the order."""
    _, first = np.unique(np.sort(triangles, axis=1), axis=0, return_index=True)
    return np.setdiff1d(np.arange(len(triangles)), first)


def crowded_edges(triangles: Index) -> Index:
    """(k, 2) edges at which more than two triangles meet."""
    edges, of_triangle = edges_of(triangles)
    return edges[np.bincount(of_triangle.ravel(), minlength=len(edges)) > 2]


def pinched_vertices(triangles: Index) -> Index:
    """Vertices at which the mesh only touches itself: their triangles do not form one fan."""
    _, of_triangle = edges_of(triangles)
    # A corner is joined to the corners of the next triangles at the same vertex.
    links = []
    corner = np.arange(triangles.size).reshape(-1, 3)
    for k in range(3):
        for side in ((k + 1) % 3, (k + 2) % 3):
            links.append(np.column_stack([of_triangle[:, side], triangles[:, k], corner[:, k]]))
    half = np.vstack(links)
    half = half[np.lexsort((half[:, 1], half[:, 0]))]
    same = (half[1:, :2] == half[:-1, :2]).all(axis=1)
    joined, size = (half[:-1, 2][same], half[1:, 2][same]), triangles.size
    graph = sparse.csr_matrix((np.ones(same.sum()), joined), shape=(size, size))
    _, fan = csgraph.connected_components(graph, directed=False)
    fans = np.unique(np.column_stack([triangles.ravel(), fan]), axis=0)[:, 0]
    vertex, count = np.unique(fans, return_counts=True)
    return vertex[count > 1].astype(np.int64)


def triangle_pieces(triangles: Index) -> Index:
    """(m,) number of the piece that each triangle belongs to, joined by edges; largest first."""
    _, of_triangle = edges_of(triangles)
    count = len(triangles)
    rows, edge = np.repeat(np.arange(count), 3), of_triangle.ravel()
    shape = (count, int(edge.max()) + 1)
    meets = sparse.csr_matrix((np.ones(len(rows)), (rows, edge)), shape=shape)
    _, label = csgraph.connected_components(meets @ meets.T, directed=False)
    order = np.argsort(-np.bincount(label), kind="stable")
    rank = np.empty(len(order), dtype=np.int64)
    rank[order] = np.arange(len(order))
    return np.asarray(rank[label], dtype=np.int64)


def turned_alike(triangles: Index) -> Index | None:
    """The triangles with the same side outward, as most of each piece had it; None if one-sided.

    No edge may be crowded.
    """
    sides = np.vstack([triangles[:, [1, 2]], triangles[:, [2, 0]], triangles[:, [0, 1]]])
    owner, forward = np.tile(np.arange(len(triangles)), 3), sides[:, 0] < sides[:, 1]
    key = np.sort(sides, axis=1)
    order = np.lexsort((key[:, 1], key[:, 0]))
    key, owner, forward = key[order], owner[order], forward[order]
    pair = np.flatnonzero((key[1:] == key[:-1]).all(axis=1))
    first, second, alike = owner[pair], owner[pair + 1], forward[pair] != forward[pair + 1]
    count = len(triangles)
    # Each triangle has two sides; a piece is two-sided when they fall into two classes.
    rows = np.concatenate([first, first + count])
    columns = np.concatenate(
        [np.where(alike, second, second + count), np.where(alike, second + count, second)]
    )
    graph = sparse.csr_matrix((np.ones(len(rows)), (rows, columns)), shape=(2 * count, 2 * count))
    _, label = csgraph.connected_components(graph, directed=False)
    front, back = label[:count], label[count:]
    if np.any(front == back):
        return None
    votes = np.bincount(label[:count], minlength=label.max() + 1)
    turned = triangles.copy()
    wrong = votes[front] < votes[back]
    turned[wrong] = turned[wrong][:, [0, 2, 1]]
    return turned


@dataclass(frozen=True, slots=True)
class MeshForm:
    """What a mesh is as a whole: pieces, boundaries (closed loops of free edges), and handles."""

    pieces: int
    boundaries: int
    handles: int

    @property
    def is_disc(self) -> bool:
        """Whether it is one piece with one boundary and no handle."""
        return (self.pieces, self.boundaries, self.handles) == (1, 1, 0)


def mesh_form(triangles: Index) -> MeshForm:
    """Form of a two-sided mesh without crowded edges or pinched vertices, by Euler's formula."""
    edges, of_triangle = edges_of(triangles)
    rim = edges[np.bincount(of_triangle.ravel(), minlength=len(edges)) == 1]
    pieces = int(triangle_pieces(triangles).max()) + 1
    boundaries = 0
    if len(rim):
        vertices, ends = np.unique(rim, return_inverse=True)
        ends, size = ends.reshape(-1, 2), len(vertices)
        graph = sparse.csr_matrix((np.ones(len(ends)), (ends[:, 0], ends[:, 1])), (size, size))
        boundaries = int(csgraph.connected_components(graph, directed=False)[0])
    euler = len(np.unique(triangles)) - len(edges) + len(triangles)
    return MeshForm(pieces, boundaries, (2 * pieces - boundaries - euler) // 2)
