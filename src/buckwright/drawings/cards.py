"""Gauge cards: cut out at full size and held against the outside of the metal."""

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import (
    BIG,
    FIGURE,
    NAME,
    arrow,
    line,
    short_name,
    words,
    words_outward,
)
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.listing import lines_below
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.gauges import Gauge, Gauges
from buckwright.model.job import Job

__all__ = ["card_axes", "card_sheets"]

Array = NDArray[np.float64]


def card_sheets(job: Job, gauges: Gauges) -> tuple[Sheet, ...]:
    """One sheet for each card, in card millimetres."""
    sheets: list[Sheet] = []
    for gauge in gauges.gauges:
        name = short_name(f"gauge-{gauge.name}", (sheet.name for sheet in sheets))
        sheets.append(_sheet(job, gauges, gauge, name))
    return tuple(sheets)


def card_axes(gauge: Gauge) -> Array:
    """(2, 3): vehicle directions of the card's x and y, from the section and its profile.

    An axis that the profile does not reach into is made square to the other, in the plane.
    """
    normal = np.zeros(3)
    normal["xyz".index(gauge.plane[0])] = 1.0
    space = gauge.section - gauge.section.mean(axis=0)
    card = gauge.profile - gauge.profile.mean(axis=0)
    turn, _, back = np.linalg.svd(card.T @ space, full_matrices=False)
    axes = np.asarray(turn @ back)
    return axes - np.outer(axes @ normal, normal)


def _sheet(job: Job, gauges: Gauges, gauge: Gauge, name: str) -> Sheet:
    outline = Stroke(ink="cut", points=gauge.outline, closed=True, name=gauge.name)
    marks, mark_labels = _marks(gauge)
    axis, value = gauge.plane
    low = gauge.outline.min(axis=0)
    hand = gauge.hand.upper()
    lines = (
        (f"{gauge.name}", BIG),
        (f"{hand} side, {axis} {value:g}", NAME),
        (f"{job.name} {job.revision}", FIGURE),
    )
    pointer, pointer_words = _forward(gauge, (float(low[0]), float(low[1]) - 30.0))
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: gauge {gauge.name}, {gauge.hand}",
        strokes=(*marks, *pointer, outline),
        labels=(
            *mark_labels,
            *pointer_words,
            *lines_below((float(low[0]), float(low[1]) - 50.0), lines),
        ),
        notes=(
            "Cut the outline, deburr, hold the profile square against the outside of the metal, "
            "marks on the lines they name: light under the card is a low spot, rocking a high one.",
            f"This card is for the {hand} side only; write its name on it before it leaves the "
            "paper.",
            *doubts(gauges.findings, gauge.name),
            *cautions_for("gauge"),
        ),
        kind="gauge",
        cut_file=True,
    )


def _marks(gauge: Gauge) -> tuple[list[Stroke], list[Label]]:
    """Ticks from the profile into the card, with the names of the lines that cross there."""
    strokes: list[Stroke] = []
    labels: list[Label] = []
    centre = gauge.outline.mean(axis=0)
    along = arc_lengths(gauge.profile)
    for point, name in zip(gauge.marks, gauge.mark_names, strict=True):
        _, _, at = closest_on_polyline(point[None], gauge.profile)
        ends = np.clip([at[0] - 3.0, at[0] + 3.0], 0.0, along[-1])
        x, y = (np.interp(ends, along, gauge.profile[:, k]) for k in range(2))
        tangent = np.array([x[1] - x[0], y[1] - y[0]])
        inwards = np.array([-tangent[1], tangent[0]]) / max(float(np.linalg.norm(tangent)), 1e-9)
        if inwards @ (centre - point) < 0.0:
            inwards = -inwards
        strokes.append(line("mark", point, point + 15.0 * inwards, name=name))
        labels.append(words_outward(point + 19.0 * inwards, inwards, name))
    return strokes, labels


def _forward(gauge: Gauge, at: tuple[float, float]) -> tuple[tuple[Stroke, ...], list[Label]]:
    """An arrow to the front if it lies in the card; else which face looks forward, in words."""
    axes = card_axes(gauge)
    shadow = axes @ np.array([-1.0, 0.0, 0.0])
    if np.linalg.norm(shadow) > 0.5:
        tip = np.array(at) + np.array([0.0 if shadow[0] > 0.0 else 80.0, 0.0])
        end = tip + 80.0 * shadow / np.linalg.norm(shadow)
        return arrow(tip, end, head=16.0), [words((at[0] + 95.0, at[1] - 3.5), "forward", FIGURE)]
    face = np.cross(axes[0], axes[1])
    text = "this face FORWARD" if face[0] < 0.0 else "this face REARWARD"
    return (), [words((at[0], at[1] - 3.5), text, NAME)]
