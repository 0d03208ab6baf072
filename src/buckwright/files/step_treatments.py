"""What is done to the skin, as surfaces for a STEP file: turned edges, beads and louvres."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.interpolate import make_interp_spline

from buckwright.files.scene import region_name, strip_name
from buckwright.geometry.flat_cut import chart_outline
from buckwright.geometry.mesh import MeshLocator
from buckwright.geometry.polyline import arc_lengths
from buckwright.geometry.row_sheets import RowSheet, rows_of_sheet
from buckwright.geometry.spline_surface import SplineSurface, surface_through
from buckwright.model.louvres import LouvreField
from buckwright.model.skin import Skin, SkinRegion
from buckwright.model.treatments import Bead

__all__ = ["Patch", "even_ticks", "openings_of", "sharp_corners", "treatment_patches"]

Array = NDArray[np.float64]

CORNER = np.radians(25.0)
"""An edge that turns more sharply is parted there into two faces,"""
STRAIGHT = np.radians(10.0)
"""if it turns less than this beside, on one side or both."""
LEAST = 4
"""Points each way that a cubic surface goes through at least."""
MOST_BETWEEN = 40
CLEAR = 0.05
"""mm of skin between an opening and the next, or the edge; a face with less is not valid."""


@dataclass(frozen=True, eq=False, slots=True)
class Patch:
    """A surface through rows of points, u along the rows' way: ticks (k,) and (p,) of its grid."""

    surface: SplineSurface
    u: Array
    v: Array

    def sides(self) -> list[Array]:
        """Its edges as places (n, 2) on u and v, counter-clockwise."""
        u, v = self.u, self.v
        low, high = (np.column_stack([u, np.full(len(u), end)]) for end in (v[0], v[-1]))
        first, last = (np.column_stack([np.full(len(v), end), v]) for end in (u[0], u[-1]))
        return [low, last, high[::-1], first[::-1]]


def treatment_patches(skin: Skin) -> Iterator[tuple[str, list[Patch]]]:
    """The name and the faces of each turned edge, bead, and field of louvres."""
    for strip in skin.strips:
        yield strip_name(strip), _patches(strip.vertices, strip.triangles)
    for bead in skin.beads:
        yield f"bead {bead.name} on {bead.region}", _patches(bead.vertices, bead.triangles)
    for field in skin.louvres:
        yield f"louvres {field.name} on {field.region}", _patches(field.vertices, field.triangles)


def sharp_corners(points: Array, *, closed: bool) -> NDArray[np.int64]:
    """Points of an edge (k, 3) at which its faces are parted; never the ends of an open one.

    A small opening that is meshed coarsely turns sharply everywhere, and is round all the same.
    """
    step = np.diff(np.vstack([points, points[:1]]) if closed else points, axis=0)
    step /= np.maximum(np.linalg.norm(step, axis=1, keepdims=True), 1e-12)
    bend = np.arccos(np.clip(np.einsum("kd,kd->k", np.roll(step, 1, axis=0), step), -1.0, 1.0))
    if not closed:
        bend[0] = 0.0
    beside = np.minimum(np.roll(bend, 1), np.roll(bend, -1))
    return np.flatnonzero((bend > CORNER) & (beside < STRAIGHT))


def openings_of(skin: Skin, region: SkinRegion) -> list[list[Array]]:
    """What beads and louvres take the place of on the region: sides (n, 2) on its chart.

    One that runs round, over the region's edge or over another leaves the skin whole beneath it.
    """
    name = region_name(region)
    every: tuple[Bead | LouvreField, ...] = (*skin.beads, *skin.louvres)
    sheets = [
        sheet
        for one in every
        if one.region == name
        for sheet in rows_of_sheet(one.vertices, one.triangles)
        if not sheet.closed
    ]
    if not sheets:
        return []
    locator = MeshLocator(region.vertices, region.triangles)
    left = chart_outline(region.chart, region.triangles).buffer(-CLEAR)
    found = []
    for sheet in sheets:
        rows = sheet.points
        sides = [
            _on_chart(side, region, locator)
            for side in (rows[:, 0], rows[-1], rows[::-1, -1], rows[0, ::-1])
        ]
        piece = shapely.Polygon(np.vstack([side[:-1] for side in sides]))
        if piece.is_valid and left.contains(piece):
            found.append(sides)
            left = left.difference(piece.buffer(CLEAR))
    return found


def _on_chart(points: Array, region: SkinRegion, locator: MeshLocator) -> Array:
    _, _, triangle, weights = locator.closest(points)
    return np.asarray(np.einsum("ki,kid->kd", weights, region.chart[region.triangles[triangle]]))


def _patches(vertices: Array, triangles: NDArray[np.int64]) -> list[Patch]:
    return [
        _patch(rows)
        for sheet in rows_of_sheet(vertices, triangles)
        for rows in _between_corners(sheet)
    ]


def _between_corners(sheet: RowSheet) -> Iterator[Array]:
    """Runs of rows (k, p, 3) without a corner; one that runs round is parted in two at least."""
    points = sheet.points if sheet.turn > 0 else sheet.points[:, ::-1]
    edge = sheet.points[:, 0]
    corners = sharp_corners(edge, closed=sheet.closed)
    if not sheet.closed:
        ends = [0, *corners.tolist(), len(points) - 1]
    else:
        start = int(corners[0]) if len(corners) else 0
        points = np.concatenate([np.roll(points, -start, axis=0), points[start : start + 1]])
        ends = sorted({0, *((corners - start) % len(edge)).tolist(), len(edge)})
        ends = ends if len(ends) > 2 else [0, len(edge) // 2, len(edge)]
    for first, last in pairwise(ends):
        if last > first:
            yield points[first : last + 1]


def even_ticks(points: Array) -> Array:
    """(k,) lengths along points (k, d), one to a step in the mean: uneven steps swing out else."""
    along = arc_lengths(points)
    return np.asarray(along * ((len(points) - 1) / along[-1]))


def _patch(rows: Array) -> Patch:
    """Along the rows' way its edge is the curve that the region's own edge is."""
    count = len(rows)
    u = even_ticks(rows[:, 0])
    if count < LEAST:
        between = make_interp_spline(u, rows, k=count - 1, axis=0)
        u = np.linspace(0.0, u[-1], LEAST)
        rows = between(u)
    points = _evenly(rows)
    v = _ticks(points)
    return Patch(surface_through(points, u, v), u, v)


def _evenly(rows: Array) -> Array:
    """The rows with points put into long steps between columns, so that no cubic swings out."""
    step = np.linalg.norm(np.diff(rows, axis=1), axis=2).mean(axis=0)
    parts = np.clip(np.round(step / max(step.min(), 0.02 * step.sum())), 1, MOST_BETWEEN)
    if parts.sum() < LEAST - 1:
        parts = np.maximum(parts, np.ceil((LEAST - 1) / len(parts)))
    at = np.concatenate(
        [k + np.arange(n) / n for k, n in enumerate(parts.astype(int))] + [[float(len(parts))]]
    )
    low = np.minimum(at.astype(int), len(parts) - 1)
    share = (at - low)[None, :, None]
    return np.asarray((1.0 - share) * rows[:, low] + share * rows[:, low + 1])


def _ticks(points: Array) -> Array:
    """(p,) mean distance of each column from the first, along the rows."""
    step = np.linalg.norm(np.diff(points, axis=1), axis=2).mean(axis=0)
    return np.concatenate([[0.0], np.cumsum(np.maximum(step, 1e-6))])
