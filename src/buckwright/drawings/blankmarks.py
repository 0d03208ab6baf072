"""What stands on a blank beside its outline: marks along the edge, centre line, openings."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.drawings.board import line, words
from buckwright.geometry.lettering import lettering_width
from buckwright.model.drawings import Label, Stroke
from buckwright.model.marks import BlankMark
from buckwright.model.panels import Blank

__all__ = ["blank_marks"]

Array = NDArray[np.float64]

INSIDE, OUTSIDE = 10.0, 6.0
"""mm of a mark inside and outside the trim line."""
HEIGHTS = {"match": 7.0, "centre": 5.0, "datum": 5.0}


def blank_marks(blank: Blank, taken: tuple[Label, ...] = ()) -> tuple[list[Stroke], list[Label]]:
    """Openings, the centre line, and marks with their words where they lie over no other words.

    A match mark is a double line, a datum or centre mark a single one; the words stand inside
    the trim line, so that they are still there when the allowance is gone.
    """
    strokes = [
        *(Stroke(ink="outline", points=o, closed=True, name="opening") for o in blank.openings),
        *(Stroke(ink="cut", points=c, closed=True, name="opening") for c in blank.opening_cuts),
        *(Stroke(ink="centre", points=c, name="centre line") for c in blank.centre_line),
    ]
    labels: list[Label] = []
    rooms = [shapely.Polygon(label.corners()) for label in taken]
    for mark in sorted(blank.marks, key=lambda m: ("match", "centre", "datum").index(m.kind)):
        strokes += _ticks(mark)
        label = _words(mark)
        room = shapely.Polygon(label.corners())
        if not any(room.intersects(other) for other in rooms):
            labels.append(label)
            rooms.append(room)
    return strokes, labels


def _ticks(mark: BlankMark) -> list[Stroke]:
    at, out = np.array(mark.at), np.array(mark.outward)
    along = np.array([-out[1], out[0]])
    aside = (-1.0, 1.0) if mark.kind == "match" else (0.0,)
    return [
        line(
            "mark",
            at + side * along - INSIDE * out,
            at + side * along + OUTSIDE * out,
            name=mark.text,
        )
        for side in aside
    ]


def _words(mark: BlankMark) -> Label:
    """The words along the mark, inside the trim line, turned to read from below."""
    height = HEIGHTS[mark.kind]
    at, out = np.array(mark.at), np.array(mark.outward)
    away = -out
    first = at + (INSIDE + 3.0) * away
    if away[0] >= -1e-9:
        angle, start = float(np.arctan2(away[1], away[0])), first
    else:
        angle = float(np.arctan2(out[1], out[0]))
        start = first + lettering_width(mark.text, height) * away
    down = np.array([np.sin(angle), -np.cos(angle)])
    return words(start + 0.5 * height * down, mark.text, height, angle=angle)
