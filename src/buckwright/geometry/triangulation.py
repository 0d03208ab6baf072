"""Even triangulations of plane regions whose edges follow given polylines.

A region is bounded by an outer loop; further polylines (holes, lines across it) become edges.
"""

from collections.abc import Callable

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import Delaunay, cKDTree

from buckwright.geometry.mesh import edges_of

__all__ = [
    "conforming_triangles",
    "crossing_sides",
    "triangles_within",
    "triangulate_region",
]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Spacing = Callable[[Array], Array]
"""Wanted edge length at points (k, 2), (k,)."""

CLEAR = 0.62
"""Least distance of free points from lines, as a share of the wanted edge length."""


def triangulate_region(
    points: Array, loop: Index, sides: Index, spacing: Spacing, *, rounds: int = 6
) -> tuple[Array, Index]:
    """Given points with free ones added between them, and even triangles over the region.

    Parameters: points (k, 2), all of which become vertices, first and in order; loop (l,) the
    outer boundary by index into points, counter-clockwise; sides (s, 2) further pairs that must
    be edges; spacing, the wanted edge length. Returns: (n, 2) points, (m, 3) triangles,
    counter-clockwise. Raises ValueError where sides cross each other.
    """
    rim = np.column_stack([loop, np.roll(loop, -1)])
    every = np.unique(np.sort(np.vstack([rim, sides]), axis=1), axis=0)
    outline = shapely.Polygon(points[loop])
    shapely.prepare(outline)
    middles = 0.5 * (points[every[:, 0]] + points[every[:, 1]])
    kept = cKDTree(np.vstack([points, middles]))
    free = _scattered(outline, kept, spacing)
    for _ in range(rounds):
        everything = np.vstack([points, free])
        free = _settled(everything, len(points), outline, kept, spacing)
    everything = np.vstack([points, free])
    return everything, conforming_triangles(everything, rim, every)


def conforming_triangles(points: Array, rim: Index, sides: Index) -> Index:
    """(m, 3) triangles inside the rim with every side (s, 2) among their edges.

    Delaunay's triangles, with edges turned where a side is missing. `rim` (r, 2) are the sides
    of the closed outer boundary; they are among `sides`, lower index first.
    """
    simplices = Delaunay(points).simplices.astype(np.int64)
    a, b, c = (points[simplices[:, k]] for k in range(3))
    u, v = b - a, c - a
    turned = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] < 0.0
    simplices[turned] = simplices[turned][:, ::-1]
    simplices = _with_sides(points, simplices, sides)
    return simplices[triangles_within(simplices, rim)]


def crossing_sides(points: Array, sides: Index) -> Index:
    """(k, 2) pairs of sides, by index, that cross or touch without sharing an end."""
    segments = shapely.linestrings(points[sides])
    tree = shapely.STRtree(segments)
    first, second = tree.query(segments, predicate="intersects")
    apart = first < second
    first, second = first[apart], second[apart]
    shared = (sides[first][:, :, None] == sides[second][:, None, :]).any(axis=(1, 2))
    return np.column_stack([first[~shared], second[~shared]]).astype(np.int64)


def _scattered(outline: shapely.Polygon, kept: cKDTree, spacing: Spacing) -> Array:
    """Free points of a triangular grid, thinned where the wanted spacing is wider."""
    low, high = np.array(outline.bounds[:2]), np.array(outline.bounds[2:])
    probe = low + (high - low) * np.stack(np.meshgrid(*2 * [np.linspace(0, 1, 24)]), -1).reshape(
        -1, 2
    )
    probe = probe[shapely.contains_xy(outline, probe[:, 0], probe[:, 1])]
    step = float(spacing(probe).min()) if len(probe) else float(np.min(spacing(low[None])))
    across = np.arange(low[0] + 0.25 * step, high[0], step)
    up = np.arange(low[1] + 0.3 * step, high[1], step * np.sqrt(0.75))
    x, y = np.meshgrid(across, up)
    x = x + 0.5 * step * (np.arange(len(up)) % 2)[:, None]
    grid = np.column_stack([x.ravel(), y.ravel()])
    grid = grid[shapely.contains_xy(outline, grid[:, 0], grid[:, 1])]
    if not len(grid):
        return np.asarray(grid)
    wanted = spacing(grid)
    clear = kept.query(grid)[0] > CLEAR * wanted
    grid, wanted = grid[clear], wanted[clear]
    if not len(grid) or wanted.max() < 1.12 * step:
        return np.asarray(grid)
    return np.asarray(grid[_thinned(grid, wanted)])


def _thinned(grid: Array, wanted: Array) -> NDArray[np.bool_]:
    """Which points stay so that none has another nearer than 0.85 of the wanted spacing.

    Points are judged by a fixed scatter of priorities (golden-ratio sequence), in rounds.
    """
    near = 0.85 * wanted
    pairs = cKDTree(grid).query_pairs(float(near.max()), output_type="ndarray")
    gap = np.linalg.norm(grid[pairs[:, 0]] - grid[pairs[:, 1]], axis=1)
    pairs = pairs[gap < 0.5 * (near[pairs[:, 0]] + near[pairs[:, 1]])]
    rank = np.mod(np.arange(len(grid)) * 0.6180339887498949, 1.0)
    stays, gone = np.zeros(len(grid), dtype=bool), np.zeros(len(grid), dtype=bool)
    while not np.all(stays | gone):
        open_ = ~(stays | gone)
        live = pairs[open_[pairs].all(axis=1)]
        beaten = np.zeros(len(grid), dtype=bool)
        beaten[np.where(rank[live[:, 0]] < rank[live[:, 1]], live[:, 0], live[:, 1])] = True
        stays |= open_ & ~beaten
        hit = pairs[stays[pairs].any(axis=1)]
        gone[hit.ravel()] = True
        gone &= ~stays
    return stays


def _settled(
    points: Array, held: int, outline: shapely.Polygon, kept: cKDTree, spacing: Spacing
) -> Array:
    """Free points moved towards the middle of their neighbours' triangles, clear of the lines."""
    free = points[held:]
    if not len(free):
        return free
    triangles = Delaunay(points).simplices
    corners = points[triangles]
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    middle = corners.mean(axis=1)
    # Mass as if density fell with the square of the wanted spacing, so that areas follow it.
    mass = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / spacing(middle) ** 2
    mass *= shapely.contains_xy(outline, middle[:, 0], middle[:, 1])
    total = np.bincount(triangles.ravel(), np.repeat(mass, 3), minlength=len(points))
    moved = (
        np.column_stack(
            [
                np.bincount(triangles.ravel(), np.repeat(mass * middle[:, k], 3), len(points))
                for k in range(2)
            ]
        )
        / np.maximum(total, 1e-300)[:, None]
    )
    new = np.where(total[held:, None] > 0.0, moved[held:], free)
    gap, nearest = kept.query(new)
    least = CLEAR * spacing(new)
    off = new - kept.data[nearest]
    pushed = kept.data[nearest] + off * (least / np.maximum(gap, 1e-12))[:, None]
    new = np.where((gap < least)[:, None], pushed, new)
    good = shapely.contains_xy(outline, new[:, 0], new[:, 1])
    good &= kept.query(new)[0] > 0.5 * least
    # A free point pressed out between two lines is not needed there.
    return np.asarray(new[good])


def _edge_numbers(pairs: Index, count: int) -> Index:
    low, high = pairs.min(axis=1), pairs.max(axis=1)
    return np.asarray(low * count + high)


def _with_sides(points: Array, triangles: Index, sides: Index) -> Index:
    """Triangles with edges turned until every side is an edge."""
    edges, _ = edges_of(triangles)
    present = np.isin(_edge_numbers(sides, len(points)), _edge_numbers(edges, len(points)))
    missing = sides[~present]
    if not len(missing):
        return triangles
    turner = _EdgeTurner(points, triangles)
    for a, b in missing.tolist():
        turner.make_edge(a, b)
    for a, b in sides.tolist():
        turner.need_edge(a, b)
    return turner.triangles


class _EdgeTurner:
    """Turns edges inside quadrilaterals until a wanted edge appears.

    Reference: Sloan, 'A fast algorithm for generating constrained Delaunay triangulations',
    Computers and Structures 47 (1993), doi:10.1016/0045-7949(93)90239-A.
    """

    def __init__(self, points: Array, triangles: Index) -> None:
        self.points, self.triangles = points, triangles.copy()
        self.owner: dict[tuple[int, int], int] = {}
        for t, (a, b, c) in enumerate(self.triangles.tolist()):
            self.owner[a, b] = self.owner[b, c] = self.owner[c, a] = t

    def _side(self, a: int, b: int, c: int) -> float:
        (ax, ay), (bx, by), (cx, cy) = self.points[[a, b, c]]
        return float((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))

    def _apex(self, a: int, b: int) -> int:
        return int(sum(self.triangles[self.owner[a, b]]) - a - b)

    def _cross(self, a: int, b: int, p: int, q: int) -> bool:
        if len({a, b, p, q}) < 4:
            return False
        return (
            self._side(a, b, p) * self._side(a, b, q) < 0.0
            and self._side(p, q, a) * self._side(p, q, b) < 0.0
        )

    def _crossed(self, a: int, b: int) -> list[tuple[int, int]]:
        """Edges (p, q), p < q, that cross a-b, in the order of their triangles."""
        first = self.triangles.ravel()
        second = np.roll(self.triangles, -1, axis=1).ravel()
        ends = np.column_stack([first, second])[first < second]
        start, end = self.points[[a, b]]
        p, q = self.points[ends[:, 0]], self.points[ends[:, 1]]
        apart = _turn(start, end, p) * _turn(start, end, q) < 0.0
        apart &= _turn(p, q, start) * _turn(p, q, end) < 0.0
        apart &= ~np.isin(ends, [a, b]).any(axis=1)
        return [(int(i), int(j)) for i, j in ends[apart]]

    def make_edge(self, a: int, b: int) -> None:
        """Turn edges until a-b is one, as far as that goes."""
        queue = [] if (a, b) in self.owner or (b, a) in self.owner else self._crossed(a, b)
        for _ in range(20 * len(queue) + 200):
            if not queue:
                break
            p, q = queue.pop(0)
            r, s = self._apex(p, q), self._apex(q, p)
            if self._side(r, s, p) * self._side(r, s, q) >= 0.0:
                queue.append((p, q))
                continue
            self._turn(p, q, r, s)
            if self._cross(a, b, r, s):
                queue.append((r, s))

    def need_edge(self, a: int, b: int) -> None:
        """ValueError if a-b is no edge: a vertex or another side is in its way."""
        if (a, b) not in self.owner and (b, a) not in self.owner:
            message = f"no edge can be made between points {a} and {b}"
            raise ValueError(message)

    def _turn(self, p: int, q: int, r: int, s: int) -> None:
        """Edge p-q (apex r on its left, s on its right) becomes r-s."""
        first, second = self.owner.pop((p, q)), self.owner.pop((q, p))
        self.triangles[first], self.triangles[second] = (r, p, s), (s, q, r)
        for t in (first, second):
            a, b, c = self.triangles[t].tolist()
            self.owner[a, b] = self.owner[b, c] = self.owner[c, a] = t


def _turn(a: Array, b: Array, c: Array) -> Array:
    """Twice the area of a, b, c (..., 2), counter-clockwise positive."""
    u, v = b - a, c - a
    return np.asarray(u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0])


def triangles_within(triangles: Index, walls: Index) -> NDArray[np.bool_]:
    """(m,) which triangles of a connected mesh lie within closed walls.

    `walls` (w, 2) are edges that form closed loops; crossing one leads in, crossing another out.
    Outside is what lies at the mesh's own boundary (where this is a wall itself: beyond it).
    Raises ValueError where a wall is no edge, so that the loops are not closed.
    """
    count = int(triangles.max()) + 1
    edges, of_triangle = edges_of(triangles)
    wall = np.isin(_edge_numbers(edges, count), _edge_numbers(walls, count))
    if wall.sum() != len(walls):
        message = "a closed loop crosses itself or is not made of edges"
        raise ValueError(message)
    left, right, edge = _neighbours(of_triangle)
    open_ = ~wall[edge]
    joined = csr_matrix(
        (np.ones(int(open_.sum())), (left[open_], right[open_])), shape=2 * (len(triangles),)
    )
    parts, label = connected_components(joined, directed=False)
    once = np.bincount(of_triangle.ravel(), minlength=len(edges)) == 1
    rim, corner = np.nonzero(once[of_triangle])
    depth = np.full(parts, -1)
    depth[label[rim]] = wall[of_triangle[rim, corner]]
    links = np.column_stack([label[left[~open_]], label[right[~open_]]])
    return np.asarray(_alternating(depth, links)[label] == 1)


def _neighbours(of_triangle: Index) -> tuple[Index, Index, Index]:
    """Pairs of triangles that share an edge, and the edge."""
    order = np.argsort(of_triangle.ravel(), kind="stable")
    edge, owner = of_triangle.ravel()[order], order // 3
    paired = np.flatnonzero(edge[:-1] == edge[1:])
    return owner[paired], owner[paired + 1], edge[paired]


def _alternating(depth: Index, links: Index) -> Index:
    """Depth 0 or 1 spread over links, changing at each; -1 is not known yet."""
    while True:
        known = depth[links] >= 0
        fresh = known.sum(axis=1) == 1
        if not fresh.any():
            return depth
        told = np.where(known[fresh, 0], links[fresh, 0], links[fresh, 1])
        new = links[fresh].sum(axis=1) - told
        depth[new] = 1 - depth[told]
