"""Sheets made ready for paper: notes under the drawing, moved, turned, cut into windows.

A leaf is a sheet whose notes have become words on it.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.geometry.lettering import wrapped
from buckwright.model.drawings import Label, Sheet, Stroke

__all__ = ["Window", "clipped", "leaf_of", "moved", "turned", "windows_over"]

Array = NDArray[np.float64]

TITLE, NOTE = 8.0, 4.0
PITCH = 1.75
COLUMN = 300.0


@dataclass(frozen=True, eq=False, slots=True)
class Window:
    """One piece of a sheet: column and row from the lower left, and its box in the sheet."""

    column: int
    row: int
    low: Array
    high: Array

    @property
    def name(self) -> str:
        """Column letter and row number: A1 is the lower left."""
        letters, number = "", self.column + 1
        while number:
            number, rest = divmod(number - 1, 26)
            letters = chr(ord("A") + rest) + letters
        return f"{letters}{self.row + 1}"


def leaf_of(sheet: Sheet, *, beside: bool = False) -> Sheet:
    """The sheet with title and notes as words: in columns below the drawing, or one beside it.

    Its lower left corner comes to (0, 0).
    """
    low, high = sheet.box()
    if beside:
        words = _notes(sheet, float(high[0]) + 20.0, float(high[1]), COLUMN)
    else:
        room = max(float(high[0] - low[0]), COLUMN)
        words = _notes(sheet, float(low[0]), float(low[1]) - 14.0, room)
    whole = sheet.model_copy(update={"labels": (*sheet.labels, *words), "notes": ()})
    return moved(whole, -whole.box()[0])


def moved(sheet: Sheet, by: Array) -> Sheet:
    """The sheet shifted by (2,) mm."""
    strokes = tuple(s.model_copy(update={"points": s.points + by}) for s in sheet.strokes)
    labels = tuple(
        w.model_copy(update={"at": (w.at[0] + float(by[0]), w.at[1] + float(by[1]))})
        for w in sheet.labels
    )
    return sheet.model_copy(update={"strokes": strokes, "labels": labels})


def turned(sheet: Sheet) -> Sheet:
    """The sheet turned a quarter to the left, its lower left corner at (0, 0) again."""
    quarter = np.array([[0.0, 1.0], [-1.0, 0.0]])
    strokes = tuple(s.model_copy(update={"points": s.points @ quarter}) for s in sheet.strokes)
    labels = tuple(
        w.model_copy(update={"at": (-w.at[1], w.at[0]), "angle": w.angle + np.pi / 2.0})
        for w in sheet.labels
    )
    whole = sheet.model_copy(update={"strokes": strokes, "labels": labels})
    return moved(whole, -whole.box()[0])


def windows_over(
    low: Array, high: Array, *, size: tuple[float, float], overlap: float
) -> list[Window]:
    """Windows of that size over the box, in rows from below, neighbours sharing the overlap.

    Raises ValueError for a size that the overlap eats up.
    """
    room = np.asarray(size) - overlap
    if np.any(room <= 0.0):
        message = "the overlap leaves nothing of the window"
        raise ValueError(message)
    counts = np.maximum(np.ceil((high - low - overlap) / room - 1e-9), 1.0).astype(int)
    start = 0.5 * (low + high - counts * room - overlap)
    return [
        Window(column, row, corner, corner + np.asarray(size))
        for row in range(counts[1])
        for column in range(counts[0])
        for corner in [start + room * (column, row)]
    ]


def clipped(sheet: Sheet, windows: Iterable[Window]) -> list[tuple[Window, Sheet]]:
    """For each window that holds more than grid lines, what of the sheet lies in it.

    Strokes are cut at the window's edge; words are kept whole where they reach into it.
    """
    shapes = np.array([_geometry(stroke) for stroke in sheet.strokes], dtype=object)
    tree = shapely.STRtree(shapes)
    rooms = np.array([shapely.Polygon(label.corners()) for label in sheet.labels], dtype=object)
    names = shapely.STRtree(rooms)
    found = []
    for window in windows:
        box = shapely.box(*window.low, *window.high)
        touched = np.sort(tree.query(box)).tolist()
        strokes = [piece for i in touched for piece in _cut(sheet.strokes[i], shapes[i], window)]
        inside = np.sort(names.query(box, predicate="intersects")).tolist()
        labels = [sheet.labels[i] for i in inside]
        if labels or any(stroke.ink != "grid" for stroke in strokes):
            content = {"strokes": tuple(strokes), "labels": tuple(labels), "notes": ()}
            found.append((window, sheet.model_copy(update=content)))
    return found


def _notes(sheet: Sheet, left: float, top: float, room: float) -> list[Label]:
    columns = max(int(room // COLUMN), 1)
    width = room / columns - 3.0 * NOTE
    notes = []
    for note in sheet.notes:
        first, *more = wrapped(note, NOTE, width - 2.0 * NOTE)
        notes.append([f"- {first}", *(f"   {line}" for line in more)])
    titles = wrapped(sheet.title, TITLE, room)
    words = []
    for index, line in enumerate(titles):
        at = (left, top - (index + 1) * 1.4 * TITLE)
        words.append(Label(at=at, text=line, height=TITLE))
    below = top - len(titles) * 1.4 * TITLE - NOTE
    for column, lines in enumerate(_in_columns(notes, columns)):
        for row, line in enumerate(lines):
            at = (left + column * room / columns, below - (row + 1) * PITCH * NOTE)
            words.append(Label(at=at, text=line, height=NOTE))
    return words


def _in_columns(notes: list[list[str]], columns: int) -> list[list[str]]:
    """The notes, none torn apart, in as many columns and as low as that allows."""
    deep = -(-sum(len(note) for note in notes) // columns)
    while True:
        filled: list[list[str]] = [[]]
        for note in notes:
            if filled[-1] and len(filled[-1]) + len(note) > deep:
                filled.append([])
            filled[-1] += note
        if len(filled) <= columns:
            return filled
        deep += 1


def _geometry(stroke: Stroke) -> shapely.LineString | shapely.LinearRing | shapely.Point:
    if len(stroke.points) < 2:
        return shapely.Point(stroke.points[0])
    ring = stroke.closed and len(stroke.points) > 2
    return shapely.LinearRing(stroke.points) if ring else shapely.LineString(stroke.points)


def _cut(stroke: Stroke, shape: shapely.Geometry, window: Window) -> list[Stroke]:
    low, high = window.low, window.high
    if np.all(stroke.points >= low) and np.all(stroke.points <= high):
        return [stroke]
    line = shapely.LineString(shape.coords) if isinstance(shape, shapely.LinearRing) else shape
    inside = shapely.clip_by_rect(line, *low, *high)
    return [
        stroke.model_copy(update={"points": np.asarray(part.coords), "closed": False})
        for part in shapely.get_parts(inside)
        if isinstance(part, shapely.LineString) and part.length > 0.0
    ]
