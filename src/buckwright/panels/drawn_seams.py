"""A seam drawn through points of the skin, laid along edges of its mesh."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.geodesic import Geodesics, MeshPath
from buckwright.geometry.mesh import edges_of, triangle_normals
from buckwright.geometry.path_cut import cut_along_path
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.finding import Finding
from buckwright.model.panels import SeamSpec

__all__ = ["LaidSeam", "lay_seam"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_REACH = 40.0
"""mm within which the end of a seam is carried on to the region's edge or an earlier seam."""
_BESIDE = 0.4
"""Part of an edge within which a point of a seam lies on a line that the seam crosses there."""
_APART = 3.0
"""Edges between two points of a seam, at least: a finer polyline is thinned to this."""
_NEAR = 0.3
"""Part of an edge within which a seam that passes a vertex goes through it."""
_STRAIGHT = -float(np.cos(np.radians(25.0)))
_OFF = 60.0
"""mm beyond which a point is not on the skin at all."""


@dataclass(frozen=True, eq=False, slots=True)
class LaidSeam:
    """A mesh with edges along a seam.

    Attributes: vertices (n, 3), the old ones first, some moved a little; triangles (m, 3); edges
    (k, 2) along the seam, in order; parents (j, 2), ends of the old edge that each vertex from
    `first` on divides; findings.
    """

    vertices: Array
    triangles: Index
    edges: Index
    parents: Index
    first: int
    findings: tuple[Finding, ...]


def lay_seam(
    seam: SeamSpec, surface: CurvedMesh, mesh: tuple[Array, Index], walls: dict[str, Index]
) -> LaidSeam:
    """The mesh cut along a seam, on the smooth `surface` behind it.

    `walls` are edges along lines and earlier seams, which stay where they are. Raises JobError
    for a seam with fewer than two points, off the region, or one that crosses itself.
    """
    vertices, triangles = mesh
    points = _on_region(seam, surface)
    kept = _kept_edges(triangles, walls)
    chain, moved, held = _stops(points, seam, (vertices, triangles), kept)
    if len(chain) < (4 if seam.closed else 2):
        raise JobError(
            f"The points of seam '{seam.name}' lie too near to each other.",
            "Draw it through points farther apart.",
        )
    try:
        path = _path(Geodesics(moved, triangles), chain)
        cut = cut_along_path(moved, triangles, _through_near(path, moved))
    except ValueError as error:
        raise _crosses_itself(seam) from error
    way = cut.way[:-1] if seam.closed else cut.way
    if len(np.unique(way)) < len(way):
        raise _crosses_itself(seam)
    first = len(vertices)
    new = np.arange(first, len(cut.vertices))
    # A vertex that the path passed very near was taken for the path: it goes onto the path now.
    free = np.setdiff1d(way, kept)
    placed = np.array(cut.vertices)
    _, placed[free], _ = closest_on_polyline(placed[free], path.points)
    lifted = np.union1d(free, new)
    placed[lifted], _ = surface.lift(placed[lifted])
    edges = np.column_stack([cut.way[:-1], cut.way[1:]])
    return LaidSeam(placed, cut.triangles, edges, cut.halved, first, _loose_ends(seam, held))


def _crosses_itself(seam: SeamSpec) -> JobError:
    return JobError(
        f"Seam '{seam.name}' crosses or touches itself.",
        "Draw it again without the loop, or as two seams.",
    )


def _kept_edges(triangles: Index, walls: dict[str, Index]) -> Index:
    """(k, 2) edges of the rim and of walls, lower vertex first."""
    edges, of_triangle = edges_of(triangles)
    rim = edges[np.bincount(of_triangle.ravel(), minlength=len(edges)) == 1]
    return np.unique(np.sort(np.vstack([rim, *walls.values()]), axis=1), axis=0)


def _on_region(seam: SeamSpec, surface: CurvedMesh) -> Array:
    """The seam's points on the smooth surface (k, 3)."""
    if len(seam.through) < 2:
        raise JobError(
            f"Seam '{seam.name}' has no line and fewer than two points.",
            "Name the line that it runs along, or draw it through two points at least.",
        )
    given = np.array(seam.through, dtype=np.float64)
    off, _, triangle, weights = surface.locator.closest(given)
    far = int(np.argmax(np.abs(off)))
    if abs(off[far]) > _OFF:
        x, y, z = given[far]
        raise JobError(
            f"Seam '{seam.name}' leaves region '{seam.region}': its point x {x:.0f}, y {y:.0f}, "
            f"z {z:.0f} lies {abs(off[far]):.0f} mm away from it.",
            "Draw it on that region, or name the region that it lies on.",
        )
    return surface.at(triangle, weights)[0]


def _stops(
    points: Array, seam: SeamSpec, mesh: tuple[Array, Index], kept: Index
) -> tuple[list[int], Array, tuple[bool, bool]]:
    """Vertices that the seam passes, the mesh with these on it, whether its ends hold.

    A closed seam's first vertex comes again at its end.
    """
    moved, triangles = mesh[0].copy(), mesh[1]
    edges, _ = edges_of(triangles)
    side = float(np.median(np.linalg.norm(np.diff(moved[edges], axis=1)[:, 0], axis=1)))
    ends: list[int | None] = [None, None]
    if not seam.closed:
        ends = [_on_kept_edge(points[k], moved, kept, _REACH) for k in (0, -1)]
    first, last = ([] if end is None else [moved[end]] for end in ends)
    inner = _thinned(points, _APART * side, [*first, *last])
    free = np.setdiff1d(np.arange(len(moved)), kept)
    chain = [] if ends[0] is None else [ends[0]]
    for point in inner:
        held = _on_kept_edge(point, moved, kept, _BESIDE * side)
        vertex = int(free[np.argmin(np.linalg.norm(moved[free] - point, axis=1))])
        if held is None and vertex not in chain:
            _move(moved, triangles, vertex, point)
        chosen = vertex if held is None else held
        if chosen not in chain:
            chain.append(chosen)
    if ends[1] is not None and ends[1] not in chain:
        chain.append(ends[1])
    if seam.closed:
        chain.append(chain[0])
    return chain, moved, (ends[0] is not None, ends[1] is not None)


def _on_kept_edge(point: Array, moved: Array, kept: Index, reach: float) -> int | None:
    """The vertex of the nearest kept edge, moved along it to face the point; None beyond reach."""
    start, side = moved[kept[:, 0]], moved[kept[:, 1]] - moved[kept[:, 0]]
    part = np.einsum("kd,kd->k", point - start, side) / np.einsum("kd,kd->k", side, side)
    foot = start + np.clip(part, 0.0, 1.0)[:, None] * side
    gap = np.linalg.norm(foot - point, axis=1)
    nearest = int(np.argmin(gap))
    if gap[nearest] > reach:
        return None
    vertex = int(kept[nearest, int(part[nearest] > 0.5)])
    # A corner, or a vertex where lines meet, stays.
    mine = kept[(kept == vertex).any(axis=1)]
    others = moved[mine.sum(axis=1) - vertex] - moved[vertex]
    others /= np.linalg.norm(others, axis=1, keepdims=True)
    if len(mine) == 2 and float(others[0] @ others[1]) < _STRAIGHT:
        moved[vertex] = foot[nearest]
    return vertex


def _thinned(points: Array, step: float, ends: list[Array]) -> list[Array]:
    """The points that are corners, and others at least `step` from the one before and the ends."""
    way = np.diff(points, axis=0)
    way /= np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-12)
    corner = np.ones(len(points), dtype=np.bool_)
    corner[1:-1] = np.einsum("kd,kd->k", way[:-1], way[1:]) < -_STRAIGHT
    found: list[Array] = []
    for k, point in enumerate(points):
        near = [*ends, *found[-1:], *(points[k + 1 :][corner[k + 1 :]][:1])]
        gap = min((float(np.linalg.norm(point - other)) for other in near), default=np.inf)
        if gap >= (0.5 * step if corner[k] else step):
            found.append(point)
    return found


def _move(moved: Array, triangles: Index, vertex: int, point: Array) -> None:
    """Move a vertex to the point unless a triangle there would turn over."""
    touching = triangles[(triangles == vertex).any(axis=1)]
    before, old = triangle_normals(moved, touching), moved[vertex].copy()
    moved[vertex] = point
    after = triangle_normals(moved, touching)
    if np.einsum("kd,kd->k", before, after).min() < 0.5:
        moved[vertex] = old


def _path(geodesics: Geodesics, chain: list[int]) -> MeshPath:
    """The straight ways from each vertex of the chain to the next, as one."""
    legs = [geodesics.between(a, b) for a, b in pairwise(chain)]
    cuts = [slice(0 if k == 0 else 1, None) for k in range(len(legs))]
    return MeshPath(
        np.vstack([leg.points[cut] for leg, cut in zip(legs, cuts, strict=True)]),
        np.vstack([leg.edges[cut] for leg, cut in zip(legs, cuts, strict=True)]),
        np.concatenate([leg.part[cut] for leg, cut in zip(legs, cuts, strict=True)]),
    )


def _through_near(path: MeshPath, vertices: Array) -> MeshPath:
    """The path led through every vertex that it passes near, so that no slivers are left."""
    near: set[int] = set()
    nodes = list(zip(path.edges.tolist(), path.part.tolist(), strict=True))
    for (a, b), part in nodes:
        near |= {a} if part < _NEAR else {b} if part > 1.0 - _NEAR else set()
    led: list[tuple[int, int, float]] = []
    for (a, b), part in nodes:
        if a in near and part <= 0.5:
            node = (a, a, 0.0)
        elif b in near and part >= 0.5:
            node = (b, b, 0.0)
        else:
            node = (a, b, part)
        if led[-2:-1] == [node] and node[0] == node[1]:
            led.pop()
        elif led[-1:] != [node]:
            led.append(node)
    edges = np.array([node[:2] for node in led], dtype=np.int64)
    part = np.array([node[2] for node in led])
    start = vertices[edges[:, 0]]
    return MeshPath(start + part[:, None] * (vertices[edges[:, 1]] - start), edges, part)


def _loose_ends(seam: SeamSpec, held: tuple[bool, bool]) -> tuple[Finding, ...]:
    if seam.closed or all(held):
        return ()
    place = seam.through[0] if not held[0] else seam.through[-1]
    return (
        Finding(
            code="seam-ends-inside",
            where=seam.region,
            message=f"Seam '{seam.name}' ends inside the region, near x {place[0]:.0f}, "
            f"y {place[1]:.0f}, z {place[2]:.0f}, and parts nothing there.",
            remedy="Draw it on to the region's edge or to another seam.",
        ),
    )
