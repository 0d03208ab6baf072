"""The fairest surface through given places: least variation of curvature on a triangle mesh."""

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from buckwright.geometry.flat_start import factor_positive
from buckwright.geometry.mesh import triangle_areas, vertex_normals
from buckwright.geometry.opened import OpenedMesh, opened_mesh, seen_vertices

__all__ = ["FairSurface", "Hold", "fair_vertices"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

STENCIL = 14
"""Vertices round a triangle that tell its third derivatives; a cubic has ten coefficients."""
NO_WALLS: Index = np.zeros((0, 2), dtype=np.int64)
BLOCK = 40_000
"""Triangles whose energies are worked out at a time."""
LEFT_OVER = 1.0
"""Weight of what a stencil's cubic leaves over."""
DAMPED = 1e-5
"""Where vertices lie in few rows some cubic is hardly seen: damped, it does not count too much."""
DERIVED = np.array([6.0, 2.0, 2.0, 6.0]) * np.sqrt([1.0, 3.0, 3.0, 1.0])
"""From cubic coefficients to the four third derivatives, weighed as in |grad^3|^2."""


class Hold:
    """What holds a surface: places that vertices keep, and places they are drawn to.

    `fixed` (k,) vertices stay at `fixed_at` (k, 3). `drawn` (s,) vertices are drawn to
    `drawn_to` (s, 3) with `stiffness` (s,), 1/mm^4 at each: energy = stiffness * distance^2.
    """

    def __init__(
        self, fixed: Index, fixed_at: Array, drawn: Index, drawn_to: Array, stiffness: Array
    ) -> None:
        self.fixed, self.fixed_at = fixed, fixed_at
        self.drawn, self.drawn_to, self.stiffness = drawn, drawn_to, stiffness


def fair_vertices(
    chart: Array,
    triangles: Index,
    known: Array | None,
    hold: Hold,
    grain: Array,
    opened: OpenedMesh | None = None,
) -> Array:
    """(n, 3) vertices of least integral |third derivatives|^2 in tangent planes of `known`.

    `known` (n, 3) is the surface as known so far, or None to begin with: then the chart's own
    axes serve. Seen in its own tangent plane a surface's third derivatives are the derivatives of
    its second fundamental form, so that an answer that reproduces itself varies its curvature
    least, and spheres, cylinders and planes cost nothing; feeding the answer back twice is
    usually enough. Nothing is asked of the surface beyond its free edges. `grain` (n, 2, 2)
    stretches the chart at each vertex before lengths are measured; identity matrices for none.

    `opened` is the mesh opened along creases, which the surface passes through with a break that
    costs nothing; `grain` is then that of its vertices.
    """
    return FairSurface(chart, triangles, known, grain, opened).vertices(hold)


class FairSurface:
    """The same for one mesh held in several ways: its energy is worked out once."""

    def __init__(
        self,
        chart: Array,
        triangles: Index,
        known: Array | None,
        grain: Array,
        opened: OpenedMesh | None = None,
    ) -> None:
        if opened is None:
            opened = opened_mesh(triangles, len(chart), NO_WALLS)
        self._count = len(chart)
        self._energy = _energy(chart, triangles, known, grain, opened)

    def vertices(self, hold: Hold) -> Array:
        """(n, k) the fairest vertices so held; k is 3, or any number of values side by side."""
        weight = np.zeros(self._count)
        weight[hold.drawn] = hold.stiffness
        right = np.zeros((self._count, hold.drawn_to.shape[1]))
        right[hold.drawn] = hold.stiffness[:, None] * hold.drawn_to
        matrix = (self._energy + sparse.diags(weight)).tocsr()
        free = np.setdiff1d(np.arange(self._count), hold.fixed)
        vertices = np.zeros_like(right)
        vertices[hold.fixed] = hold.fixed_at
        rows = matrix[free]
        vertices[free] = _solved(rows[:, free], right[free] - rows[:, hold.fixed] @ hold.fixed_at)
        return vertices


def _solved(matrix: sparse.csr_matrix, right: Array) -> Array:
    scale = 1.0 / np.sqrt(matrix.diagonal())
    inner = (sparse.diags(scale) @ matrix @ sparse.diags(scale)).tocsc()
    solver = factor_positive(inner)
    right = scale[:, None] * right
    found = solver.solve(right)
    # The matrix is badly scaled by nature (edge length to the sixth power): refine once.
    found += solver.solve(right - inner @ found)
    return np.asarray(scale[:, None] * found)


def _energy(
    chart: Array, triangles: Index, known: Array | None, grain: Array, opened: OpenedMesh
) -> sparse.csr_matrix:
    """(n, n) the energy of all triangles; taken in blocks, so that memory stays small."""
    count = len(chart)
    centres = chart[triangles].mean(axis=1)
    near = seen_vertices(chart, centres, min(STENCIL, count), opened.walls)
    normals = None
    if known is not None:
        normals = vertex_normals(known[opened.seats], opened.triangles)
    first, second = np.triu_indices(near.shape[1])
    total = sparse.csr_matrix((count, count))
    for start in range(0, len(triangles), BLOCK):
        some = slice(start, start + BLOCK)
        parted = opened.triangles[some]
        up = None if normals is None else normals[parted].sum(axis=1)
        at, areas = _local_places(chart, triangles[some], known, up, near[some])
        turned = _turned(grain[parted].mean(axis=1), chart, triangles[some], known)
        at = np.einsum("tij,tkj->tki", turned, at)
        blocks = _stencil_energies(at)[:, first, second] * areas[:, None]
        # Each pair once, the lower number first: the other half is the same.
        i, j = near[some][:, first], near[some][:, second]
        blocks[(i == j) & (first != second)] *= 2.0
        low, high = np.minimum(i, j).ravel(), np.maximum(i, j).ravel()
        total = total + sparse.csr_matrix((blocks.ravel(), (low, high)), shape=(count, count))
    return (total + sparse.triu(total, 1).T).tocsr()


def _turned(mean: Array, chart: Array, triangles: Index, known: Array | None) -> Array:
    """(m, 2, 2) the grain of each triangle in the axes of its stencil."""
    if known is None:
        return np.asarray(mean)
    side = chart[triangles[:, 1]] - chart[triangles[:, 0]]
    side /= np.linalg.norm(side, axis=1, keepdims=True)
    axes = np.stack([side, np.column_stack([-side[:, 1], side[:, 0]])], axis=1)
    return np.asarray(axes @ mean @ np.swapaxes(axes, 1, 2))


def _local_places(
    chart: Array, triangles: Index, known: Array | None, up: Array | None, near: Index
) -> tuple[Array, Array]:
    """(m, k, 2) the stencils in the tangent planes of their triangles, and the areas (m,)."""
    if known is None or up is None:
        centre = chart[triangles].mean(axis=1)
        return chart[near] - centre[:, None], np.abs(triangle_areas(chart, triangles))
    up = up / np.linalg.norm(up, axis=1, keepdims=True)
    corners = known[triangles]
    east = corners[:, 1] - corners[:, 0]
    east -= np.einsum("ij,ij->i", east, up)[:, None] * up
    east /= np.linalg.norm(east, axis=1, keepdims=True)
    north = np.cross(up, east)
    off = known[near] - corners.mean(axis=1)[:, None]
    places = np.stack([np.einsum("tki,ti->tk", off, axis) for axis in (east, north)], axis=2)
    return places, triangle_areas(known, triangles)


def _stencil_energies(places: Array) -> Array:
    """(m, k, k) energy of values at the places (m, k, 2), for a unit of area.

    The squared third derivatives of the cubic nearest to the values, those far from the middle
    counting less; and, lest waves as short as the mesh go unseen, what the cubic leaves over.
    """
    distance = np.linalg.norm(places, axis=2)
    size = distance.max(axis=1)
    x, y = np.moveaxis(places / size[:, None, None], 2, 0)
    count = np.exp(-1.5 * (distance / size[:, None]) ** 2)
    xx, xy, yy = x * x, x * y, y * y
    terms = np.stack([0.0 * x + 1.0, x, y, xx, xy, yy, xx * x, xx * y, x * yy, yy * y], axis=1)
    weighed = terms * count[:, None, :]
    square = weighed @ np.swapaxes(terms, 1, 2) + np.diag(6 * [1e-13] + 4 * [DAMPED])
    fit = np.linalg.solve(square, weighed)
    rows = fit[:, 6:] * DERIVED[:, None]
    energy = np.swapaxes(rows, 1, 2) @ rows - LEFT_OVER * (np.swapaxes(weighed, 1, 2) @ fit)
    corner = np.arange(energy.shape[1])
    energy[:, corner, corner] += LEFT_OVER * count
    return np.asarray(energy / size[:, None, None] ** 6)
