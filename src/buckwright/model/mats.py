"""Mats as they are printed: which board goes on which paper, and the bars to measure on it."""

from typing import NamedTuple

from buckwright.model.pictures import Bar, Mat

__all__ = [
    "MAT_KINDS",
    "PAPER_MM",
    "MatKind",
    "PrintedBar",
    "bar_words",
    "between_cards",
    "mark_words",
    "mat_kind",
    "printed_bars",
    "printed_mat",
    "typed_bar",
    "without_bar",
]


class MatKind(NamedTuple):
    """A kind of mat, and what it is for."""

    paper: str
    squares: tuple[int, int]
    square_mm: float
    several: bool
    """Whether it may be a set: sheets laid side by side, or cards."""
    words: str


MAT_KINDS: dict[str, MatKind] = {
    "A4": MatKind("A4", (13, 9), 20.0, False, "a small part, or a model up to 200 mm long"),
    "A3": MatKind("A3", (19, 13), 20.0, False, "a model up to 300 mm long"),
    "A2": MatKind("A2", (19, 13), 30.0, False, "a model up to 450 mm long"),
    "sheets": MatKind("A4", (13, 9), 20.0, True, "A4 sheets laid side by side instead of A2"),
    "cards": MatKind("A4", (7, 5), 36.0, True, "A4 cards to tape on and around a part"),
    "A3 cards": MatKind("A3", (7, 5), 52.0, True, "A3 cards for a whole vehicle"),
}
"""By name. All have an odd number of rows: those with an even number are printed with black and
white changed round by programs of different age."""

PAPER_MM: dict[str, tuple[float, float]] = {
    "A4": (297.0, 210.0),
    "A3": (420.0, 297.0),
    "A2": (594.0, 420.0),
}
"""Width and height, lying on the long side (ISO 216)."""
_MARK_OF_A_SQUARE = 22.0 / 30.0
_SHEETS, _CARDS = 4, 8


def printed_mat(kind: str, count: int | None = None) -> Mat:
    """The mat of that kind; of a set, `count` boards, else as many as are usual.

    Raises ValueError for a kind that does not exist, or more boards than there are marks for.
    """
    if kind not in MAT_KINDS:
        message = f"there is no mat {kind}"
        raise ValueError(message)
    chosen = MAT_KINDS[kind]
    usual = (_SHEETS if kind == "sheets" else _CARDS) if chosen.several else 1
    boards = usual if count is None else count
    columns, rows = chosen.squares
    if not 1 <= boards <= (1000 // (columns * rows // 2) if chosen.several else 1):
        message = f"there are no {boards} boards of {kind}"
        raise ValueError(message)
    return Mat(
        squares=chosen.squares,
        square_mm=chosen.square_mm,
        marker_mm=round(_MARK_OF_A_SQUARE * chosen.square_mm, 1),
        # The smaller dictionary is the beginning of the larger.
        dictionary="DICT_5X5_1000" if chosen.several else "DICT_5X5_250",
        more_cards=boards - 1,
    )


def mat_kind(mat: Mat) -> str | None:
    """What this mat is called among the printed kinds; None for another."""
    for name, kind in MAT_KINDS.items():
        usual = (kind.squares, kind.square_mm, kind.several) == (
            mat.squares,
            mat.square_mm,
            mat.dictionary == "DICT_5X5_1000",
        )
        if usual:
            return name
    return None


class PrintedBar(NamedTuple):
    """A bar that is printed on a mat, and how long it was drawn."""

    name: str
    card: int
    start: tuple[int, int]
    end: tuple[int, int]
    drawn: float


def printed_bars(mat: Mat) -> tuple[PrintedBar, ...]:
    """Two of each board: along the top row of inner corners, and down their first column."""
    columns, rows = mat.squares
    bars = []
    for card in range(mat.cards):
        on = f" of card {card + 1}" if mat.cards > 1 else ""
        ends = ((columns - 1, 1), (1, rows - 1))
        for number, end in enumerate(ends, start=1):
            drawn = mat.square_mm * (max(end) - 1)
            bars.append(PrintedBar(f"bar {number}{on}", card, (1, 1), end, drawn))
    return tuple(bars)


def typed_bar(mat: Mat, bar: PrintedBar, mm: float | None) -> Mat:
    """The mat with that printed bar measured as `mm`; None takes the measurement off."""
    one = Bar(start=bar.start, end=bar.end, mm=mm or 0.0, start_card=bar.card, end_card=bar.card)
    kept = without_bar(mat, one)
    return kept if mm is None else kept.model_copy(update={"bars": (*kept.bars, one)})


def without_bar(mat: Mat, bar: Bar) -> Mat:
    """The mat without any bar between the same two marks."""
    gone = _ends(bar)
    return mat.model_copy(update={"bars": tuple(b for b in mat.bars if _ends(b) != gone)})


def between_cards(mat: Mat) -> tuple[Bar, ...]:
    """The lengths that were measured from one card to another."""
    return tuple(bar for bar in mat.bars if bar.start_card != bar.end_card)


def mark_words(mat: Mat, card: int, at: tuple[int, int]) -> str:
    """An inner corner in words; `card` from 0 on."""
    place = f"column {at[0]}, row {at[1]}"
    return f"card {card + 1}, {place}" if mat.cards > 1 else place


def bar_words(mat: Mat, bar: Bar) -> str:
    """What a bar is called: the printed one's name, or its two ends."""
    for printed in printed_bars(mat) if bar.start_card == bar.end_card else ():
        if _ends(bar) == {(printed.card, printed.start), (printed.card, printed.end)}:
            return printed.name
    start = mark_words(mat, bar.start_card, bar.start)
    return f"bar from {start} to {mark_words(mat, bar.end_card, bar.end)}"


def _ends(bar: Bar) -> set[tuple[int, tuple[int, int]]]:
    return {(bar.start_card, bar.start), (bar.end_card, bar.end)}
