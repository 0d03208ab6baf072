"""Bend sheets: one for each wire, its outline at full size with everything along it."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.drawings.bendtable import bend_notes, bend_rows, push_rows
from buckwright.drawings.board import BIG, FIGURE, NAME, short_name, words, words_outward
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.listing import LINE_PITCH, lines_below, list_columns
from buckwright.drawings.rodmarks import piece_marks, rod_marks, ticks
from buckwright.drawings.viewing import compass, end_words, outside_of, seen_from, view_from
from buckwright.geometry.plane import Plane, project
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline
from buckwright.model.buck import Buck, Wire
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.job import Job
from buckwright.units import format_both

__all__ = ["bend_sheet", "bend_sheets"]

Array = NDArray[np.float64]

LEAST_WIDTH = 420.0
"""mm that the words under a small wire may take."""
FLAT_PART, FLAT_MOST = 0.005, 5.0
"""A rod is flat when it leaves its plane by less than 5 mm, or by less than 0.5 % of its length."""


@dataclass(frozen=True, eq=False, slots=True)
class LaidRod:
    """A wire on paper: the run (n, 2), heights over the paper (n,), distances along (n,)."""

    plane: Plane
    flat: Array
    height: Array
    along: Array
    marks: tuple[tuple[float, str], ...]

    @property
    def residual(self) -> float:
        """mm, the farthest that the rod leaves its plane."""
        return float(np.abs(self.height).max())

    @property
    def spatial(self) -> bool:
        """True when one outline is not enough to bend by."""
        return self.residual > max(FLAT_MOST, FLAT_PART * float(self.along[-1]))


def bend_sheets(job: Job, buck: Buck, only: Collection[str] | None = None) -> tuple[Sheet, ...]:
    """A sheet for each wire, in the buck's order; with `only`, for the wires of those names."""
    sheets: list[Sheet] = []
    for wire in buck.wires:
        if only is not None and wire.name not in only:
            continue
        name = short_name(f"wire-{wire.name}", (sheet.name for sheet in sheets))
        sheets.append(bend_sheet(job, buck, wire, name=name))
    return tuple(sheets)


def bend_sheet(job: Job, buck: Buck, wire: Wire, *, name: str) -> Sheet:
    """The sheet of one wire, seen from its outside, the long way across.

    A rod that clearly leaves its plane gets a second outline below the first: the same rod seen
    along the paper, height over the paper against the same place across.
    """
    rod = _lay(buck, wire)
    strokes, labels = _outline(wire, rod)
    if rod.spatial:
        edge_strokes, edge_labels = _edge_view(wire, rod, _lowest(strokes, labels))
        strokes, labels = strokes + edge_strokes, labels + edge_labels
    left = float(rod.flat[:, 0].min())
    bottom = _lowest(strokes, labels) - 20.0
    wide = max(float(np.ptp(rod.flat[:, 0])), LEAST_WIDTH)
    block = lines_below((left, bottom), _facts(wire, rod), width=wide)
    room = max(float(label.corners()[:, 0].max()) for label in block)
    block += _tables(wire, (left, _lowest((), block) - FIGURE))
    arrows, arrow_words = compass((room + 110.0, bottom - 90.0), rod.plane.axes)
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: bend sheet for wire {wire.name}",
        strokes=(*strokes, *arrows),
        labels=(*labels, *block, *arrow_words),
        notes=(*_how_to(wire, rod), *doubts(buck.findings, wire.name), *cautions_for("wire")),
        kind="wire",
    )


def _tables(wire: Wire, at: tuple[float, float]) -> tuple[Label, ...]:
    """The bend table, and what a sprung rod pushes, under each other."""
    if wire.bending is None:
        return ()
    labels: tuple[Label, ...] = ()
    top = at[1]
    for rows in (bend_rows(wire.bending), push_rows(wire)):
        if len(rows) > 1:
            block = list_columns((at[0], top), rows, FIGURE)
            labels += block
            top = _lowest((), block) - LINE_PITCH * FIGURE
    return labels


def _lay(buck: Buck, wire: Wire) -> LaidRod:
    axis = np.vstack([wire.axis, wire.axis[:1]]) if wire.closed else wire.axis
    plane = view_from(axis, outside_of(wire.side))
    flat, height = project(axis, plane)
    return LaidRod(plane, flat, height, arc_lengths(axis), _marks(buck, wire, axis))


def _marks(buck: Buck, wire: Wire, axis: Array) -> tuple[tuple[float, str], ...]:
    found = []
    for tack in buck.tacks:
        for own, other in ((0, 1), (1, 0)):
            if tack.wires[own] == wire.name:
                found.append((tack.at[own], tack.wires[other]))
    for post in buck.posts:
        if post.wire == wire.name:
            ends = np.stack([post.start, post.end])
            gap, _, at = closest_on_polyline(ends, axis)
            found.append((float(at[np.argmin(gap)]), post.name))
    if not wire.closed:
        return tuple(sorted(found))
    # Where the ends meet one place may have been counted from both.
    once = {(round(at % wire.length, 1) % round(wire.length, 1), name) for at, name in found}
    return tuple(sorted(once))


def _outline(wire: Wire, rod: LaidRod) -> tuple[list[Stroke], list[Label]]:
    strokes = _rod_strokes(wire, rod.flat, closed=wire.closed)
    marks, labels = rod_marks(
        rod.flat, rod.along, rod.marks, diameter=wire.diameter, closed=wire.closed
    )
    ends, end_labels = _ends(wire, rod)
    if wire.bending is not None and wire.bending.way == "bent":
        pieces = [(piece.start, piece.length) for piece in wire.bending.pieces]
        joints, numbers = piece_marks(rod.flat, rod.along, pieces, diameter=wire.diameter)
        marks, labels = [*marks, *joints], [*labels, *numbers]
    return [*strokes, *marks, *ends], [*labels, *end_labels]


def _rod_strokes(wire: Wire, flat: Array, *, closed: bool) -> list[Stroke]:
    """Both sides of the rod and its axis."""
    shape = shapely.LineString(flat).buffer(0.5 * wire.diameter, cap_style="flat", quad_segs=32)
    rings = [r for part in shapely.get_parts(shape) for r in (part.exterior, *part.interiors)]
    sides = [
        Stroke(ink="outline", points=np.asarray(r.coords)[:-1], closed=True, name=wire.name)
        for r in rings
        if r.length > 4.0 * wire.diameter
    ]
    axis = Stroke(
        ink="centre",
        points=flat[:-1] if closed else flat,
        closed=closed,
        name=f"{wire.name} axis",
    )
    return [*sides, axis]


def _ends(wire: Wire, rod: LaidRod) -> tuple[list[Stroke], list[Label]]:
    if wire.closed:
        strokes = ticks(rod.flat, rod.along, [0.0], diameter=3.0 * wire.diameter)
        inwards = rod.flat.mean(axis=0) - rod.flat[0]
        inwards = inwards / max(float(np.linalg.norm(inwards)), 1e-9)
        at = rod.flat[0] + 22.0 * inwards
        return strokes, [words_outward(at, inwards, "0: ends meet")]
    names = end_words(wire.axis[0], wire.axis[-1])
    labels = []
    for end, near, text in ((0, 1, f"0: {names[0]} end"), (-1, -2, f"{names[1]} end")):
        away = rod.flat[end] - rod.flat[near]
        away = away / max(float(np.linalg.norm(away)), 1e-9)
        at = rod.flat[end] + 14.0 * away
        label = words(at, text, FIGURE)
        width = float(np.ptp(label.corners()[:, 0]))
        shift = (-width if away[0] < 0.0 else 0.0, -0.5 * FIGURE + 1.0 * FIGURE * away[1])
        labels.append(words(at + np.array(shift), text, FIGURE))
    return [], labels


def _edge_view(wire: Wire, rod: LaidRod, top: float) -> tuple[list[Stroke], list[Label]]:
    """The rod seen along the paper from below, heights above the paper upwards."""
    drop = top - 60.0 - float(rod.height.max())
    flat = np.column_stack([rod.flat[:, 0], rod.height + drop])
    left, right = float(flat[:, 0].min()), float(flat[:, 0].max())
    paper = Stroke(ink="thin", points=np.array([[left, drop], [right, drop]]), name="paper")
    strokes = [
        *_rod_strokes(wire, flat, closed=wire.closed),
        *ticks(flat, rod.along, [at for at, _ in rod.marks], diameter=wire.diameter),
        paper,
    ]
    text = f"seen along the paper: {rod.height.max():.0f} over it, {-rod.height.min():.0f} under it"
    return strokes, [words((left, float(flat[:, 1].min()) - 3.0 * FIGURE), text, FIGURE)]


def _lowest(strokes: Sequence[Stroke], labels: Sequence[Label]) -> float:
    heights = [float(s.points[:, 1].min()) for s in strokes]
    return min([*heights, *(float(w.corners()[:, 1].min()) for w in labels)])


def _facts(wire: Wire, rod: LaidRod) -> list[tuple[str, float]]:
    bend = (
        "SPRING INTO PLACE: it stays elastic, tacks hold it"
        if wire.sprung
        else "STRAIGHT: do not bend it"
        if wire.bending is not None and wire.bending.way == "straight"
        else f"bend the tightest place to R {wire.form_radius:.0f}; "
        f"it springs back to R {wire.least_radius:.0f}"
    )
    lies = (
        f"leaves the paper by up to {rod.residual:.1f}: use both outlines"
        if rod.spatial
        else f"flat within {rod.residual:.1f}"
    )
    return [
        (f"{wire.name}", BIG),
        (f"rod {wire.diameter:g}, cut {format_both(wire.cut_length)}", NAME),
        (f"length along the axis {format_both(wire.length)}, {wire.mass:.2f} kg", FIGURE),
        (bend, NAME),
        (lies, FIGURE),
        (f"follows {wire.line}, {wire.set_in:.1f} under the skin's outside", FIGURE),
    ]


def _how_to(wire: Wire, rod: LaidRod) -> tuple[str, ...]:
    allowance = wire.cut_length - wire.length
    spare = f", {0.5 * allowance:.0f} mm of it spare at each end" if allowance > 0.5 else ""
    do = (
        "Hold it on the outline and mark the tacks; it lies between both lines"
        if wire.sprung
        else "Bend until it lies between both lines of the outline"
    )
    notes = [
        f"Cut the rod to {wire.cut_length:.1f} mm{spare}. {do}, seen from "
        f"{seen_from(rod.plane.axes)}. Marks are mm along the rod from its end 0.",
    ]
    if wire.bending is not None:
        notes += bend_notes(wire.bending, spare=0.5 * allowance)
    if rod.spatial:
        notes.append(
            "Without the table: bend it flat by the upper outline first, then lift it by the lower "
            "one, which shows the height over the paper, towards you, at the same place across."
        )
    if wire.side != "whole":
        other = "right" if wire.side == "left" else "left"
        notes.append(f"This is the {wire.side} wire: the {other} one has its own mirrored sheet.")
    return tuple(notes)
