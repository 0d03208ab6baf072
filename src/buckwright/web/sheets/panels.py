"""Where must the metal move?"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.mesh import triangle_areas
from buckwright.model.job import Job, Products
from buckwright.model.panels import Blank, Panel, Panels
from buckwright.web.frames import pack_frame
from buckwright.web.sheets.panel_rows import grid_row, panel_row, paper_row
from buckwright.web.sheets.seam_rows import seam_rows
from buckwright.web.sheets.stock_rows import asked, choices, layout_row
from buckwright.web.words import Words, counted, figure

__all__ = ["answer", "detail", "panel_frame"]


def answer(job: Job, products: Products) -> Words | None:
    """The most stretch and the most shrink, and whether the metal takes it."""
    panels = products.panels
    if panels is None or not panels.blanks:
        return None
    most = max(panels.blanks, key=lambda blank: float(blank.area_change.max()))
    least = min(panels.blanks, key=lambda blank: float(blank.area_change.min()))
    words: Words = [
        "The metal must stretch most on the ",
        f"{most.panel}, by ",
        figure(f"{100 * float(most.area_change.max()):.1f} %"),
        f", and shrink most on the {least.panel}, by ",
        figure(f"{-100 * min(float(least.area_change.min()), 0.0):.1f} %"),
        ". ",
    ]
    return words + _verdicts(panels)


def _verdicts(panels: Panels) -> Words:
    names = ("takes it", "with care", "will not take it")
    counts = [sum(blank.verdict.step == name for blank in panels.blanks) for name in names]
    if counts[2]:
        return [counted(counts[2], "panel"), " will not take it as it stands."]
    if counts[1]:
        one = figure(f"{counts[1]} of {sum(counts)}")
        return ["This sheet takes it, with care on ", one, "."]
    return ["This sheet takes it."]


def detail(job: Job, products: Products) -> dict[str, Any]:
    """Panels with their verdicts and areas; meshes and maps come as a frame for each."""
    panels = products.panels
    told: dict[str, Any] = {"panels": [], "layout": None, "papers": [], "grids": []}
    if panels is not None:
        pairs = zip(panels.panels, panels.blanks, strict=True)
        told = {
            "panels": [panel_row(panel, blank, job) for panel, blank in pairs],
            "layout": layout_row(panels.layout),
            "papers": [paper_row(paper) for paper in panels.papers],
            "grids": [grid_row(grid) for grid in panels.grids],
        }
    return {**told, **asked(job), **seam_rows(job, products), "choices": choices()}


def panel_frame(panel: Panel, blank: Blank) -> bytes:
    """Mesh, flat mesh, outlines, and at each vertex the figures of the shape map.

    Figures of triangles are carried to the vertices by the area-weighed mean of those around.
    """
    weights = triangle_areas(panel.vertices, panel.triangles)

    def at_vertices(values: NDArray[np.float64]) -> NDArray[np.float64]:
        total, weight = np.zeros(len(panel.vertices)), np.zeros(len(panel.vertices))
        for corner in range(3):
            np.add.at(total, panel.triangles[:, corner], values * weights)
            np.add.at(weight, panel.triangles[:, corner], weights)
        return total / np.where(weight > 0.0, weight, 1.0)

    rim = {f"e{k}": edge.vertices for k, edge in enumerate(panel.edges)}
    lines = {f"l{k}": line.vertices for k, line in enumerate(panel.lines)}
    return pack_frame(
        {
            "name": panel.name,
            "edges": [{"name": edge.name, "closed": edge.closed} for edge in panel.edges],
            "lines": [{"name": line.name, "closed": line.closed} for line in panel.lines],
            "openings": len(blank.openings),
            "bends": len(blank.bend_lines),
        },
        {
            "vertices": panel.vertices,
            "triangles": panel.triangles,
            "flat": blank.flat,
            "outline": blank.outline,
            "net": blank.net_outline,
            "area": at_vertices(blank.area_change),
            "major": at_vertices(blank.strain_major),
            "minor": at_vertices(blank.strain_minor),
            "bend": np.minimum(np.abs(blank.bend_radius), 1.0e6),
            "places": _places(blank),
            **rim,
            **lines,
            **{f"o{k}": opening for k, opening in enumerate(blank.openings)},
            **{f"b{k}": bend for k, bend in enumerate(blank.bend_lines)},
        },
    )


def _places(blank: Blank) -> NDArray[np.int64]:
    """For each triangle which area it belongs to, from 1; 0 for none."""
    places = np.zeros(len(blank.area_change), dtype=np.int64)
    for place, area in enumerate(blank.areas, 1):
        places[area.triangles] = place
    return places
