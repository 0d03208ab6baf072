"""A sheet made finer than it was solved.

A fair surface has no waves shorter than some edge lengths of 30 mm, so it is solved at about that
and its triangles are divided: the new vertices lie on the smooth surface behind the solved ones, or
on the lines themselves where these hold the skin hard.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import make_interp_spline

from buckwright.geometry.cubic_mesh import CubicMesh
from buckwright.geometry.mesh import triangle_areas
from buckwright.geometry.refine import FineChains, refined_places
from buckwright.skin.sampling import Run
from buckwright.skin.sheet import Sheet

__all__ = ["SOLVED", "FineSheet", "parts_of_region", "parts_of_steps", "refined_sheet"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

SOLVED = 40.0
"""mm; the skin is solved on edges no longer than this, and on shorter ones where that is quick."""
SHORTEST = 2.0 / 3.0
"""Share of the longest edges below which those it is solved on are not meant to be."""
ROUND = 50
"""Steps there are at least round the smallest boundary when the skin is solved."""
QUICK = 5_000
"""Triangles that a region is solved on without much waiting."""


def parts_of_steps(edge_length: float, shortest: float, longest: float = SOLVED) -> int:
    """Into how many the longest steps of the solved skin are divided.

    `shortest` is the length round the smallest boundary, `longest` that of an edge when solved.
    As few parts as leave the solved edges two thirds of the longest, or more.
    """
    most = min(longest, shortest / ROUND)
    parts = int(np.ceil(SHORTEST * most / edge_length - 1e-9))
    fitting = parts if parts * edge_length <= most + 1e-9 else int(most / edge_length + 1e-9)
    return max(1, fitting)


def parts_of_region(sheet: Sheet, edge_length: float, most: int) -> int:
    """Into how many the steps of one region are divided: as few as make it quick to solve.

    `sheet` is the region as known so far; `most`, whose divisors are tried, the parts at most.
    """
    area = float(triangle_areas(sheet.vertices, sheet.triangles).sum())
    whole = area / (np.sqrt(3.0) / 4.0 * edge_length**2)
    divisors = [k for k in range(1, most + 1) if most % k == 0]
    return next((k for k in divisors if whole / k**2 <= QUICK), most)


@dataclass(frozen=True, eq=False, slots=True)
class FineSheet:
    """The solved sheet, each of its triangles in parts^2, whose numbers follow each other."""

    sheet: Sheet
    parts: int
    vertices: Array
    chart: Array
    triangles: Index
    chains: FineChains

    def along(self, run: Run) -> Index:
        """Vertices of a run in its order; a closed run does not repeat its first."""
        frame = self.sheet.frame
        return self.chains.along(frame.local(frame.samples.along(run)), closed=run.closed)


def refined_sheet(sheet: Sheet, parts: int) -> FineSheet:
    """The sheet with its triangles divided."""
    count = len(sheet.vertices)
    chains = FineChains(sheet.triangles, count, parts)
    if parts == 1:
        return FineSheet(sheet, 1, sheet.vertices, sheet.chart, sheet.triangles, chains)
    owner, weights, triangles = refined_places(sheet.triangles, count, parts)
    corners = sheet.triangles[owner]
    chart = np.einsum("ki,kid->kd", weights, sheet.chart[corners])
    flat = np.einsum("ki,kid->kd", weights, sheet.vertices[corners])
    lines = _line_places(sheet, chains)
    flat[lines.vertices] = lines.points
    opened = sheet.opened()
    surface = CubicMesh(sheet.vertices[opened.seats], opened.triangles)
    vertices = surface.lift(owner, weights, flat)
    vertices[:count] = sheet.vertices
    # From the line itself throughout: regions that are divided otherwise share these points.
    vertices[lines.vertices[lines.hard]] = lines.points[lines.hard]
    bent = chart.copy()
    bent[lines.vertices] = lines.chart
    if triangle_areas(bent, triangles).min() > 0.0:
        chart = bent
    return FineSheet(sheet, parts, vertices, chart, triangles, chains)


@dataclass(frozen=True, eq=False, slots=True)
class _LinePlaces:
    """New vertices on lines: numbers (k,), points, places on the chart, and which keep them."""

    vertices: Index
    points: Array
    chart: Array
    hard: NDArray[np.bool_]


def _line_places(sheet: Sheet, chains: FineChains) -> _LinePlaces:
    """What the new vertices of each line take over from the line itself."""
    frame, found = sheet.frame, []
    for line, number in frame.arcs():
        arc = frame.samples.arcs[line][number]
        coarse = frame.local(arc.vertices)
        chain = chains.along(coarse)
        along, points = frame.samples.finer(line, number, chains.parts)
        curve = make_interp_spline(arc.along, sheet.chart[coarse], k=min(3, len(coarse) - 1))
        held = np.full(len(chain), frame.keeps(line, number, sheet.stiffness))
        found.append((chain, points, curve(along), held))
    return _LinePlaces(*(np.concatenate(part) for part in zip(*found, strict=True)))
