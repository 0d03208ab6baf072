"""Blank sheets: the flat piece at full size, and where its metal must stretch or shrink."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.drawings.blankmarks import blank_marks
from buckwright.drawings.board import BIG, FIGURE, NAME, arrow, cross, short_name, words
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.edgemarks import bend_strokes, edge_lines, side_words, way_arrow
from buckwright.drawings.listing import lines_below
from buckwright.drawings.shapemap import ringed_areas, shape_map
from buckwright.drawings.treatmentmarks import TreatmentMarks, treatment_marks
from buckwright.model.drawings import Sheet, Stroke
from buckwright.model.job import Job
from buckwright.model.panels import Blank, Panel, Panels
from buckwright.model.skin import Skin
from buckwright.units import format_both

__all__ = ["blank_sheets"]

Array = NDArray[np.float64]

GRID = 50.0


def blank_sheets(job: Job, panels: Panels, skin: Skin | None = None) -> tuple[Sheet, ...]:
    """One sheet for each blank, outside of the panel up, as the blank lies.

    What is done to the skin lies on it: beads, louvres, trims, lines in which skins meet.
    """
    sheets: list[Sheet] = []
    for panel, blank in zip(panels.panels, panels.blanks, strict=True):
        name = short_name(f"blank-{blank.panel}", (sheet.name for sheet in sheets))
        sheet = _sheet(job, panels, panel, blank, name)
        marks = TreatmentMarks() if skin is None else treatment_marks(panel, blank, skin)
        sheets.append(_with_marks(sheet, marks))
    return tuple(sheets)


def _sheet(job: Job, panels: Panels, panel: Panel, blank: Blank, name: str) -> Sheet:
    outline, net = blank.outline, blank.net_outline
    middle = np.asarray(shapely.Polygon(net).centroid.coords[0])
    area_strokes, area_labels, words_by_letter = ringed_areas(panel, blank)
    mark_strokes, mark_labels = blank_marks(blank, tuple(area_labels))
    map_strokes, map_labels, step = shape_map(panel, blank, [*area_labels, *mark_labels])
    way_strokes, way_labels = way_arrow(panel, blank)
    low = outline.min(axis=0)
    grain = arrow((low[0], low[1] - 30.0), (low[0] + 220.0, low[1] - 30.0), head=16.0)
    grain_words = words(
        (low[0] + 232.0, low[1] - 30.0 - 0.5 * FIGURE), "grain (rolling direction)", FIGURE
    )
    block = lines_below(
        (float(low[0]), float(low[1]) - 50.0),
        [*_facts(job, panel, blank, step), *_work(blank, words_by_letter), *edge_lines(blank)],
        width=max(float(np.ptp(outline[:, 0])), 500.0),
    )
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: blank for {blank.panel}",
        strokes=(
            *_grid(blank, middle),
            *map_strokes,
            Stroke(ink="outline", points=net, closed=True, name="trim line"),
            *cross(middle, 20.0),
            *area_strokes,
            *mark_strokes,
            *bend_strokes(blank),
            *way_strokes,
            *grain,
            Stroke(ink="cut", points=outline, closed=True, name=blank.panel),
        ),
        labels=(*map_labels, *area_labels, *mark_labels, *way_labels, grain_words, *block),
        notes=(
            *_how_to(blank, panel),
            *([blank.verdict.anneal] if blank.verdict.anneal else []),
            *doubts((*blank.findings, *panels.findings), blank.panel),
            *cautions_for("blank"),
        ),
        kind="blank",
        cut_file=True,
    )


def _with_marks(sheet: Sheet, marks: TreatmentMarks) -> Sheet:
    if not marks.strokes:
        return sheet
    return sheet.model_copy(
        update={
            "strokes": (*sheet.strokes[:-1], *marks.strokes, sheet.strokes[-1]),
            "labels": (*sheet.labels, *marks.labels),
            "notes": (*marks.notes, *sheet.notes),
        }
    )


def _grid(blank: Blank, middle: Array) -> list[Stroke]:
    """Squares over the net shape, counted from its middle, cut off at the trim lines."""
    net = blank.net_outline
    shape = shapely.Polygon(net, blank.openings).buffer(0.0)
    low, high = net.min(axis=0), net.max(axis=0)
    rulers = []
    for axis in (0, 1):
        first = middle[axis] + GRID * np.ceil((low[axis] - middle[axis]) / GRID)
        for value in np.arange(first, high[axis], GRID):
            ends = np.array([low - 1.0, high + 1.0])
            ends[:, axis] = value
            rulers.append(shapely.LineString(ends))
    pieces = shapely.get_parts(shapely.intersection(np.array(rulers), shape))
    return [
        Stroke(ink="grid", points=np.asarray(piece.coords), name="grid")
        for piece in pieces
        if isinstance(piece, shapely.LineString) and piece.length > 1.0
    ]


def _facts(job: Job, panel: Panel, blank: Blank, step: float) -> list[tuple[str, float]]:
    metal = f"{job.sheet.alloy}, {job.sheet.thickness:g} mm" if job.sheet else "metal not chosen"
    low, high = blank.outline.min(axis=0), blank.outline.max(axis=0)
    size = max(float(high[0] - low[0]), float(high[1] - low[1]))
    return [
        (blank.panel, BIG),
        *side_words(panel),
        (f"{metal}, {blank.mass:.2f} kg, longest {format_both(size)}", NAME),
        *([(blank.aim_words, FIGURE)] if blank.aim_words else []),
        (f"{blank.verdict.step.upper()}: {blank.verdict.reason}", FIGURE),
        (f"isolines every {100.0 * step:g} % of area; squares {GRID:.0f} mm; OUTSIDE UP", FIGURE),
    ]


def _work(blank: Blank, by_area: dict[int, str]) -> list[tuple[str, float]]:
    """The order of work; where an area is worked, with its letter and figures."""
    lines = [("order of work", NAME)] if blank.work else []
    for step in blank.work:
        told = [by_area[place] for place in step.areas if place in by_area]
        words = "; ".join(told) if told else step.words
        if step.what == "anneal":
            words = f"{step.words.split('.')[0]} (see the caution)"
        lines.append((f"{step.number}. {words}", FIGURE))
    done = {place for step in blank.work for place in step.areas}
    lines += [(words, FIGURE) for place, words in by_area.items() if place not in done]
    others = [o.words for o in blank.verdict.others if o.step != "will not take it"][:3]
    if others and blank.verdict.step != "takes it":
        lines.append((f"otherwise: {'; '.join(others)}", FIGURE))
    return lines


def _how_to(blank: Blank, panel: Panel) -> tuple[str, ...]:
    edges = {edge.allowance for edge in blank.edges}
    edges |= {e.allowance_least for e in blank.edges if e.allowance_least is not None}
    inside = f" The trim line lies {edges.pop():.1f} mm inside." if len(edges) == 1 else ""
    if len(edges) > 1:
        inside = (
            f" The trim line lies inside it, by {min(edges):.1f} to {max(edges):.1f} mm from edge "
            "to edge."
        )
    notes = [
        f"Cut along the outer line.{inside} Lay the sheet's rolling direction along the arrow.",
        "Where a number is positive the metal must get that much larger (stretch), where it is "
        "negative that much smaller (shrink); at 0 it only bends.",
    ]
    if blank.bend_lines:
        notes.append("The lines along the trim line are where bends begin and end.")
    if panel.side != "whole":
        other = "right" if panel.side == "left" else "left"
        notes.append(
            f"This is for the {panel.side} side, outside up, and bears the marks of the "
            f"{panel.side} side. The {other} side has its own sheet: do not turn this one over."
        )
    return tuple(notes)
