"""A panel, its grid and its paper pattern as the page reads them."""

from typing import Any

import numpy as np

from buckwright.model.grid import GridLine, PanelGrid
from buckwright.model.job import Job
from buckwright.model.panels import Blank, EdgeMake, EdgeSpec, MapArea, Panel, PanelSpec
from buckwright.model.papers import PaperJoint, PaperPattern
from buckwright.web.words import rounded

__all__ = ["grid_row", "panel_row", "paper_row"]


def panel_row(panel: Panel, blank: Blank, job: Job) -> dict[str, Any]:
    """One panel with its blank: the map in words, the work in order, its edges, its verdict."""
    low, high = blank.outline.min(axis=0), blank.outline.max(axis=0)
    spec = next((one for one in job.panels if one.name == panel.spec), None)
    return {
        "name": panel.name,
        "spec": panel.spec,
        "side": panel.side,
        "region": panel.region,
        "area": blank.area,
        "blank_area": blank.blank_area,
        "size": (high - low).round(1).tolist(),
        "mass": blank.mass,
        "stretch": float(blank.area_change.max()),
        "shrink": float(blank.area_change.min()),
        "thickness": list(blank.thickness),
        "verdict": blank.verdict.model_dump(),
        "aim_words": blank.aim_words,
        "r_value": [blank.r_value, blank.r_source],
        "areas": [_area(area, panel, blank) for area in blank.areas],
        "work": [step.model_dump() for step in blank.work],
        "edges": [_edge(make, spec) for make in blank.edges],
        "marks": [mark.model_dump(exclude={"outward"}) for mark in blank.marks],
        "notches": [rounded(notch.ring) for notch in blank.notches],
        "centre_line": [rounded(line) for line in blank.centre_line],
    }


def _area(area: MapArea, panel: Panel, blank: Blank) -> dict[str, Any]:
    corners = panel.triangles[area.triangles] if len(area.triangles) else panel.triangles
    off = np.linalg.norm(panel.vertices[corners].mean(axis=1) - area.centre, axis=1)
    middle = blank.flat[corners[int(off.argmin())]].mean(axis=0)
    return {
        **area.model_dump(exclude={"centre", "triangles", "direction"}),
        "centre": rounded(area.centre, 1),
        "flat": rounded(middle, 1),
    }


def _edge(make: EdgeMake, spec: PanelSpec | None) -> dict[str, Any]:
    asked = None if spec is None else _asked(make.name, spec)
    return {
        **make.model_dump(exclude={"bend_lines"}),
        "asked": None if asked is None else asked.model_dump(),
    }


def _asked(name: str, spec: PanelSpec) -> EdgeSpec | None:
    named = (edge for edge in spec.edges if edge.along == name)
    rest = (edge for edge in spec.edges if edge.along == "")
    return next(named, next(rest, None))


def grid_row(grid: PanelGrid) -> dict[str, Any]:
    """The grid's lines with the lengths on the blank and on the panel, mark by mark."""
    return {
        "panel": grid.panel,
        "square": grid.square,
        "lines": [_line(line) for line in grid.lines],
    }


def _line(line: GridLine) -> dict[str, Any]:
    return {
        "name": line.name,
        "way": line.way,
        "strip": line.strip,
        "crossings": list(line.crossings),
        "points": rounded(line.points, 1),
        "places": rounded(line.places, 1),
        "blank": rounded(line.blank_lengths, 2),
        "panel": rounded(line.panel_lengths, 2),
    }


def paper_row(paper: PaperPattern) -> dict[str, Any]:
    """The strips with what they show on the finished panel."""
    return {
        "panel": paper.panel,
        "width": paper.width,
        "run": paper.run,
        "words": paper.words,
        "areas": [paper.panel_area, paper.paper_area, paper.missing, paper.excess],
        "unaccounted": [paper.unaccounted, paper.tolerance],
        "strips": [
            {"number": strip.number, "outline": rounded(strip.outline, 1)} for strip in paper.strips
        ],
        "joints": [_joint(joint) for joint in paper.joints],
    }


def _joint(joint: PaperJoint) -> dict[str, Any]:
    return {
        "strips": list(joint.strips),
        "at": rounded(joint.at, 1),
        "gap": rounded(joint.gap, 2),
    }
