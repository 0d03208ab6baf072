"""A sheet: the smooth surface of one region over its chart, from coarse to fine."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CloughTocher2DInterpolator, make_interp_spline
from scipy.spatial import cKDTree

from buckwright.geometry.chart import even_chart
from buckwright.geometry.fairness import fair_vertices
from buckwright.geometry.mesh import triangle_areas
from buckwright.geometry.opened import OpenedMesh, opened_mesh
from buckwright.geometry.triangulation import crossing_sides, triangulate_region
from buckwright.skin.frame import RegionFrame
from buckwright.skin.grain import MOST, no_grain, skin_grain

__all__ = ["Sheet", "finer_sheet", "first_sheet"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


@dataclass(frozen=True, eq=False, slots=True)
class Sheet:
    """A mesh over its chart, holes filled; the first vertices are those of the frame."""

    frame: RegionFrame
    chart: Array
    triangles: Index
    vertices: Array
    stiffness: dict[str, float]
    grain: float = MOST
    """For how many times as much lengths across the grain count at most as lengths along it."""

    def opened(self) -> OpenedMesh:
        """The mesh opened along its creases."""
        return opened_mesh(self.triangles, len(self.chart), self.frame.walls)


def first_sheet(
    frame: RegionFrame, places: Array, stiffness: dict[str, float], step: float
) -> Sheet:
    """A first surface over the flat places (k, 2) of the frame's vertices."""
    chart, triangles = triangulate_region(
        places, frame.loop, frame.sides, lambda at: np.full(len(at), step), rounds=4
    )
    opened = opened_mesh(triangles, len(chart), frame.walls)
    hold, grain = frame.hold(stiffness), no_grain(len(opened.seats))
    vertices = fair_vertices(chart, triangles, None, hold, grain, opened)
    return _settled(Sheet(frame, chart, triangles, vertices, stiffness), step, solves=2)


def finer_sheet(coarse: Sheet, frame: RegionFrame, step: float, *, solves: int) -> Sheet:
    """The sheet meshed anew over another sampling of the lines, starting from what is known."""
    places = _line_places(coarse, frame)
    chart, triangles = triangulate_region(
        places, frame.loop, frame.sides, _Spacing(coarse, step), rounds=6
    )
    start = _lifted(coarse, chart)
    start[: len(frame.used)] = frame.points
    started = Sheet(frame, chart, triangles, start, coarse.stiffness, coarse.grain)
    return _settled(started, step, solves=solves)


def _settled(sheet: Sheet, step: float, *, solves: int) -> Sheet:
    """The sheet made fair so many times over, and its chart made even."""
    frame, chart, triangles = sheet.frame, sheet.chart, sheet.triangles
    vertices, stiffness = sheet.vertices, sheet.stiffness
    opened = sheet.opened()
    seats = opened.seats
    for _ in range(solves):
        grain = skin_grain(chart[seats], opened.triangles, vertices[seats], most=sheet.grain)
        hold = frame.hold(stiffness)
        vertices = fair_vertices(chart, triangles, vertices, hold, grain, opened)
        stiffness = frame.firmer(stiffness, vertices, triangles, step)
    chart = even_chart(vertices, triangles, chart, rounds=4)
    return replace(sheet, chart=chart, vertices=vertices, stiffness=stiffness)


class _Spacing:
    """Edge length on the chart that gives the wanted one on the surface."""

    def __init__(self, sheet: Sheet, step: float) -> None:
        solid = triangle_areas(sheet.vertices, sheet.triangles)
        flat = triangle_areas(sheet.chart, sheet.triangles)
        self.tree = cKDTree(sheet.chart[sheet.triangles].mean(axis=1))
        self.length = step * np.sqrt(flat / solid)

    def __call__(self, at: Array) -> Array:
        near = self.tree.query(at, k=min(4, self.tree.n))[1]
        return np.asarray(self.length[near].reshape(len(at), -1).mean(axis=1))


def _lifted(sheet: Sheet, chart: Array) -> Array:
    """Places on the surface over points of the chart, smoothly between its vertices."""
    found = np.asarray(CloughTocher2DInterpolator(sheet.chart, sheet.vertices)(chart))
    lost = np.isnan(found[:, 0])
    if lost.any():
        found[lost] = sheet.vertices[cKDTree(sheet.chart).query(chart[lost])[1]]
    return found


def _line_places(coarse: Sheet, frame: RegionFrame) -> Array:
    """Chart places of the line vertices, led smoothly through those of the coarse sheet.

    Where smooth curves would cross each other the straight ones are taken: they cannot.
    """
    before = coarse.frame
    for degree in (3, 1):
        places = np.zeros((len(frame.used), 2))
        for run in frame.lines.runs():
            for number in run.numbers:
                old = before.samples.arcs[run.line][number]
                new = frame.samples.arcs[run.line][number]
                known = coarse.chart[before.local(old.vertices)]
                curve = make_interp_spline(old.along, known, k=min(degree, len(known) - 1))
                places[frame.local(new.vertices)] = curve(np.clip(new.along, *old.along[[0, -1]]))
        if not len(crossing_sides(places, frame.sides)):
            break
    return places
