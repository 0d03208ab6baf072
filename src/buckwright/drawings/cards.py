"""Gauge cards: cut out at full size and held against the metal."""

from collections.abc import Sequence
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.ops import nearest_points

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
from buckwright.geometry.lettering import lettering_width
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline
from buckwright.geometry.stencil import stencil_strokes
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.gauges import Gauge, Gauges, StandBoard
from buckwright.model.job import Job

__all__ = ["card_axes", "card_sheets", "drawn_ring"]

Array = NDArray[np.float64]

FORWARD = np.array([-1.0, 0.0, 0.0])
ARROWS = ((25.0, 7.0), (15.0, 5.0), (8.0, 3.5))
"""mm: half an arrow's length, and the room that it needs to each side."""
SMALL = 5.0
TICK = 12.0
"""mm: small words on a card, length of a mark."""
TILE = 175.0
"""mm: words that run on farther would need a sheet of ordinary paper of their own."""


def card_sheets(job: Job, gauges: Gauges) -> tuple[Sheet, ...]:
    """One sheet for each card, in card millimetres."""
    sheets: list[Sheet] = []
    for gauge in gauges.gauges:
        name = _sheet_name(gauge, [sheet.name for sheet in sheets])
        sheets.append(_sheet(job, gauges, gauge, name))
    return tuple(sheets)


def card_axes(gauge: Gauge) -> Array:
    """(2, 3): the vehicle directions of the card's x and y.

    Where an earlier version did not note them: of the eight ways to lay the plane along the
    axes on paper the one that takes the section to the profile.
    """
    if len(gauge.axes):
        return np.asarray(gauge.axes)
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
    outline = Stroke(ink="cut", points=drawn_ring(gauge), closed=True, name=gauge.name)
    marks, mark_labels = _marks(gauge)
    own, arrow_strokes = _on_card(gauge, mark_labels)
    low = gauge.outline.min(axis=0)
    hand = gauge.hand.upper()
    lines = (
        (gauge.name, BIG),
        (f"{hand} side, {gauge.face.upper()} of the metal, {_facing(gauge)}", NAME),
        (f"{_plane_words(gauge)}; this way up", NAME),
        (f"{job.name} {job.revision}", FIGURE),
    )
    strokes, labels = [*marks, *arrow_strokes], [*mark_labels, *own]
    if gauge.labels == "cut":
        strokes, labels = [*_cut_through(strokes), *_cut_words(labels)], []
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: gauge {_with_hand(gauge)}",
        strokes=(*strokes, outline),
        labels=(
            *labels,
            *lines_below(
                (float(low[0]), float(low[1]) - 20.0),
                lines,
                width=max(float(np.ptp(gauge.outline[:, 0])), TILE),
            ),
        ),
        notes=(
            f"Cut the outline, deburr, hold the profile square against the {gauge.face} of the "
            "metal, marks on the lines they name: light under the card is a low spot, rocking a "
            "high one."
            if gauge.face == "outside"
            else "Cut the outline, deburr, hold the profile square against the inside of the "
            "metal, marks on the lines they name: light under the card is a high spot of the "
            "outside, rocking a low one.",
            f"This card is for the {hand} side only; write its name on it before it leaves the "
            "paper.",
            *_stand_notes(gauge),
            *doubts(gauges.findings, gauge.name),
            *cautions_for("gauge"),
        ),
        kind="gauge",
        cut_file=True,
    )


def drawn_ring(piece: Gauge | StandBoard) -> Array:
    """The outline in such order that arcs fitted to left and right pieces are mirror images."""
    right = piece.name.endswith(" right")
    return np.asarray(piece.outline[::-1] if right else piece.outline)


def _plane_words(gauge: Gauge) -> str:
    if not gauge.oblique:
        axis, value = gauge.plane
        return f"plane {axis} {value:g}"
    x, y, z = gauge.origin
    return f"plane through x {x:.0f}, y {y:.0f}, z {z:.0f}, square to no axis"


def _stand_notes(gauge: Gauge) -> tuple[str, ...]:
    if gauge.thickness == 0.0:
        return ()
    notes = [
        f"Cut it from board that measures {gauge.thickness:g} mm: the slots are made for that, and "
        "the profile is true in the middle of the thickness."
    ]
    if gauge.edge_off > 0.1:
        notes.append(
            f"The metal meets this card aslant: file the corners of its edge back to the middle "
            f"line, or the corner touches up to {gauge.edge_off:.1f} mm too early."
        )
    return tuple(notes)


def _cut_through(strokes: Sequence[Stroke]) -> list[Stroke]:
    return [stroke.model_copy(update={"ink": "cut"}) for stroke in strokes]


def _cut_words(labels: Sequence[Label]) -> list[Stroke]:
    """The words as single strokes to cut through, each letter with bridges."""
    strokes = []
    for label in labels:
        cosine, sine = np.cos(label.angle), np.sin(label.angle)
        turn = np.array([[cosine, sine], [-sine, cosine]])
        strokes += [
            Stroke(ink="cut", points=points @ turn + label.at, name=label.text)
            for points in stencil_strokes(label.text, label.height)
        ]
    return strokes


def _sheet_name(gauge: Gauge, taken: Sequence[str]) -> str:
    """A name that keeps face and hand, however long the gauge's own name is."""
    bare = gauge.name.removesuffix(gauge.hand).strip().removesuffix("inside")
    ending = f"{'-in' if gauge.face == 'inside' else ''}-{gauge.hand}"
    stem = short_name(f"gauge-{bare}")[: 40 - len("-in-right")].rstrip("-")
    numbers = ("", *(f"-{number}" for number in range(2, 1000)))
    names = (f"{stem[: 31 - len(number)]}{number}{ending}" for number in numbers)
    return next(name for name in names if name not in taken)


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
    inner = point + depth * _card_side(gauge) * np.array([-tangent[1], tangent[0]])
    card = shapely.Polygon(gauge.outline).buffer(-min(2.0, 0.5 * depth))
    if depth > 0.0 and not card.contains(shapely.Point(inner)):
        # At the ends of a card square to the profile is off the card: the nearest place on it.
        nearest, _ = nearest_points(card, shapely.Point(inner))
        inner = np.array([nearest.x, nearest.y])
    return inner, tangent if tangent[0] >= 0.0 else -tangent


def _card_side(gauge: Gauge) -> float:
    """1 where the card lies to the left of its profile, -1 to the right."""
    middle = len(gauge.profile) // 2
    start, end = gauge.profile[middle - 1 : middle + 1]
    step = (end - start) / np.linalg.norm(end - start)
    probe = 0.5 * (start + end) + np.array([-step[1], step[0]])
    return 1.0 if shapely.Polygon(gauge.outline).contains(shapely.Point(probe)) else -1.0


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
        aside = 0.5 * lettering_width(name, SMALL) + 6.0
        beside = [float(at) + share * aside for share in (0.0, 1.0, -1.0)]
        depths = (20.0, 29.0, 38.0, 12.0)
        labels += _fitting(gauge, name, (SMALL,), beside, depths, labels) or _inward(
            gauge, name, (np.asarray(point), inner), labels
        )
    return strokes, labels


def _inward(
    gauge: Gauge, text: str, tick: tuple[Array, Array], taken: Sequence[Label]
) -> list[Label]:
    """The words from the end of a tick on into the card, where they fit clear of others."""
    card = shapely.Polygon(gauge.outline).buffer(-2.0)
    rooms = [shapely.Polygon(label.corners()) for label in taken]
    straight = np.arctan2(*(tick[1] - tick[0])[::-1])
    half = 0.5 * lettering_width(text, SMALL)
    for slant in np.radians([0.0, 10.0, -10.0, 20.0, -20.0, 35.0, -35.0, 50.0, -50.0]):
        way = np.array([np.cos(straight + slant), np.sin(straight + slant)])
        for off in (4.0, 12.0):
            middle = tick[1] + (off + half) * way
            turned = way if way[0] > 1e-9 or (abs(way[0]) <= 1e-9 and way[1] > 0.0) else -way
            down = 0.5 * SMALL * np.array([turned[1], -turned[0]])
            angle = float(np.arctan2(turned[1], turned[0]))
            label = words(middle + down, text, SMALL, angle=angle, centred=True)
            room = shapely.Polygon(label.corners())
            if card.contains(room) and not any(room.intersects(other) for other in rooms):
                return [label]
    return []


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
        *_fitting(
            gauge,
            f"{gauge.face}; {_facing(gauge)}",
            (FIGURE, SMALL),
            places,
            depths,
            [*taken, *name],
        ),
    ]
    shadow = card_axes(gauge) @ FORWARD
    if np.linalg.norm(shadow) < 0.5:
        return labels, []
    way = shadow / np.linalg.norm(shadow)
    card = shapely.Polygon(gauge.outline).buffer(-2.0)
    rooms = shapely.union_all([shapely.Polygon(label.corners()) for label in (*taken, *labels)])
    for reach, clear in ARROWS:
        for depth, at in product(depths, places):
            middle, _ = _along(gauge, at, depth)
            tail, tip = middle - reach * way, middle + reach * way
            shaft = shapely.LineString([tail, tip]).buffer(clear)
            if card.contains(shaft) and not shaft.intersects(rooms):
                return labels, list(arrow(tail, tip, head=0.56 * reach))
    # No room on the card: beside it.
    low, high = gauge.outline.min(axis=0), gauge.outline.max(axis=0)
    middle = np.array([high[0] + 45.0, 0.5 * (low[1] + high[1])])
    return labels, list(arrow(middle - 25.0 * way, middle + 25.0 * way, head=14.0))


def _facing(gauge: Gauge) -> str:
    """Which way the card's face, or its arrow, points."""
    axes = card_axes(gauge)
    if np.linalg.norm(axes @ FORWARD) > 0.5:
        return "arrow FORWARD" if (axes @ FORWARD)[0] < 0.0 else "arrow FORWARD, to the right"
    return "this face FORWARD" if np.cross(axes[0], axes[1])[0] < 0.0 else "this face REARWARD"
