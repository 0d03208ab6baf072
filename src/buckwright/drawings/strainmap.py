"""Working sheets: at points of the blank, the two strains, the two radii, and the thickness."""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.drawings.board import BIG, FIGURE, NAME, line, short_name, words
from buckwright.drawings.cautions import cautions_for
from buckwright.drawings.edgemarks import side_words, way_arrow
from buckwright.drawings.listing import lines_below
from buckwright.geometry.lettering import lettering_width
from buckwright.geometry.mesh import triangle_areas
from buckwright.model.drawings import Ink, Label, Sheet, Stroke
from buckwright.model.job import Job
from buckwright.model.panels import Blank, Panel, Panels

__all__ = ["working_sheets"]

Array = NDArray[np.float64]

SMALL = 5.0
"""mm of capitals beside a cross."""
PITCHES = (80.0, 100.0, 150.0, 200.0, 300.0)
MOST = 70
"""Crosses on a sheet that are still read at a glance."""
CLEAR = 30.0
"""mm from a cross to the edge, for its words."""
LONGEST, SHORTEST = 30.0, 3.0
"""mm from the middle to the end of an arm, for the largest strain and for none."""
NOTHING = 0.003
FLAT = 10_000.0
"""mm, radius beyond which sheet lies down by itself."""


def working_sheets(job: Job, panels: Panels) -> tuple[Sheet, ...]:
    """One sheet for each blank with a shape map."""
    sheets: list[Sheet] = []
    for panel, blank in zip(panels.panels, panels.blanks, strict=True):
        if len(blank.thickness_after):
            name = short_name(f"working-{blank.panel}", (sheet.name for sheet in sheets))
            sheets.append(_sheet(job, panel, blank, name))
    return tuple(sheets)


def _sheet(job: Job, panel: Panel, blank: Blank, name: str) -> Sheet:
    places = _places(blank)
    strokes, labels = _crosses(panel, blank, places)
    outlines = [
        Stroke(ink="outline", points=ring, closed=True, name="trim line")
        for ring in (blank.net_outline, *blank.openings)
    ]
    way_strokes, way_labels = way_arrow(panel, blank)
    low = blank.net_outline.min(axis=0)
    steps = [(f"{step.number}. {step.words}", FIGURE) for step in blank.work]
    block = lines_below(
        (float(low[0]), float(low[1]) - 30.0),
        [
            (f"{blank.panel}: how it is worked", BIG),
            *side_words(panel),
            ("outside up, on the flat blank, at full size", NAME),
            *steps,
        ],
        width=max(float(np.ptp(blank.net_outline[:, 0])), 500.0),
    )
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: how {blank.panel} is worked",
        strokes=(*outlines, *strokes, *way_strokes),
        labels=(*labels, *way_labels, *block),
        notes=(
            "Each cross: the metal lengthens or shortens most along one arm and least along the "
            "other; drawn full it stretches, dashed it shrinks. Beside it the percent along the "
            "first and along the second arm; R, the tighter and the slacker radius it is bent to "
            "in mm (a minus bends towards the outside, - is flat), the thin line across the "
            "cross along the tighter bend; t, the thickness afterwards in mm.",
            *([blank.verdict.anneal] if blank.verdict.anneal else []),
            *cautions_for("blank"),
        ),
        kind="blank",
    )


def _places(blank: Blank) -> Array:
    """Points of an even raster about the middle of the blank, clear of the edge."""
    shape = shapely.Polygon(blank.net_outline, blank.openings).buffer(0.0)
    middle = np.asarray(shape.centroid.coords[0])
    inner = shape.buffer(-CLEAR)
    low, high = blank.net_outline.min(axis=0), blank.net_outline.max(axis=0)
    for pitch in PITCHES:
        axes = [
            middle[k]
            + pitch
            * np.arange(np.ceil((low[k] - middle[k]) / pitch), (high[k] - middle[k]) / pitch)
            for k in (0, 1)
        ]
        raster = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)
        found = raster[shapely.contains_xy(inner, raster[:, 0], raster[:, 1])]
        if len(found) <= MOST:
            break
    return found if len(found) else middle[None, :]


def _crosses(panel: Panel, blank: Blank, places: Array) -> tuple[list[Stroke], list[Label]]:
    middles = blank.flat[panel.triangles].mean(axis=1)
    tree, vertices = cKDTree(middles), cKDTree(blank.flat)
    weight = np.abs(triangle_areas(blank.flat, panel.triangles))
    most = float(max(np.abs(blank.strain_major).max(), np.abs(blank.strain_minor).max(), 1e-6))
    inside = shapely.Polygon(blank.net_outline, blank.openings).buffer(0.0)
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for place in places:
        near = np.atleast_1d(tree.query(place, k=min(12, len(middles)))[1])
        along, across, way = _mean_strain(blank, near, weight)
        vertex = int(vertices.query(place)[1])
        arms = _arms(place, (along, across), way, most)
        thick = float(np.average(blank.thickness_after[near], weights=weight[near]))
        texts = (
            f"{100.0 * along:+.1f} / {100.0 * across:+.1f}",
            _radii(blank, vertex),
            f"t {thick:.2f}",
        )
        reach = max(float(np.ptp(arm.points[:, 1])) / 2.0 for arm in arms)
        beside = _words(place, texts, reach, inside, labels)
        if not beside and labels:
            continue
        strokes += [*arms, *_bend(blank, vertex, place)]
        labels += beside
    return strokes, labels


def _arms(place: Array, strains: tuple[float, float], way: Array, most: float) -> list[Stroke]:
    """The two arms of a cross, as long as their strains are large."""
    found = []
    for strain, arm in zip(strains, (way, np.array([-way[1], way[0]])), strict=True):
        size = SHORTEST + (LONGEST - SHORTEST) * min(abs(strain) / most, 1.0)
        found.append(line(_ink(strain), place - size * arm, place + size * arm))
    return found


def _bend(blank: Blank, vertex: int, place: Array) -> list[Stroke]:
    if abs(blank.curvature_tight[vertex]) <= 1.0 / FLAT:
        return []
    bend = blank.tight_direction[vertex]
    return [line("thin", place - 9.0 * bend, place + 9.0 * bend)]


def _mean_strain(
    blank: Blank, near: NDArray[np.int64], weight: Array
) -> tuple[float, float, Array]:
    """Mean principal strains (fractions) round a point, and the first one's direction."""
    w = weight[near] / weight[near].sum()
    x, y = blank.major_direction[near].T
    major, minor = blank.strain_major[near], blank.strain_minor[near]
    tensor = np.array(
        [
            [w @ (major * x * x + minor * y * y), w @ ((major - minor) * x * y)],
            [w @ ((major - minor) * x * y), w @ (major * y * y + minor * x * x)],
        ]
    )
    values, ways = np.linalg.eigh(tensor)
    return float(np.expm1(values[1])), float(np.expm1(values[0])), ways[:, 1]


def _ink(strain: float) -> Ink:
    return "thin" if abs(strain) < NOTHING else "stretch" if strain > 0.0 else "shrink"


def _radii(blank: Blank, vertex: int) -> str:
    told = []
    for curvature in (blank.curvature_tight[vertex], blank.curvature_slack[vertex]):
        told.append("-" if abs(curvature) < 1.0 / FLAT else f"{_round(1.0 / float(curvature))}")
    return "R " + " / ".join(told)


def _round(radius: float) -> int:
    step = 10 if abs(radius) < 1000.0 else 100
    return int(step * round(radius / step))


def _words(
    place: Array,
    texts: Sequence[str],
    reach: float,
    inside: shapely.Geometry,
    taken: Sequence[Label],
) -> list[Label]:
    """The words under the cross or over it, on the blank and clear of others; none without room.

    `reach` is mm from the cross's middle to its arms' upper and lower ends.
    """
    pitch = 1.5 * SMALL
    rooms = [shapely.Polygon(label.corners()) for label in taken]
    off = max(reach, 9.0) + 2.0
    for top in (place[1] - off - SMALL, place[1] + off + (len(texts) - 1) * pitch):
        found = [
            words((place[0] - 0.5 * lettering_width(text, SMALL), top - row * pitch), text, SMALL)
            for row, text in enumerate(texts)
        ]
        shapes = [shapely.Polygon(label.corners()) for label in found]
        clear = not any(shape.intersects(other) for shape in shapes for other in rooms)
        if clear and all(inside.contains(shape) for shape in shapes):
            return found
    return []
