"""The shape map on a blank: isolines of area change with numbers, and areas to work on."""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.drawings.board import FIGURE, NAME, ring, words
from buckwright.geometry.mesh import section_mesh, triangle_areas
from buckwright.geometry.polyline import polyline_length, resample_polyline
from buckwright.model.drawings import Ink, Label, Stroke
from buckwright.model.panels import Blank, Panel

__all__ = ["isoline_step", "percent", "ringed_areas", "shape_map"]

Array = NDArray[np.float64]

STEPS = (0.0025, 0.005, 0.01, 0.02, 0.05, 0.1)
MOST_LEVELS = 9
SHORTEST_LABELLED = 120.0
"""mm; a shorter isoline carries no number of its own."""


def isoline_step(area_change: Array) -> float:
    """Distance between isolines of area change: few enough to read, at least a quarter percent."""
    spread = float(area_change.max() - area_change.min())
    return next((step for step in STEPS if spread / step <= MOST_LEVELS), STEPS[-1])


def _at_vertices(panel: Panel, blank: Blank) -> Array:
    """Area change at the vertices: the mean of the triangles round each, weighed by area."""
    weight = np.repeat(np.abs(triangle_areas(blank.flat, panel.triangles)), 3)
    corner, count = panel.triangles.ravel(), len(blank.flat)
    total = np.bincount(corner, weight * np.repeat(blank.area_change, 3), minlength=count)
    return np.asarray(total / np.maximum(np.bincount(corner, weight, minlength=count), 1e-12))


def shape_map(
    panel: Panel, blank: Blank, taken: Sequence[Label]
) -> tuple[list[Stroke], list[Label], float]:
    """Isolines of area change with their numbers in percent, clear of the labels `taken`."""
    change = _at_vertices(panel, blank)
    step = isoline_step(change)
    levels = np.arange(np.ceil(change.min() / step), np.floor(change.max() / step) + 1.0) * step
    raised = np.column_stack([blank.flat, change / step])
    inside = shapely.Polygon(blank.net_outline).buffer(-2.0)
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for level in levels + 0.0:
        text = percent(level, step)
        ink: Ink = "thin" if abs(level) < 0.5 * step else ("stretch" if level > 0.0 else "shrink")
        cut = section_mesh(
            raised,
            panel.triangles,
            origin=np.array([0.0, 0.0, level / step]),
            normal=np.array([0.0, 0.0, 1.0]),
        )
        for points, closed in cut:
            if len(points) < 2:
                continue
            strokes.append(Stroke(ink=ink, points=points[:, :2], closed=closed, name=text))
            if polyline_length(points[:, :2], closed=closed) > SHORTEST_LABELLED:
                labels += _number(points[:, :2], text, [*taken, *labels], inside)
    return _gapped(strokes, labels), labels, step


def _gapped(strokes: list[Stroke], labels: list[Label]) -> list[Stroke]:
    """The isolines, broken where a number stands."""
    rooms = shapely.union_all([shapely.Polygon(label.corners()) for label in labels])
    found = []
    for stroke in strokes:
        points = np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
        line = shapely.LineString(points)
        if not line.intersects(rooms):
            found.append(stroke)
            continue
        found += [
            stroke.model_copy(update={"points": np.asarray(part.coords), "closed": False})
            for part in shapely.get_parts(shapely.difference(line, rooms))
        ]
    return found


def percent(change: float, step: float) -> str:
    """`+2 %`, with as many decimals as the step between isolines asks for."""
    decimals = 2 if step < 0.005 else (1 if step < 0.01 else 0)
    return f"{100.0 * change:+.{decimals}f} %" if abs(change) > 0.1 * step else "0 %"


def _number(
    points: Array, text: str, taken: Sequence[Label], inside: shapely.Geometry
) -> list[Label]:
    """The number on the isoline where it is farthest from others and clear; none if nowhere."""
    places = resample_polyline(points, 17)[1:-1]
    others = np.array([label.corners().mean(axis=0) for label in taken]).reshape(-1, 2)
    gaps = np.linalg.norm(places[:, None] - others[None], axis=2).min(axis=1, initial=1e9)
    rooms = shapely.union_all([shapely.Polygon(label.corners()).buffer(8.0) for label in taken])
    for place in places[np.argsort(-gaps, kind="stable")]:
        label = words(place - np.array([0.0, 0.5 * FIGURE]), text, FIGURE, centred=True)
        room = shapely.Polygon(label.corners())
        if inside.contains(room) and not room.intersects(rooms):
            return [label]
    return []


def ringed_areas(panel: Panel, blank: Blank) -> tuple[list[Stroke], list[Label], dict[int, str]]:
    """A ringed letter at each area that needs work, and words for each by its place in `areas`."""
    strokes: list[Stroke] = []
    labels: list[Label] = []
    lines: dict[int, str] = {}
    worked = [(k, area) for k, area in enumerate(blank.areas) if area.kind != "leave"]
    for number, (place, area) in enumerate(worked[:26]):
        letter = chr(ord("A") + number)
        near = int(np.argmin(np.linalg.norm(panel.vertices - area.centre, axis=1)))
        ink: Ink = "stretch" if area.kind == "stretch" else "shrink"
        strokes.append(ring(ink, blank.flat[near], 12.0, f"area {letter}"))
        labels.append(words(blank.flat[near] - (0.0, 0.5 * NAME), letter, NAME, centred=True))
        after = f", {area.thickness:.2f} mm thick after" if area.thickness > 0.0 else ""
        lines[place] = (
            f"{letter}: {area.words} (mean {100.0 * area.mean:+.1f} %, "
            f"peak {100.0 * area.peak:+.1f} %, {area.area / 100.0:.0f} cm2{after})"
        )
    return strokes, labels, lines
