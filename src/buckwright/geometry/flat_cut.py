"""A mesh parted along lines drawn on its flat picture."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.geometry.divided import divided_triangles
from buckwright.geometry.mesh import boundary_loops, edges_of

__all__ = ["FlatCut", "carried_on", "chart_outline", "cut_flat", "pieces_between"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Mask = NDArray[np.bool_]

_SNAP = 0.25
"""A free vertex nearer to the rim than this part of an edge is drawn onto it."""
_TOUCH = 1e-12
"""Part of the whole size by which a vertex may miss a piece that it bounds."""
_ON = 1e-4
"""Part of an edge within which a vertex lies on the rim already."""
_LEAST = 1e-3
"""A crossing is at least this part of an edge away from a vertex that stays."""


@dataclass(frozen=True, eq=False, slots=True)
class FlatCut:
    """A mesh with edges along the rim of a piece.

    Attributes: vertices (n, 3) and chart (n, 2), the old ones first and where they were;
    triangles (m, 3); inside (m,), which belong to the piece; halved (h, 2) and part (h,), the old
    edge that each new vertex lies on and how far along.
    """

    vertices: Array
    chart: Array
    triangles: Index
    inside: Mask
    halved: Index
    part: Array


def chart_outline(chart: Array, triangles: Index) -> shapely.Polygon:
    """What a mesh covers of its flat picture (n, 2): one outline, with holes."""
    rings = [shapely.Polygon(chart[loop]) for loop in boundary_loops(triangles)]
    outer = max(rings, key=lambda ring: ring.area)
    return shapely.Polygon(
        outer.exterior, holes=[ring.exterior.coords for ring in rings if ring is not outer]
    )


def pieces_between(
    outline: shapely.Polygon, lines: Sequence[shapely.LineString]
) -> list[shapely.Polygon]:
    """The pieces into which lines part an outline; the outline alone where they part nothing."""
    noded = shapely.unary_union([outline.boundary, *lines])
    made = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    shapely.prepare(outline)
    return [piece for piece in made if outline.contains(piece.representative_point())]


def carried_on(
    outline: shapely.Polygon, line: Array, *, reach: float, past: float
) -> shapely.LineString:
    """An open line (k, 2) whose ends go straight on to the rim where it is within `reach`.

    They end `past` beyond it.
    """
    first = _onward(outline, line[0], line[0] - line[1], reach, past)
    last = _onward(outline, line[-1], line[-1] - line[-2], reach, past)
    return shapely.LineString(np.vstack([*first, line, *last]))


def _onward(
    outline: shapely.Polygon, end: Array, way: Array, reach: float, past: float
) -> list[Array]:
    if not outline.contains(shapely.Point(end)):
        return [end + past * way / np.linalg.norm(way)]
    on = end + (reach + past) * way / np.linalg.norm(way)
    met = shapely.LineString([end, on]).intersection(outline.boundary)
    if met.is_empty:
        return []
    near = shapely.Point(end).distance(met)
    return [end + (near + past) * way / np.linalg.norm(way)]


def cut_flat(
    mesh: tuple[Array, Index, Array],
    piece: shapely.Polygon,
    lines: Sequence[shapely.LineString],
    *,
    free: Mask,
) -> FlatCut:
    """A mesh (vertices, triangles, chart) with edges along the lines that part a piece from it.

    The piece is one of `pieces_between`, and the rim is where the lines bound it. New vertices
    lie where edges cross the rim; between two of them the cut runs straight, so a corner of the
    rim inside a triangle is cut off. A vertex (n,) that is `free` and near the rim is drawn onto
    it along an edge, so that no slivers are left; the surface is else what it was.
    """
    vertices, triangles, chart = mesh
    # The outline's own vertices lie on the piece's edge, and belong to it.
    touch = _TOUCH * float(np.ptp(chart, axis=0).max())
    within = np.asarray(shapely.distance(piece, shapely.points(chart)) <= touch)
    edges, of_triangle = edges_of(triangles)
    across = np.flatnonzero(within[edges[:, 0]] != within[edges[:, 1]])
    ends = edges[across]
    ends = np.where(within[ends[:, :1]], ends, ends[:, ::-1])
    part = _crossing(chart[ends[:, 0]], chart[ends[:, 1]], shapely.unary_union(list(lines)))
    drawn, onto = _drawn(ends, part, free)
    old, flat = (_moved(values, ends, part, drawn, onto) for values in (vertices, chart))
    on_rim = np.zeros(len(vertices), dtype=np.bool_)
    on_rim[drawn] = True
    kept = ~on_rim[ends].any(axis=1)
    halved, part = ends[kept], np.clip(part[kept], _LEAST, 1.0 - _LEAST)
    new_of_edge = np.full(len(edges), -1)
    new_of_edge[across[kept]] = len(vertices) + np.arange(len(halved))
    points, flat = (_with_halves(values, halved, part) for values in (old, flat))
    divided = divided_triangles(points, triangles, new_of_edge[of_triangle])
    # Corners off the rim of one triangle all lie on one side; a triangle without any is asked.
    sided = np.append(~on_rim, np.zeros(len(halved), dtype=np.bool_))
    inner = np.append(within, np.zeros(len(halved), dtype=np.bool_)) & sided
    middle = flat[divided].mean(axis=1)
    asked = np.asarray(shapely.contains_xy(piece, middle[:, 0], middle[:, 1]))
    inside = np.where(sided[divided].any(axis=1), inner[divided].any(axis=1), asked)
    return FlatCut(points, flat, divided, inside, halved, part)


def _drawn(ends: Index, part: Array, free: Mask) -> tuple[Index, Index]:
    """Vertices near the rim, and for each the crossing that it is drawn onto."""
    at_start, at_end = part < _SNAP, part > 1.0 - _SNAP
    rows = np.concatenate([np.flatnonzero(at_start), np.flatnonzero(at_end)])
    vertex = np.concatenate([ends[at_start, 0], ends[at_end, 1]])
    away = np.concatenate([part[at_start], 1.0 - part[at_end]])
    usable = free[vertex] | (away < _ON)
    rows, vertex, away = rows[usable], vertex[usable], away[usable]
    order = np.lexsort((away, vertex))
    drawn, first = np.unique(vertex[order], return_index=True)
    return drawn, rows[order][first]


def _moved(values: Array, ends: Index, part: Array, drawn: Index, onto: Index) -> Array:
    moved = np.array(values)
    start, end = values[ends[onto, 0]], values[ends[onto, 1]]
    moved[drawn] = start + part[onto, None] * (end - start)
    return moved


def _with_halves(values: Array, halved: Index, part: Array) -> Array:
    start, end = values[halved[:, 0]], values[halved[:, 1]]
    return np.vstack([values, start + part[:, None] * (end - start)])


def _crossing(start: Array, end: Array, rim: shapely.Geometry) -> Array:
    """How far along each segment, from its start in the piece, the rim is crossed first."""
    sides = shapely.linestrings(np.stack([start, end], axis=1))
    met = shapely.intersection(sides, rim)
    away = shapely.distance(shapely.points(start), met)
    part = away / np.linalg.norm(end - start, axis=1)
    # Where rounding hides the crossing, an end lies on the rim itself.
    lost = ~np.isfinite(part)
    at_start = shapely.distance(shapely.points(start), rim)
    at_end = shapely.distance(shapely.points(end), rim)
    part[lost] = np.where(at_start < at_end, 0.0, 1.0)[lost]
    return np.asarray(part)
