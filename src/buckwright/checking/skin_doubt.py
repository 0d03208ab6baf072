"""How far the skin may lie from the shape that was meant: its lines' doubt, and more between.

Beside a line the skin is as sure as the line. In the field between lines nobody has measured: the
skin bends there as evenly as it can, and what it may be off grows with the bend and with the way to
the lines, as the height of an arc does. The share is read from bodies known in closed form.
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.curvature import mesh_curvatures
from buckwright.model.skin import SkinRegion

__all__ = ["skin_doubt"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

FIRST, SECOND = 0.008, 0.05
"""Of a field's arc that its skin may be off, as a standard error; more where the field is as wide
as its bend is tight, for there a fair surface no longer tells much of what lies between."""
STRAIGHT = 1.0 / 10_000.0
"""1/mm; a field is taken to be bent by this at least."""
MOST = 4000
"""Vertices at which bends are looked for."""
BESIDE = 100.0
"""mm along a line over which the width of the field beside it counts."""


def skin_doubt(region: SkinRegion, points: Array, sigmas: Mapping[str, float]) -> Array:
    """(k,) mm, standard error of the skin at the places on it nearest to points (k, 3).

    `sigmas` holds the standard error of each line, mm; a line that it does not name has none.
    Nothing everywhere for a region without lines that have any: a scan, or exact lines.
    """
    tracks = [t for t in (*region.boundary, *region.inner, *region.holes) if t.line in sigmas]
    if not tracks or not any(sigmas[t.line] > 0.0 for t in tracks):
        return np.zeros(len(points))
    on = np.concatenate([track.vertices for track in tracks])
    doubt = np.repeat([sigmas[t.line] for t in tracks], [len(t.vertices) for t in tracks])
    lines = cKDTree(region.vertices[on])
    away, foot = lines.query(points)
    width = np.maximum(_half_widths(region, lines)[foot], away)
    bend = _bends(region, points, width)
    arc = away * (2.0 * width - away) * bend
    share = FIRST + SECOND * (width * bend) ** 2
    return np.asarray(np.hypot(doubt[foot], share * arc), dtype=np.float64)


def _half_widths(region: SkinRegion, lines: cKDTree) -> Array:
    """(l,) mm from each vertex of a line to the middle of the widest field beside it."""
    away, foot = lines.query(region.vertices)
    widest = np.zeros(lines.n)
    np.maximum.at(widest, foot, away)
    near = lines.query(lines.data, k=min(16, lines.n), distance_upper_bound=BESIDE)[1]
    beside = np.where(near < lines.n, near, np.arange(lines.n)[:, None])
    return np.asarray(widest[beside].max(axis=1))


def _bends(region: SkinRegion, points: Array, reach: Array) -> Array:
    """(k,) 1/mm, the tightest bend of the skin within reach (k,) of each point."""
    bends = mesh_curvatures(region.vertices, region.triangles)
    tight = np.maximum(np.abs(bends.greater), np.abs(bends.lesser))
    some = np.unique(np.linspace(0, len(tight) - 1, MOST).astype(np.int64))
    balls = cKDTree(region.vertices[some]).query_ball_point(points, reach)
    found = [tight[some[ball]].max() if ball else STRAIGHT for ball in balls]
    return np.maximum(found, STRAIGHT)
