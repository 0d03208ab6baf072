"""Sweep sheets: the arcs to cut, and which belongs where on the region."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, line, short_name, words
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.listing import lines_below
from buckwright.drawings.viewing import chart_compass
from buckwright.geometry.mesh import boundary_loops, section_mesh, triangle_areas
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.gauges import Sweep, SweepArea, SweepSet
from buckwright.model.job import Job
from buckwright.model.skin import SkinRegion
from buckwright.units import format_both

__all__ = ["sweep_sheets", "sweep_words"]

Array = NDArray[np.float64]
Way = Literal["greater", "lesser"]

BEND = {"greater": "tighter", "lesser": "easier"}
COLUMNS = 4
APART = 18.0
HELD = 60.0
"""mm: half of the line that shows how a sweep is held."""
FOLDED = 0.02
"""Share of the flat picture that may be turned over and still be read."""


def sweep_sheets(job: Job, sets: Sequence[SweepSet]) -> tuple[Sheet, ...]:
    """For each set the sweeps to cut (once: they serve both sides), and a map for each bend."""
    sheets: list[Sheet] = []
    for chosen in sets:
        taken = [sheet.name for sheet in sheets]
        if chosen.side != "right":
            sheets.append(_cut_sheet(job, chosen, short_name(f"sweeps-{chosen.region}", taken)))
        if not _readable(chosen):
            continue
        for way in ("greater", "lesser"):
            taken = [sheet.name for sheet in sheets]
            side = "" if chosen.side == "whole" else f"-{chosen.side}"
            name = short_name(f"sweep-map{side}-{BEND[way]}-{chosen.region}", taken)
            sheets.append(_map_sheet(job, chosen, way, name))
    return tuple(sheets)


def sweep_words(sweep: Sweep) -> str:
    """What is written on a sweep: its letter, and its radius in both units."""
    if sweep.bends == "straight":
        return f"{sweep.name}: straight edge"
    return f"{sweep.name}: {sweep.bends}, radius {format_both(sweep.radius)}"


def _readable(chosen: SweepSet) -> bool:
    signs = triangle_areas(chosen.chart, chosen.triangles)
    up, over = signs[signs > 0.0].sum(), -signs[signs < 0.0].sum()
    return bool(min(up, over) <= FOLDED * (up + over))


def _cut_sheet(job: Job, chosen: SweepSet, name: str) -> Sheet:
    strokes: list[Stroke] = []
    labels: list[Label] = []
    tall = max(float(np.ptp(sweep.outline[:, 1])) for sweep in chosen.sweeps)
    for number, sweep in enumerate(chosen.sweeps):
        row, column = divmod(number, COLUMNS)
        at = np.array([column * (chosen.chord + APART), -row * (tall + APART)])
        foot = float(sweep.outline[:, 1].min())
        strokes.append(
            Stroke(ink="cut", points=sweep.outline + at, closed=True, name=f"sweep {sweep.name}")
        )
        top = at + sweep.edge[len(sweep.edge) // 2]
        strokes.append(line("mark", top, top - np.array([0.0, 8.0]), name="middle"))
        x, y = at + np.array([6.0 - 0.5 * chosen.chord, foot + 7.0])
        radius = "straight" if sweep.bends == "straight" else f"R {sweep.radius:.5g} {sweep.bends}"
        labels += [
            words((x, y + 12.0), sweep.name, 14.0),
            words((x + 24.0, y + 13.0), radius, FIGURE),
            words((x, y), f"{chosen.region}, chord {chosen.chord:g}", 5.0),
        ]
    low = np.vstack([stroke.points for stroke in strokes]).min(axis=0)
    lines = (
        (f"Sweeps for the {chosen.region}", BIG),
        (f"LEFT and RIGHT alike; {len(chosen.sweeps)} arcs, chord {chosen.chord:g} mm", NAME),
        *((sweep_words(sweep), FIGURE) for sweep in chosen.sweeps),
        (f"{job.name} {job.revision}", FIGURE),
    )
    block = lines_below((float(low[0]), float(low[1]) - 16.0), lines, width=600.0)
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: sweeps for the {chosen.region}",
        strokes=tuple(strokes),
        labels=(*labels, *block),
        notes=(
            "Cut each arc and deburr it. Hold it square to the metal along the line on the map "
            f"of its area: with the right shape no more than {chosen.tolerance:g} mm of light "
            "shows, in the middle or at the ends.",
            *doubts(chosen.findings, chosen.region),
            *cautions_for("gauge"),
        ),
        kind="gauge",
        cut_file=True,
    )


def _map_sheet(job: Job, chosen: SweepSet, way: Way, name: str) -> Sheet:
    outline = [
        Stroke(ink="outline", points=chosen.chart[loop], closed=True, name="edge of the metal")
        for loop in boundary_loops(chosen.triangles)
    ]
    depth = chosen.greater if way == "greater" else chosen.lesser
    borders = _borders(chosen, depth)
    letters, letter_words = _letters(chosen, way)
    low, high = (f(chosen.chart, axis=0) for f in (np.min, np.max))
    arrows, arrow_words = chart_compass((float(high[0]) + 160.0, float(low[1])), _region(chosen))
    side = "" if chosen.side == "whole" else f"{chosen.side.upper()} side, "
    used = {area.sweep for area in chosen.areas if area.way == way}
    lines = (
        (f"{chosen.region}: sweeps along the {BEND[way]} bend", BIG),
        (f"{side}OUTSIDE UP; the metal as if laid flat", NAME),
        *((sweep_words(sweep), FIGURE) for sweep in chosen.sweeps if sweep.name in used),
        (f"{job.name} {job.revision}", FIGURE),
    )
    block = lines_below((float(low[0]), float(low[1]) - 30.0), lines, width=900.0)
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: which sweep goes where on the "
        f"{chosen.region}{'' if chosen.side == 'whole' else f', {chosen.side}'}, {BEND[way]} bend",
        strokes=(*outline, *borders, *letters, *arrows),
        labels=(*letter_words, *arrow_words, *block),
        notes=(
            "Each letter is the sweep that fits in its area, held along the line beside it; "
            "between two areas either fits.",
            *doubts(chosen.findings, chosen.region),
            *cautions_for("gauge"),
        ),
        kind="gauge",
    )


def _borders(chosen: SweepSet, depth: Array) -> list[Stroke]:
    """Where two sweeps fit alike: isolines of depth half way between those of neighbours."""
    depths = [_depth(sweep) for sweep in chosen.sweeps]
    raised = np.column_stack([chosen.chart, depth])
    strokes = []
    for one, other in pairwise(depths):
        for points, closed in section_mesh(
            raised,
            chosen.triangles,
            origin=np.array([0.0, 0.0, 0.5 * (one + other)]),
            normal=np.array([0.0, 0.0, 1.0]),
        ):
            if len(points) > 1:
                strokes.append(Stroke(ink="thin", points=points[:, :2], closed=closed))
    return strokes


def _depth(sweep: Sweep) -> float:
    """The sagitta that it is made for: how far its middle lies below its ends."""
    return float(sweep.edge[0, 1] - sweep.edge[len(sweep.edge) // 2, 1])


def _letters(chosen: SweepSet, way: Way) -> tuple[list[Stroke], list[Label]]:
    """A letter in each area, and the line along which its sweep is held."""
    strokes: list[Stroke] = []
    labels: list[Label] = []
    rooms: list[shapely.Geometry] = []
    for area in chosen.areas:
        if area.way != way:
            continue
        at, along = _on_chart(chosen, area)
        aside = np.array([-along[1], along[0]]) * 14.0
        label = words(at + aside - (0.0, 0.5 * NAME), area.sweep, NAME, centred=True)
        room = shapely.Polygon(label.corners())
        if any(room.intersects(other) for other in rooms):
            continue
        rooms.append(room)
        reach = min(HELD, 0.25 * float(np.sqrt(area.area)))
        strokes.append(
            line("mark", at - reach * along, at + reach * along, name=f"sweep {area.sweep}")
        )
        labels.append(label)
    return strokes, labels


def _on_chart(chosen: SweepSet, area: SweepArea) -> tuple[Array, Array]:
    """The area's middle and direction (unit) in the flat picture."""
    off = chosen.vertices - area.centre
    order = np.argsort(np.linalg.norm(off, axis=1), kind="stable")[:12]
    flat = chosen.chart[order] - chosen.chart[order[0]]
    turn, *_ = np.linalg.lstsq(off[order], flat, rcond=1e-3)
    along = area.direction @ turn
    length = float(np.linalg.norm(along))
    return chosen.chart[order[0]], along / length if length > 0.0 else np.array([1.0, 0.0])


def _region(chosen: SweepSet) -> SkinRegion:
    return SkinRegion(
        name=chosen.region,
        side=chosen.side,
        vertices=chosen.vertices,
        triangles=chosen.triangles,
        chart=chosen.chart,
        boundary=(),
        inner=(),
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )
