"""PNG: a sheet as a picture for the screen, over coloured patches. Not for measuring."""

from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from buckwright.files.inks import PENS
from buckwright.files.leaves import leaf_of
from buckwright.geometry.lettering import lettering_strokes
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.drawings import Label, Sheet, Stroke

__all__ = ["sheet_png"]

Array = NDArray[np.float64]

EDGE = 10.0
FINE = 2
"""Drawn so many times larger than it is written, for smooth lines."""


def sheet_png(sheet: Sheet, patches: Array, colours: Array, *, longest: int = 1800) -> bytes:
    """The sheet with its notes over filled polygons, its longer side `longest` dots.

    Parameters: `patches` (m, k, 2), mm on the sheet; `colours` (m, 3) from 0 to 1. The same
    arguments give the same bytes.
    """
    leaf = leaf_of(sheet)
    low, size = leaf.box()[0], leaf.box()[1] - leaf.box()[0] + 2.0 * EDGE
    scale = FINE * longest / float(size.max())
    wide, high = (int(np.ceil(side * scale)) for side in size)
    board = Image.new("RGB", (wide, high), "white")
    place = _Placing(low - EDGE, float(size[1]), scale)
    # The leaf moves the sheet's strokes: the patches go with them.
    shift = leaf.strokes[0].points[0] - sheet.strokes[0].points[0]
    pen = ImageDraw.Draw(board)
    shades = np.round(255.0 * colours).astype(int)
    for corners, shade in zip(patches + shift, shades.tolist(), strict=True):
        pen.polygon(place(corners), fill=tuple(shade))
    for ink in PENS:
        for stroke in leaf.strokes:
            if stroke.ink == ink:
                _draw_stroke(pen, stroke, place)
    for label in leaf.labels:
        _draw_words(pen, label, place)
    small = board.reduce(FINE)
    out = BytesIO()
    small.save(out, "PNG", optimize=True)
    return out.getvalue()


class _Placing:
    """From millimetres, y up, to dots, y down."""

    def __init__(self, low: Array, height: float, scale: float) -> None:
        self.low, self.height, self.scale = low, height, scale

    def __call__(self, points: Array) -> list[tuple[float, float]]:
        moved = (points - self.low) * self.scale
        moved[:, 1] = self.height * self.scale - moved[:, 1]
        return [(float(x), float(y)) for x, y in moved]


def _draw_stroke(pen: ImageDraw.ImageDraw, stroke: Stroke, place: _Placing) -> None:
    style = PENS[stroke.ink]
    points = np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
    colour = tuple(round(255 * part) for part in style.colour)
    width = max(round(style.width * place.scale), FINE)
    for part in _dashed(points, style.dashes):
        pen.line(place(part), fill=colour, width=width, joint="curve")


def _draw_words(pen: ImageDraw.ImageDraw, label: Label, place: _Placing) -> None:
    cosine, sine = np.cos(label.angle), np.sin(label.angle)
    turn = np.array([[cosine, sine], [-sine, cosine]])
    width = max(round(0.09 * label.height * place.scale), FINE)
    for strokes in lettering_strokes(label.text, label.height):
        pen.line(place(strokes @ turn + label.at), fill=(0, 0, 0), width=width, joint="curve")


def _dashed(points: Array, dashes: tuple[float, ...]) -> list[Array]:
    """The polyline's pieces under the dashes: on, off, on, off, ... (mm)."""
    if not dashes:
        return [points]
    along = arc_lengths(points)
    pieces, at, count = [], 0.0, 0
    while at < along[-1]:
        end = min(at + dashes[count % len(dashes)], along[-1])
        if count % 2 == 0:
            inside = points[(along > at) & (along < end)]
            ends = np.array(
                [[np.interp(s, along, points[:, d]) for d in (0, 1)] for s in (at, end)]
            )
            pieces.append(np.vstack([ends[:1], inside, ends[1:]]))
        at, count = end, count + 1
    return pieces
