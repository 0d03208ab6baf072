"""Where a mesh lies below a fair surface through its surroundings."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from buckwright.geometry.fairness import FairSurface, Hold, fair_vertices
from buckwright.geometry.mesh import boundary_loops, edges_of, vertex_areas, vertex_normals

__all__ = ["EDGE", "Hollow", "below_fair", "find_hollows", "laid_across"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Mask = NDArray[np.bool_]

EDGE = 0.1
"""Share of its depth where a hollow ends."""
MARGIN, ROUND_IT = 0.7, 1.0
"""Times a hollow's radius that is taken out beyond it, and that is held round that."""
HIGH = 0.9
"""Beside a hollow the mesh may stand out of the fair one by this share of the depth."""
SHOULDER = 2.0
"""Times depth / diameter^2 by which the mesh must be bent more on both sides of a hollow."""
SECTORS = 8
SCALES = (1.0, 0.55)
"""Of the width: beside a tight bend small hollows are lost in what a long wave makes of the bend.
"""


@dataclass(frozen=True, eq=False, slots=True)
class Hollow:
    """A place where the mesh lies below.

    Attributes: deepest vertex; depth, mm; members (k,) vertices that lie below by more than a
    tenth of it; below (n,) mm at every vertex, nothing away from it.
    """

    deepest: int
    depth: float
    members: Index
    below: Array


def below_fair(
    chart: Array, vertices: Array, triangles: Index, waves: Sequence[float]
) -> tuple[Array, ...]:
    """(n,) mm by which vertices lie inside surfaces without waves shorter than each of `waves`.

    The chart (n, 2) is a flat picture of the mesh without folds. Negative where they stand out.
    """
    every = np.arange(len(vertices))
    areas, normals = vertex_areas(vertices, triangles), vertex_normals(vertices, triangles)
    none = np.zeros(0, dtype=np.int64)
    surface = FairSurface(chart, triangles, vertices, _even(len(vertices)))
    found = []
    for wave in waves:
        stiffness = (2.0 * np.pi / wave) ** 6 * areas
        fair = surface.vertices(Hold(none, np.zeros((0, 3)), every, vertices, stiffness))
        found.append(np.asarray(np.einsum("ij,ij->i", fair - vertices, normals)))
    return tuple(found)


def laid_across(chart: Array, vertices: Array, triangles: Index, taken: Mask) -> Array:
    """(n, 3) vertices with those taken out laid fairly across from the others, which stay."""
    held = np.flatnonzero(~taken)
    none = np.zeros(0, dtype=np.int64)
    hold = Hold(held, vertices[held], none, np.zeros((0, 3)), np.zeros(0))
    known = vertices
    for _ in range(2):
        known = fair_vertices(chart, triangles, known, hold, _even(len(vertices)))
    return known


def find_hollows(
    chart: Array, vertices: Array, triangles: Index, mean: Array, *, least: float, wave: float
) -> tuple[Hollow, ...]:
    """Hollows deeper than `least` mm and narrower than `wave` mm, the deepest first.

    `mean` (n,) is the mean curvature. A hollow is bent less than what lies on both sides of it,
    across at least; ground beside a tight bend is none, though a fair surface would cut the bend.
    """
    mesh = _Mesh(chart, vertices, triangles, mean)
    found: list[Hollow | None] = []
    waves = [scale * wave for scale in SCALES]
    for off, short in zip(below_fair(chart, vertices, triangles, waves), waves, strict=True):
        peaks = mesh.peaks(off, 0.4 * least, short)
        found += [mesh.hollow(peak, off, least, wave) for peak in peaks]
    real = sorted((h for h in found if h is not None), key=lambda h: -h.depth)
    kept: list[Hollow] = []
    for hollow in real:
        if not any(hollow.deepest in other.members for other in kept):
            kept.append(hollow)
    return tuple(kept)


def _even(count: int) -> Array:
    return np.tile(np.eye(2), (count, 1, 1))


class _Mesh:
    def __init__(self, chart: Array, vertices: Array, triangles: Index, mean: Array) -> None:
        self.chart, self.vertices, self.triangles, self.mean = chart, vertices, triangles, mean
        self.edges, _ = edges_of(triangles)
        self.areas = vertex_areas(vertices, triangles)
        self.normals = vertex_normals(vertices, triangles)
        self.tree = cKDTree(vertices)
        self.rim = np.zeros(len(vertices), dtype=bool)
        for loop in boundary_loops(triangles):
            self.rim[loop] = True

    def peaks(self, off: Array, least: float, wave: float) -> list[int]:
        """Vertices that lie deepest among their surroundings, and not at the rim."""
        order = [int(v) for v in np.argsort(-off) if off[v] > least]
        covered = np.zeros(len(off), dtype=bool)
        found = []
        for v in order:
            if covered[v]:
                continue
            covered[self.tree.query_ball_point(self.vertices[v], 0.25 * wave)] = True
            a, b = self.edges.T
            near = np.concatenate([b[a == v], a[b == v]])
            if not self.rim[v] and off[v] >= off[near].max():
                found.append(v)
        return found

    def hollow(self, peak: int, off: Array, least: float, wave: float) -> Hollow | None:
        core = self._joined(peak, off > EDGE * off[peak])
        if self._extent(core) > wave:
            return None
        radius = float(np.sqrt(self.areas[core].sum() / np.pi))
        round_it = self.tree.query_ball_point(self.vertices[peak], 2.0 * radius)
        if -off[round_it].min() > HIGH * off[peak]:
            return None
        below = self._below(core, radius)
        deepest = core[int(np.argmax(below[core]))]
        depth = float(below[deepest])
        if depth < least:
            return None
        members = self._joined(int(deepest), below > EDGE * depth)
        across = 2.0 * float(np.sqrt(self.areas[members].sum() / np.pi))
        if self._extent(members) > wave or not self._shouldered(int(deepest), depth, across):
            return None
        return Hollow(int(deepest), depth, members, below)

    def _extent(self, members: Index) -> float:
        """The lesser extent."""
        off = self.vertices[members] - self.vertices[members].mean(axis=0)
        return float(np.ptp(off @ np.linalg.svd(off, full_matrices=False)[2][1]))

    def _joined(self, start: int, mask: Mask) -> Index:
        a, b = self.edges[mask[self.edges].all(axis=1)].T
        size = len(self.vertices)
        graph = sparse.csr_matrix((np.ones(len(a)), (a, b)), shape=(size, size))
        _, label = connected_components(graph, directed=False)
        return np.asarray(np.flatnonzero(label == label[start]), dtype=np.int64)

    def _below(self, core: Index, radius: float) -> Array:
        """(n,) mm below a surface laid across the core and a margin; 0 elsewhere."""
        gap, _ = cKDTree(self.vertices[core]).query(
            self.vertices, distance_upper_bound=(MARGIN + ROUND_IT) * radius
        )
        local = np.flatnonzero(np.isfinite(gap))
        new = np.full(len(self.vertices), -1, dtype=np.int64)
        new[local] = np.arange(len(local))
        triangles = new[self.triangles]
        triangles = triangles[(triangles >= 0).all(axis=1)]
        used = np.unique(triangles)
        local, triangles = local[used], np.searchsorted(used, triangles)
        taken = (gap[local] <= MARGIN * radius) & ~self.rim[local]
        across = laid_across(self.chart[local], self.vertices[local], triangles, taken)
        below = np.zeros(len(self.vertices))
        below[local] = np.einsum("ij,ij->i", across - self.vertices[local], self.normals[local])
        return below

    def _shouldered(self, deepest: int, depth: float, across: float) -> bool:
        """Whether the mesh is bent more on two opposite sides than in the middle."""
        near = np.array(self.tree.query_ball_point(self.vertices[deepest], 0.75 * across))
        off = self.vertices[near] - self.vertices[deepest]
        normal = self.normals[deepest]
        east = np.cross(normal, np.eye(3)[int(np.argmin(np.abs(normal)))])
        x, y = off @ east, off @ np.cross(normal, east)
        away = np.hypot(x, y)
        middle = float(self.mean[near[away < max(0.2 * across, away[away > 0.0].min())]].mean())
        ring = away > 0.35 * across
        sector = np.floor(np.arctan2(y, x) / (2.0 * np.pi) * SECTORS).astype(int) % SECTORS
        wanted = middle + SHOULDER * depth / across**2
        bent = [
            bool((ring & (sector == k)).any())
            and float(self.mean[near[ring & (sector == k)]].mean()) > wanted
            for k in range(SECTORS)
        ]
        return any(bent[k] and bent[k + SECTORS // 2] for k in range(SECTORS // 2))
