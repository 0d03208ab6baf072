"""Full-size sheets on ordinary paper: tiles to trim and join, with an index before each sheet."""

from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.files.leaves import Window, clipped, windows_over
from buckwright.files.pdfbook import INCH, PdfBook
from buckwright.geometry.lettering import wrapped
from buckwright.model.drawings import Label, Sheet, Stroke

__all__ = ["PAPERS", "tiled_pdf"]

Array = NDArray[np.float64]

PAPERS: dict[str, tuple[float, float]] = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "Letter": (8.5 * INCH, 11.0 * INCH),
}
"""mm, upright (ISO 216; ANSI/ASME Y14.1 size A)."""

MARGIN = 15.0
OVERLAP = 10.0
MARK = 4.0


def tiled_pdf(
    sheets: Sequence[Sheet], *, paper: Literal["A4", "A3", "Letter"] = "A4", title: str
) -> bytes:
    """The sheets at true size on tiles of that paper, each sheet upright or lying, as saves paper.

    Before each sheet's tiles stands its index: title, notes, and which tiles there are. Empty
    tiles are left out. Neighbours share 10 mm; the drawing is cut off at the edge of each tile,
    crosses stand at the corners where four tiles meet, and each edge names its neighbour.
    Raises ValueError for a paper that is not in the list.
    """
    if paper not in PAPERS:
        message = f"the paper must be one of {', '.join(PAPERS)}"
        raise ValueError(message)
    book = PdfBook(title)
    for sheet in sheets:
        size, tiles = _fewest_tiles(sheet, PAPERS[paper])
        _index_page(book, sheet, PAPERS[paper], tiles)
        there = {(window.column, window.row) for window, _ in tiles}
        for window, piece in tiles:
            _tile_page(book, sheet, size, (window, piece), there)
    return book.finish()


def _fewest_tiles(
    sheet: Sheet, paper: tuple[float, float]
) -> tuple[tuple[float, float], list[tuple[Window, Sheet]]]:
    low, high = sheet.box()
    choices = []
    for size in (paper, paper[::-1]):
        room = (size[0] - 2.0 * MARGIN, size[1] - 2.0 * MARGIN)
        tiles = clipped(sheet, windows_over(low, high, size=room, overlap=OVERLAP))
        choices.append((size, tiles))
    return min(choices, key=lambda choice: len(choice[1]))


def _tile_page(
    book: PdfBook,
    sheet: Sheet,
    size: tuple[float, float],
    tile: tuple[Window, Sheet],
    there: set[tuple[int, int]],
) -> None:
    window, piece = tile
    book.begin_page(*size)
    shift = MARGIN - window.low
    low, high = np.full(2, MARGIN), np.asarray(size) - MARGIN
    book.clip(low, high)
    book.strokes(piece.strokes, shift=shift)
    book.words(piece.labels, shift=shift)
    book.unclip()
    book.strokes(_match_marks(low, high))
    book.words(_edge_words(sheet, window, there, size))
    book.check_bars((MARGIN, 8.0 + 3.0), [(100.0, "")])
    book.words([Label(at=(MARGIN + 102.0, 9.0), text="100 mm", height=2.5)])


def _match_marks(low: Array, high: Array) -> list[Stroke]:
    """Crosses in the middle of the shared strip, near the corners of the tile."""
    inner = np.array([low + 0.5 * OVERLAP, high - 0.5 * OVERLAP])
    marks = []
    for x in inner[:, 0]:
        for y in inner[:, 1]:
            for along in (np.array([MARK, 0.0]), np.array([0.0, MARK])):
                ends = np.array([x, y]) + np.stack([-along, along])
                marks.append(Stroke(ink="mark", points=ends, name="match mark"))
    frame = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
    return [*marks, Stroke(ink="grid", points=frame, closed=True, name="trim")]


def _edge_words(
    sheet: Sheet, window: Window, there: set[tuple[int, int]], size: tuple[float, float]
) -> list[Label]:
    width, height = size
    places = (
        ((-1, 0), (MARGIN - 3.0, 0.5 * height), np.pi / 2.0),
        ((1, 0), (width - MARGIN + 5.0, 0.5 * height), np.pi / 2.0),
        ((0, -1), (0.75 * width, MARGIN - 5.0), 0.0),
        ((0, 1), (0.5 * width, height - MARGIN + 2.0), 0.0),
    )
    labels = [
        Label(at=(MARGIN, height - MARGIN + 2.5), text=window.name, height=7.0),
        Label(at=(MARGIN + 22.0, height - MARGIN + 8.0), text=sheet.title[:70], height=2.5),
    ]
    for (across, up), at, angle in places:
        other = (window.column + across, window.row + up)
        if other in there:
            name = Window(*other, window.low, window.high).name
            labels.append(Label(at=at, text=f"to {name}", height=3.0, angle=angle))
    return labels


def _index_page(
    book: PdfBook,
    sheet: Sheet,
    paper: tuple[float, float],
    tiles: list[tuple[Window, Sheet]],
) -> None:
    """Title, notes, a small picture with the tiles' names, and check bars."""
    width, height = paper
    book.begin_page(width, height, bookmark=sheet.title)
    y = height - MARGIN
    labels = []
    for text, size in _index_lines(sheet, tiles, width - 2.0 * MARGIN):
        y -= 1.9 * size
        labels.append(Label(at=(MARGIN, y), text=text, height=size))
    book.words(labels)
    floor = 34.0
    low = np.min([window.low for window, _ in tiles], axis=0)
    high = np.max([window.high for window, _ in tiles], axis=0)
    room = np.array([width - 2.0 * MARGIN - 12.0, y - 8.0 - floor])
    scale = float(np.min(room / (high - low)))
    shift = np.array([MARGIN + 12.0, floor]) - scale * low
    book.strokes(_simple(sheet, scale), shift=shift, scale=scale)
    for window, _ in tiles:
        frame = np.array(
            [
                window.low,
                [window.high[0], window.low[1]],
                window.high,
                [window.low[0], window.high[1]],
            ]
        )
        book.strokes([Stroke(ink="grid", points=frame * scale + shift, closed=True)])
        middle = 0.5 * (window.low + window.high) * scale + shift
        tall = min(3.5, 0.25 * scale * float(window.high[1] - window.low[1]))
        at = (float(middle[0]) - tall, float(middle[1]) - 0.5 * tall)
        book.words([Label(at=at, text=window.name, height=tall)])
    book.check_bars((MARGIN + 4.0, 22.0), [(100.0, "100 mm"), (6.0 * INCH, "6 in")])


def _index_lines(
    sheet: Sheet, tiles: list[tuple[Window, Sheet]], room: float
) -> list[tuple[str, float]]:
    lines = [(text, 5.0) for text in wrapped(sheet.title, 5.0, room)] + [("", 2.3)]
    count = f"{len(tiles)} tiles" if len(tiles) > 1 else "1 tile"
    join = (
        f"{count}. Print at 100 %, measure both bars. Trim one of two neighbours at the crosses, "
        "lay cross on cross, tape."
    )
    for note in (join, *sheet.notes):
        first, *more = wrapped(note, 2.3, room - 8.0)
        lines += [(f"- {first}", 2.3), *((f"   {text}", 2.3) for text in more)]
    return lines


def _simple(sheet: Sheet, scale: float) -> list[Stroke]:
    """Enough points for a small picture, without the grid; corners stay."""
    found = []
    for stroke in sheet.strokes:
        if stroke.ink == "grid":
            continue
        ring = np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
        plain = shapely.simplify(shapely.LineString(ring), 0.05 / scale).coords
        points = np.asarray(plain)[:-1] if stroke.closed else np.asarray(plain)
        found.append(stroke.model_copy(update={"points": points}))
    return found
