"""A region of the skin with edges of its mesh along every line and seam."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.cut_mesh import cut_mesh, divided_edges
from buckwright.geometry.mesh import edges_of
from buckwright.geometry.refine import refine_mesh, refined_chain
from buckwright.model.finding import Finding
from buckwright.model.panels import SeamSpec
from buckwright.model.skin import LineTrack, SkinRegion
from buckwright.panels.drawn_seams import lay_seam

__all__ = ["CutRegion", "Plane", "cut_region", "plane_name"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Mask = NDArray[np.bool_]
Plane = tuple[str, float]
"""An axis and a value."""

_FINE = 8.0
"""mm, length of an edge. Even triangles of 25 mm give a wing 10 % too much strain energy, uneven
ones up to 60 %; at 8 mm it is 1 % and 8 %."""
_MOST = 60_000
"""Triangles of a region beyond which it is not made finer."""


@dataclass(frozen=True, eq=False, slots=True)
class CutRegion:
    """A region with edges along all its lines and seams.

    Attributes: vertices (n, 3), triangles (m, 3); edges, for each line, seam and plane the (k, 2)
    edges along it, in order; side, for each plane -1 or 1 for each triangle (m,); inner, names of
    lines that lie inside; findings.
    """

    vertices: Array
    triangles: Index
    edges: dict[str, Index]
    side: dict[Plane, Index]
    inner: tuple[str, ...]
    findings: tuple[Finding, ...]


def plane_name(plane: Plane) -> str:
    """What an edge along a plane is called: `x = -160`."""
    return f"{plane[0]} = {plane[1]:g}"


def cut_region(region: SkinRegion, planes: Sequence[Plane], seams: Sequence[SeamSpec]) -> CutRegion:
    """The region made finer and cut along the seams drawn on it, in order, then along planes.

    Raises JobError for a seam that is neither along a line of the region nor through two points
    of it, and for one that crosses itself.
    """
    parts = _fineness(region)
    vertices, triangles = refine_mesh(region.vertices, region.triangles, parts)
    surface = CurvedMesh(vertices, triangles)
    edges = _line_edges(region, parts)
    findings: list[Finding] = []
    for seam in seams:
        if seam.line:
            edges[seam.name] = _along_line(seam, edges)
            continue
        laid = lay_seam(seam, surface, (vertices, triangles), edges)
        vertices, triangles = laid.vertices, laid.triangles
        edges = {name: divided_edges(e, laid.parents, laid.first) for name, e in edges.items()}
        edges[seam.name] = laid.edges
        findings += laid.findings
    side: dict[Plane, Index] = {}
    if planes:
        vertices, triangles, edges = _cut_at_planes(surface, (vertices, triangles), edges, planes)
        middle = vertices[triangles].mean(axis=1)
        side = {p: np.where(middle[:, "xyz".index(p[0])] < p[1], -1, 1) for p in planes}
    for plane in planes:
        edges[plane_name(plane)] = _between_sides(triangles, side[plane])
    inner = tuple(dict.fromkeys(track.line for track in region.inner))
    return CutRegion(vertices, triangles, edges, side, inner, tuple(findings))


def _fineness(region: SkinRegion) -> int:
    """Parts of each edge that tell the strain well, unless that is too many triangles."""
    edges, _ = edges_of(region.triangles)
    lengths = np.linalg.norm(np.diff(region.vertices[edges], axis=1)[:, 0], axis=1)
    wanted = int(np.ceil(float(np.median(lengths)) / _FINE))
    allowed = int(np.sqrt(_MOST / len(region.triangles)))
    return max(1, min(wanted, allowed))


def _line_edges(region: SkinRegion, parts: int) -> dict[str, Index]:
    found: dict[str, list[Index]] = {}
    for track in (*region.boundary, *region.inner, *region.holes):
        found.setdefault(track.line, []).append(_pairs(region, track, parts))
    return {name: np.vstack(pairs) for name, pairs in found.items()}


def _pairs(region: SkinRegion, track: LineTrack, parts: int) -> Index:
    count = len(region.vertices)
    fine = refined_chain(region.triangles, count, track.vertices, parts, closed=track.closed)
    after = np.roll(fine, -1) if track.closed else fine[1:]
    return np.column_stack([fine if track.closed else fine[:-1], after])


def _along_line(seam: SeamSpec, edges: dict[str, Index]) -> Index:
    if seam.line not in edges:
        raise JobError(
            f"Seam '{seam.name}' runs along '{seam.line}', which is no line of '{seam.region}'.",
            f"That region has {', '.join(edges)}.",
        )
    return edges[seam.line]


def _cut_at_planes(
    surface: CurvedMesh,
    mesh: tuple[Array, Index],
    edges: dict[str, Index],
    planes: Sequence[Plane],
) -> tuple[Array, Index, dict[str, Index]]:
    vertices, triangles = mesh
    on_plane: dict[Plane, Mask] = {}
    kept = np.zeros(len(vertices), dtype=np.bool_)
    kept[np.vstack(list(edges.values())).ravel()] = True
    for plane in planes:
        origin, normal = _upright(plane)
        walls = np.vstack(list(edges.values()))
        before = len(vertices)
        cut = cut_mesh(vertices, triangles, origin=origin, normal=normal, walls=walls)
        vertices, triangles = cut.vertices, cut.triangles
        grown = len(vertices) - before
        edges = {name: divided_edges(e, cut.parents, before) for name, e in edges.items()}
        on_plane = {p: np.pad(on, (0, grown)) for p, on in on_plane.items()}
        kept = np.pad(kept, (0, grown))
        kept[np.vstack(list(edges.values())).ravel()] = True
        on_plane[plane] = cut.on_plane
    return _on_the_skin(surface, vertices, on_plane, kept), triangles, edges


def _upright(plane: Plane) -> tuple[Array, Array]:
    normal = np.eye(3)["xyz".index(plane[0])]
    return normal * plane[1], normal


def _on_the_skin(
    surface: CurvedMesh, vertices: Array, on_plane: dict[Plane, Mask], kept: Mask
) -> Array:
    """Seam vertices lie on chords of the mesh: lift them to the surface behind it."""
    many = np.sum(list(on_plane.values()), axis=0)
    lifted = vertices.copy()
    for plane, on in on_plane.items():
        # Where two seams cross, a point lifted onto one would leave the other.
        alone = np.flatnonzero(on & (many == 1))
        if len(alone):
            lifted[alone], _ = surface.on_plane(vertices[alone], *_upright(plane))
            lifted[alone, "xyz".index(plane[0])] = plane[1]
    return lifted


def _between_sides(triangles: Index, side: Index) -> Index:
    """(k, 2) edges whose two triangles lie on different sides."""
    edges, of_triangle = edges_of(triangles)
    total, count = np.zeros(len(edges)), np.zeros(len(edges))
    for k in range(3):
        np.add.at(total, of_triangle[:, k], side)
        np.add.at(count, of_triangle[:, k], 1.0)
    return np.asarray(edges[(count == 2.0) & (total == 0.0)])
