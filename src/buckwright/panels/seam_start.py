"""A region of the skin as the part that the search for seams begins with."""

from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.curvature import mesh_curvatures
from buckwright.geometry.mesh import boundary_loops, triangle_areas
from buckwright.geometry.polyline import arc_lengths
from buckwright.geometry.triangulation import conforming_triangles
from buckwright.model.skin import LineTrack, SkinRegion, loop_of
from buckwright.panels.seam_parts import Part

__all__ = ["whole_part"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_MOST = 3000
"""Triangles beyond which a region is searched on a coarser mesh."""
_WANTED = 2000


def whole_part(region: SkinRegion) -> Part:
    """The region, with fewer triangles where it has many, and the lines that lie on it.

    The coarser mesh has vertices of the region's own, lines and edges among them.
    """
    bends = mesh_curvatures(region.vertices, region.triangles)
    bend = np.maximum(np.abs(bends.greater), np.abs(bends.lesser))
    if len(region.triangles) <= _MOST:
        used, triangles = np.arange(len(region.vertices)), np.asarray(region.triangles)
    else:
        used, triangles = _coarser(region)
    number = np.full(len(region.vertices), -1)
    number[used] = np.arange(len(used))
    lines = [(track.line, number[_looped(track)]) for track in region.inner]
    outer = np.zeros(len(used), dtype=np.bool_)
    for loop in boundary_loops(triangles):
        outer[loop] = True
    return Part(
        region.vertices[used],
        triangles,
        bends.gauss[used],
        bend[used],
        outer,
        tuple((name, run[run >= 0]) for name, run in lines if (run >= 0).sum() > 2),
    )


def _looped(track: LineTrack) -> Index:
    return np.append(track.vertices, track.vertices[0]) if track.closed else track.vertices


def _coarser(region: SkinRegion) -> tuple[Index, Index]:
    """Vertices kept (k,), and triangles (m, 3) that count them anew."""
    area = float(triangle_areas(region.vertices, region.triangles).sum())
    spacing = (area / (_WANTED * 0.433)) ** 0.5
    runs = _thinned_runs(region, spacing)
    on_lines = np.unique(np.concatenate(runs))
    used = np.concatenate([on_lines, _free(region.vertices, on_lines, spacing)])
    number = np.full(len(region.vertices), -1)
    number[used] = np.arange(len(used))
    chart = np.asarray(region.chart[used])
    sides = [(a, b) for run in runs for a, b in pairwise(number[run].tolist())]
    rims = [(a, b) for r in runs[: len(region.boundary)] for a, b in pairwise(number[r].tolist())]
    every, rim = (np.unique(np.sort(np.array(s), axis=1), axis=0) for s in (sides, rims))
    triangles = conforming_triangles(chart, rim, every)
    holes = [shapely.Polygon(region.chart[loop_of(ring)]) for ring in region.openings()]
    middles = shapely.points(chart[triangles].mean(axis=1))
    for hole in holes:
        outside = ~shapely.contains(hole, middles)
        triangles, middles = triangles[outside], middles[outside]
    # Where the rim bends sharply a vertex may have lost all its triangles.
    left, renamed = np.unique(triangles, return_inverse=True)
    return used[left], renamed.reshape(-1, 3).astype(np.int64)


def _thinned_runs(region: SkinRegion, spacing: float) -> list[Index]:
    """Vertices along each line about `spacing` apart; ends and crossings with other lines stay."""
    tracks = (*region.boundary, *region.inner, *region.holes)
    uses = np.zeros(len(region.vertices), dtype=np.int64)
    for track in tracks:
        uses[track.vertices] += 1
    runs = []
    for track in tracks:
        run = _looped(track)
        stops = np.flatnonzero(uses[run] > 1).tolist()
        stops = sorted({0, len(run) - 1, *stops})
        kept = [run[:1]]
        for first, last in pairwise(stops):
            piece = run[first : last + 1]
            along = arc_lengths(region.vertices[piece])
            count = max(1, round(float(along[-1]) / spacing))
            at = np.searchsorted(along, np.linspace(0.0, along[-1], count + 1)[1:] - 1e-9)
            kept.append(piece[np.unique(at)])
        runs.append(np.concatenate(kept))
    return runs


def _free(vertices: Array, taken: Index, spacing: float) -> Index:
    """Further vertices, none nearer than about `spacing` to another or to those taken."""
    tree = cKDTree(vertices)
    open_ = np.ones(len(vertices), dtype=np.bool_)
    for near in tree.query_ball_point(vertices[taken], 0.6 * spacing):
        open_[near] = False
    found = []
    for vertex in range(len(vertices)):
        if open_[vertex]:
            found.append(vertex)
            open_[tree.query_ball_point(vertices[vertex], 0.8 * spacing)] = False
    return np.array(found, dtype=np.int64)
