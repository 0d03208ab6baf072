"""Lengths measured between two cards of a set: told, held against what is solved, taken off."""

from collections.abc import Sequence

import numpy as np

from buckwright.errors import JobError
from buckwright.model.mats import between_cards, mark_words, without_bar
from buckwright.model.pictures import Bar, Calibration, Mat

__all__ = ["CardMark", "keep_card_bar", "take_card_bar_off"]

CardMark = tuple[int, int, int]
"""A place on a set of cards: card from 1 on, column and row of an inner corner from 1 on."""

_NEAREST, _FARTHEST = 20.0, 100_000.0
_ROUGHEST = 50.0
_LIKELY = 0.03
"""Share by which prints are wrong at most: a length farther off what is solved is misread."""


def keep_card_bar(
    mat: Mat | None,
    first: CardMark,
    second: CardMark,
    *,
    mm: float,
    sigma: float,
    solved: Calibration | None = None,
) -> Mat:
    """The mat with that length between two of its cards, in place of one between the same marks.

    Where the pictures are worked out already, a length that they contradict by more than any
    print is wrong is refused. Raises JobError for that, for ends that are not on two cards, and
    for a length or a doubt that cannot be.
    """
    if mat is None or mat.cards < 2:
        raise JobError(
            "The mat is no set of cards.", "Type the bars that are printed on the mat instead."
        )
    for mark in (first, second):
        _check_mark(mat, mark)
    if first[0] == second[0]:
        raise JobError(
            f"Both ends are on card {first[0]}.",
            "Measure between two cards, far apart; the bars of one card have a place of their own.",
        )
    if not _NEAREST <= mm <= _FARTHEST:
        raise JobError(
            f"{mm:g} mm cannot lie between two cards.", "Type something from 20 mm to 100 m."
        )
    if not 0.0 <= sigma <= min(_ROUGHEST, 0.02 * mm):
        raise JobError(
            f"A length of {mm:g} mm that is good to {sigma:g} mm gives no scale.",
            "Measure it again, with a steel tape, to a millimetre or better.",
        )
    bar = Bar(
        start=first[1:],
        end=second[1:],
        mm=mm,
        start_card=first[0] - 1,
        end_card=second[0] - 1,
        sigma=sigma,
    )
    _check_solved(mat, bar, solved)
    kept = without_bar(mat, bar)
    return kept.model_copy(update={"bars": (*kept.bars, bar)})


def take_card_bar_off(mat: Mat | None, number: int) -> Mat:
    """The mat without the length between cards of that number, from 1 on, as they are listed."""
    bars: Sequence[Bar] = () if mat is None else between_cards(mat)
    if mat is None or not 1 <= number <= len(bars):
        raise JobError(
            f"There is no length {number} between cards.",
            f"There are {len(bars)} of them." if bars else "None has been typed in.",
        )
    return without_bar(mat, bars[number - 1])


def _check_mark(mat: Mat, mark: CardMark) -> None:
    card, column, row = mark
    if not 1 <= card <= mat.cards:
        raise JobError(
            f"There is no card {card}.", f"The cards are numbered from 1 to {mat.cards}."
        )
    columns, rows = mat.squares
    if not (1 <= column < columns and 1 <= row < rows):
        raise JobError(
            f"Column {column}, row {row} is no mark of a card.",
            f"Where four squares meet is one: columns 1 to {columns - 1}, rows 1 to {rows - 1}.",
        )


def _check_solved(mat: Mat, bar: Bar, solved: Calibration | None) -> None:
    if solved is None or len(solved.mat_points) != mat.cards * mat.corners_each:
        return
    # A card that the pictures do not join lies nowhere: then they cannot contradict.
    if any(finding.code == "cards-not-joined" for finding in solved.findings):
        return
    first, second = mat.corner(bar.start_card, bar.start), mat.corner(bar.end_card, bar.end)
    found = float(np.linalg.norm(solved.mat_points[first] - solved.mat_points[second]))
    if abs(bar.mm / max(found, 1e-9) - 1.0) > _LIKELY:
        marks = mark_words(mat, bar.start_card, bar.start), mark_words(mat, bar.end_card, bar.end)
        raise JobError(
            f"The pictures see about {found:.0f} mm from {marks[0]} to {marks[1]}, not {bar.mm:g}.",
            "Look at which marks were measured, and measure again.",
        )
