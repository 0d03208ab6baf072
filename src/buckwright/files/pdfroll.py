"""Full-size sheets on a paper roll: one PDF page for each length that is cut off."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from buckwright.files.leaves import Window, clipped, leaf_of, turned, windows_over
from buckwright.files.pdfbook import INCH, PdfBook
from buckwright.model.drawings import Label, Sheet, Stroke

__all__ = ["roll_pdf"]

Array = NDArray[np.float64]

LONGEST = 5000.0
"""mm of one page."""
LEFT, RIGHT, FOOT, HEAD = 30.0, 12.0, 30.0, 12.0
"""mm kept free; check bars stand in the left and foot margins."""
GAP = 16.0
OVERLAP = 20.0
SHORTEST = LEFT + 10.0 * INCH + RIGHT
BARS = ((100.0, "100 mm"), (10.0 * INCH, "10 in"))


@dataclass(frozen=True, eq=False, slots=True)
class _Leaf:
    """What is drawn from (0, 0), and the room (2,) that it gets."""

    sheet: Sheet
    size: Array


@dataclass(eq=False, slots=True)
class _Length:
    """Leaves beside each other across the roll, each with its height above the foot margin."""

    leaves: list[tuple[_Leaf, float]] = field(default_factory=list)
    used: float = 0.0
    long: float = 0.0


def roll_pdf(sheets: Sequence[Sheet], *, roll_width: float = 914.4, title: str) -> bytes:
    """The sheets at true size on a roll of that width (mm), the run of the roll lying across.

    Small sheets lie beside each other, long ones first; a sheet wider than the roll is turned, or
    cut into strips and lengths of at most 5,000 mm with match lines. Every page has its own check
    bars of 100 mm and 10 in both ways. Raises ValueError for a roll narrower than 300 mm.
    """
    across = roll_width - FOOT - HEAD
    if across < 10.0 * INCH:
        message = "a roll must be at least 300 mm wide"
        raise ValueError(message)
    leaves = [piece for sheet in sheets for piece in _fitting(sheet, across)]
    lengths = _side_by_side(leaves, across)
    book = PdfBook(title)
    for number, length in enumerate(lengths, 1):
        long = max(length.long + LEFT + RIGHT, SHORTEST)
        names = ", ".join(dict.fromkeys(leaf.sheet.title for leaf, _ in length.leaves))
        book.begin_page(long, roll_width, bookmark=names)
        for leaf, above in length.leaves:
            shift = np.array([LEFT, FOOT + above])
            book.clip(shift - 1.0, shift + leaf.size + 1.0)
            book.strokes(leaf.sheet.strokes, shift=shift)
            book.words(leaf.sheet.labels, shift=shift)
            book.unclip()
        book.check_bars((LEFT - 8.0, FOOT - 8.0), BARS)
        text = f"{title}: length {number} of {len(lengths)}. Print at 100 %; measure the bars."
        book.words([Label(at=(LEFT, 4.0), text=text, height=3.5)])
    return book.finish()


def _fitting(sheet: Sheet, across: float) -> list[_Leaf]:
    """The sheet as one leaf, turned if it must be, or in pieces that fit the roll."""
    along = LONGEST - LEFT - RIGHT
    whole = [leaf_of(sheet), leaf_of(sheet, beside=True)]
    for leaf in (*whole, *map(turned, whole)):
        long, wide = leaf.box()[1]
        if wide <= across and long <= along:
            return [_Leaf(leaf, leaf.box()[1])]
    leaf = whole[0]
    long, wide = leaf.box()[1]
    if long < wide:
        leaf = turned(leaf)
    low, high = leaf.box()
    size = (_even(float(high[0]), along), _even(float(high[1]), across))
    windows = windows_over(low, high, size=size, overlap=OVERLAP)
    pieces = clipped(leaf, windows)
    there = {(window.column, window.row) for window, _ in pieces}
    return [
        _Leaf(_with_match_lines(sheet, window, piece, there), window.high - window.low)
        for window, piece in pieces
    ]


def _even(extent: float, most: float) -> float:
    """The size of equal pieces, as few as `most` allows, that share the overlap."""
    count = max(int(np.ceil((extent - OVERLAP) / (most - OVERLAP))), 1)
    return (extent - OVERLAP) / count + OVERLAP


def _with_match_lines(
    sheet: Sheet, window: Window, piece: Sheet, there: set[tuple[int, int]]
) -> Sheet:
    """The piece with a line to lay on the next one's, in the middle of every shared strip."""
    strokes = [*piece.strokes]
    labels = [Label(at=(6.0, 6.0), text=f"{sheet.title}: piece {window.name}", height=6.0)]
    size = window.high - window.low
    for axis, sense in ((0, -1), (0, 1), (1, -1), (1, 1)):
        step = (sense, 0) if axis == 0 else (0, sense)
        neighbour = (window.column + step[0], window.row + step[1])
        if neighbour not in there:
            continue
        place = 0.5 * OVERLAP if sense < 0 else size[axis] - 0.5 * OVERLAP
        ends = np.zeros((2, 2))
        ends[1] = size
        ends[:, axis] = place
        other = Window(*neighbour, window.low, window.high).name
        strokes.append(Stroke(ink="mark", points=ends + window.low, name="match line"))
        text = f"match line: lay on piece {other}"
        at = (place + 2.0, 30.0) if axis == 0 else (30.0, place + 2.0)
        labels.append(Label(at=at, text=text, height=4.0, angle=0.0))
    own = tuple(
        w.model_copy(update={"at": (w.at[0] - window.low[0], w.at[1] - window.low[1])})
        for w in piece.labels
    )
    shifted = tuple(s.model_copy(update={"points": s.points - window.low}) for s in strokes)
    return piece.model_copy(
        update={
            "strokes": shifted,
            "labels": (*own, *labels),
            "title": f"{sheet.title} {window.name}",
        }
    )


def _side_by_side(leaves: Sequence[_Leaf], across: float) -> list[_Length]:
    """First fit, longest first: each leaf goes beside the first ones that leave it room."""
    lengths: list[_Length] = []
    for leaf in sorted(leaves, key=lambda one: -float(one.size[0])):
        long, wide = (float(v) for v in leaf.size)
        home = next((one for one in lengths if one.used + wide <= across), None)
        if home is None:
            home = _Length()
            lengths.append(home)
        home.leaves.append((leaf, home.used))
        home.used += wide + GAP
        home.long = max(home.long, long)
    return lengths
