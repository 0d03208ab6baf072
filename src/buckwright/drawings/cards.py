"""Gauge cards: cut out at full size and held against the outside of the metal."""

from collections.abc import Sequence
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.drawings.board import (
    BIG,
    FIGURE,
    NAME,
    arrow,
    line,
    short_name,
    words,
)
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.listing import lines_below
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.gauges import Gauge, Gauges
from buckwright.model.job import Job

__all__ = ["card_axes", "card_sheets"]

Array = NDArray[np.float64]

FORWARD = np.array([-1.0, 0.0, 0.0])
SMALL = 5.0
TICK = 12.0
"""mm: small words on a card, length of a mark."""


def card_sheets(job: Job, gauges: Gauges) -> tuple[Sheet, ...]:
    """One sheet for each card, in card millimetres."""
    sheets: list[Sheet] = []
    for gauge in gauges.gauges:
        name = short_name(f"gauge-{_with_hand(gauge)}", (sheet.name for sheet in sheets))
        sheets.append(_sheet(job, gauges, gauge, name))
    return tuple(sheets)


def card_axes(gauge: Gauge) -> Array:
    """(2, 3): the vehicle directions, along its axes, of the card's x and y.

    Of the eight ways to lay the plane on paper the one that takes the section to the profile.
    """
    free = [k for k in range(3) if "xyz"[k] != gauge.plane[0]]
    unit = np.eye(3)
    ways = [
        np.stack([across * unit[i], up * unit[j]])
        for i, j in (free, free[::-1])
        for across, up in product((1.0, -1.0), repeat=2)
    ]
    space = gauge.section - gauge.origin
    return min(ways, key=lambda axes: float(np.abs(space @ axes.T - gauge.profile).max()))


def _sheet(job: Job, gauges: Gauges, gauge: Gauge, name: str) -> Sheet:
    outline = Stroke(ink="cut", points=gauge.outline, closed=True, name=gauge.name)
    marks, mark_labels = _marks(gauge)
    own, arrow_strokes = _on_card(gauge, mark_labels)
    axis, value = gauge.plane
    low = gauge.outline.min(axis=0)
    hand = gauge.hand.upper()
    lines = (
        (gauge.name, BIG),
        (f"{hand} side, {axis} {value:g}, {_facing(gauge)}", NAME),
        (f"{job.name} {job.revision}", FIGURE),
    )
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: gauge {_with_hand(gauge)}",
        strokes=(*marks, *arrow_strokes, outline),
        labels=(*mark_labels, *own, *lines_below((float(low[0]), float(low[1]) - 20.0), lines)),
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


def _with_hand(gauge: Gauge) -> str:
    return gauge.name if gauge.hand in gauge.name else f"{gauge.name} {gauge.hand}"


def _along(gauge: Gauge, at: float, depth: float) -> tuple[Array, Array]:
    """Point at that distance along the profile, `depth` into the card, and the tangent there."""
    along = arc_lengths(gauge.profile)
    ends = np.clip([at - 15.0, at + 15.0], 0.0, along[-1])
    before, after, point = (
        np.array([np.interp(s, along, gauge.profile[:, k]) for k in range(2)]) for s in (*ends, at)
    )
    tangent = (after - before) / max(float(np.linalg.norm(after - before)), 1e-9)
    inwards = np.array([-tangent[1], tangent[0]])
    if not shapely.Polygon(gauge.outline).contains(shapely.Point(point + 3.0 * inwards)):
        inwards = -inwards
    return point + depth * inwards, tangent if tangent[0] >= 0.0 else -tangent


def _marks(gauge: Gauge) -> tuple[list[Stroke], list[Label]]:
    """Ticks from the profile into the card, each with the name of the line that crosses there."""
    strokes: list[Stroke] = []
    labels: list[Label] = []
    if not len(gauge.marks):
        return strokes, labels
    _, _, places = closest_on_polyline(gauge.marks, gauge.profile)
    for point, at, name in zip(gauge.marks, places, gauge.mark_names, strict=True):
        inner, _ = _along(gauge, float(at), TICK)
        strokes.append(line("mark", point, inner, name=name))
        labels += _fitting(gauge, name, (SMALL,), [float(at)], (20.0, 29.0, 38.0), labels)
    return strokes, labels


def _fitting(
    gauge: Gauge,
    text: str,
    heights: tuple[float, ...],
    places: Sequence[float],
    depths: Sequence[float],
    taken: Sequence[Label],
) -> list[Label]:
    """The words along the profile where they first fit on the card clear of others, or nothing."""
    card = shapely.Polygon(gauge.outline).buffer(-2.0)
    rooms = [shapely.Polygon(label.corners()) for label in taken]
    for height in heights:
        for depth in depths:
            for at in places:
                point, tangent = _along(gauge, at, depth)
                angle = float(np.arctan2(tangent[1], tangent[0]))
                down = 0.5 * height * np.array([tangent[1], -tangent[0]])
                label = words(point + down, text, height, angle=angle, centred=True)
                room = shapely.Polygon(label.corners())
                if card.contains(room) and not any(room.intersects(other) for other in rooms):
                    return [label]
    return []


def _on_card(gauge: Gauge, taken: list[Label]) -> tuple[list[Label], list[Stroke]]:
    """Name, hand and which way is forward, on the card itself, so that they stay with it."""
    length = arc_lengths(gauge.profile)[-1]
    places = [share * float(length) for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)]
    depths = (36.0, 44.0, 30.0, 50.0, 22.0)
    name = _fitting(gauge, _with_hand(gauge), (NAME, FIGURE, SMALL), places, depths, taken)
    labels = [
        *name,
        *_fitting(gauge, _facing(gauge), (FIGURE, SMALL), places, depths, [*taken, *name]),
    ]
    shadow = card_axes(gauge) @ FORWARD
    if np.linalg.norm(shadow) < 0.5:
        return labels, []
    card = shapely.Polygon(gauge.outline).buffer(-4.0)
    rooms = shapely.union_all([shapely.Polygon(label.corners()) for label in (*taken, *labels)])
    for depth in depths:
        for at in places:
            middle, _ = _along(gauge, at, depth)
            reach = 25.0 * shadow / np.linalg.norm(shadow)
            shaft = shapely.LineString([middle - reach, middle + reach]).buffer(5.0)
            if card.contains(shaft) and not shaft.intersects(rooms):
                return labels, list(arrow(middle - reach, middle + reach, head=14.0))
    return labels, []


def _facing(gauge: Gauge) -> str:
    """Which way the card's face, or its arrow, points."""
    axes = card_axes(gauge)
    if np.linalg.norm(axes @ FORWARD) > 0.5:
        return "arrow FORWARD" if (axes @ FORWARD)[0] < 0.0 else "arrow FORWARD, to the right"
    return "this face FORWARD" if np.cross(axes[0], axes[1])[0] < 0.0 else "this face REARWARD"
