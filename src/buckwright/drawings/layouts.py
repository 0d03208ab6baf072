"""Sheets of metal or board with what is cut from them, at full size, to mark out or to cut."""

from collections.abc import Iterable, Sequence
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, arrow, short_name, words
from buckwright.drawings.cautions import cautions_for
from buckwright.drawings.listing import lines_below
from buckwright.geometry.lettering import lettering_width
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.job import Job
from buckwright.model.nesting import LaidPiece, Layout, SheetLayout
from buckwright.units import format_both

__all__ = ["layout_sheets"]

Array = NDArray[np.float64]


def layout_sheets(
    job: Job,
    layout: Layout,
    *,
    what: str,
    kind: Literal["blank", "board"],
    taken: Iterable[str] = (),
) -> tuple[Sheet, ...]:
    """One sheet for each sheet or offcut that is cut, `what` naming the pieces in words.

    x runs along the rolling direction or the long side; the lower left corner is the origin.
    Names are none of `taken`.
    """
    names = list(taken)
    sheets = []
    for number, sheet in enumerate(layout.sheets, 1):
        names.append(short_name(f"cut-{what}-{number}", names))
        sheets.append(_sheet(job, layout, sheet, names[-1], what, kind))
    return tuple(sheets)


def _sheet(
    job: Job,
    layout: Layout,
    sheet: SheetLayout,
    name: str,
    what: str,
    kind: Literal["blank", "board"],
) -> Sheet:
    length, width = sheet.size
    edge = np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]])
    strokes = [Stroke(ink="outline", points=edge, closed=True, name=sheet.name)]
    labels: list[Label] = []
    if sheet.remnant is not None:
        low = np.array(sheet.remnant.at)
        size = np.array(sheet.remnant.size)
        corners = low + size * np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
        strokes.append(Stroke(ink="thin", points=corners, closed=True, name="to keep"))
        text = f"keep {size[0]:.0f} x {size[1]:.0f}"
        labels.append(words(low + 0.5 * size, text, NAME, centred=True))
    for piece in sheet.pieces:
        for ring in (*piece.holes, piece.outline):
            strokes.append(Stroke(ink="cut", points=ring, closed=True, name=piece.name))
        labels.append(_name_inside(piece))
    grain = "grain (rolling direction)" if kind == "blank" else "long side"
    strokes += arrow((0.0, -30.0), (220.0, -30.0), head=16.0)
    labels.append(words((232.0, -30.0 - 0.5 * FIGURE), grain, FIGURE))
    labels += lines_below((0.0, -50.0), _facts(layout, sheet, what), width=max(length, 500.0))
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: {what} on {sheet.name}",
        strokes=tuple(strokes),
        labels=tuple(labels),
        notes=(*_how_to(layout, sheet, kind), *cautions_for(kind)),
        kind=kind,
        cut_file=True,
    )


def _facts(layout: Layout, sheet: SheetLayout, what: str) -> list[tuple[str, float]]:
    length, width = sheet.size
    lines = [
        (f"{what} on {sheet.name} of {len(layout.sheets)}", BIG),
        (f"{layout.stock}: {format_both(length)} x {format_both(width)}", NAME),
        (f"{len(sheet.pieces)} pieces on {100.0 * sheet.density:.0f} % of it", FIGURE),
    ]
    if sheet.mass > 0.0:
        price = f"; price {sheet.cost:.2f}" if sheet.cost else ""
        lines.append((f"{sheet.mass:.1f} kg{price}", FIGURE))
    lines.append(
        (
            f"between pieces {layout.gap:g} mm asked, {layout.gap_kept:.1f} mm kept; to the edge "
            f"{layout.margin:g} mm asked, {layout.margin_kept:.1f} mm kept",
            FIGURE,
        )
    )
    return lines


def _how_to(layout: Layout, sheet: SheetLayout, kind: str) -> tuple[str, ...]:
    used, bound = layout.sheets_used, layout.sheets_bound
    notes = [
        f"All together take {used:.2f} sheets; by area alone no layout can do with less than "
        f"{bound:.2f}.",
    ]
    if kind == "blank":
        notes.append("Outside up: mark every blank with its name at once, on the outside.")
    else:
        notes.append("Mark every part with its name at once, on the face that is up.")
    if sheet.offcut:
        notes.append("This is an offcut from the rack: measure it before marking out.")
    if sheet.remnant is not None:
        long, wide = sheet.remnant.size
        notes.append(f"Keep the rectangle of {long:.0f} x {wide:.0f} mm for the rack.")
    return tuple(notes)


def _name_inside(piece: LaidPiece) -> Label:
    """The piece's name where it lies widest, as large as there is room for."""
    shape = shapely.Polygon(piece.outline, piece.holes)
    line = shapely.maximum_inscribed_circle(shape)
    middle = np.asarray(line.coords[0])
    room = 2.0 * float(line.length)
    height = NAME
    angle = _longest_way(shape, middle)
    while height > 4.0 and lettering_width(piece.name, height) > max(room, 200.0):
        height *= 0.8
    height = min(height, 0.6 * room)
    down = 0.5 * height * np.array([np.sin(angle), -np.cos(angle)])
    return words(middle + down, piece.name, height, angle=angle, centred=True)


def _longest_way(shape: shapely.Polygon, middle: Array) -> float:
    """The direction, read from below or from the right, in which there is most room."""
    best, found = 0.0, 0.0
    for angle in np.radians(np.arange(-75.0, 91.0, 15.0)).tolist():
        way = 1e5 * np.array([np.cos(angle), np.sin(angle)])
        parts: Sequence[shapely.Geometry] = shapely.get_parts(
            shape.intersection(shapely.LineString([middle - way, middle + way]))
        )
        here = min(parts, key=lambda part: float(part.distance(shapely.Point(middle))))
        if here.length > best + 1.0:
            best, found = float(here.length), angle
    return found
