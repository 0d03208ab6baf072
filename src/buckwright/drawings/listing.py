"""Lists on a sheet: lines of words under each other, in columns."""

from collections.abc import Sequence

import numpy as np

from buckwright.drawings.board import words
from buckwright.geometry.lettering import lettering_width, wrapped
from buckwright.model.drawings import Label

__all__ = ["LINE_PITCH", "lines_below", "list_columns"]

LINE_PITCH = 1.7
"""Base line to base line, in heights of capitals (ISO 3098 asks for 1.4 at least)."""


def lines_below(
    at: tuple[float, float], lines: Sequence[tuple[str, float]], *, width: float = np.inf
) -> tuple[Label, ...]:
    """Labels for (text, height), each below the one before; the first hangs from `at`.

    A text wider than `width` goes on, a little set in, on the next line.
    """
    labels, y = [], at[1]
    for text, height in lines:
        for number, part in enumerate(wrapped(text, height, width - 2.0 * height)):
            y -= LINE_PITCH * height
            indent = 2.0 * height if number else 0.0
            labels.append(words((at[0] + indent, y + 0.35 * height), part, height))
    return tuple(labels)


def list_columns(
    at: tuple[float, float], rows: Sequence[Sequence[str]], height: float, *, most: int = 40
) -> tuple[Label, ...]:
    """The rows as columns of words, the first row a heading, hanging from `at`.

    More than `most` rows go on in a further block to the right, under the same heading.
    """
    widths = [
        max(lettering_width(cell, height) for cell in column) for column in zip(*rows, strict=True)
    ]
    starts = at[0] + np.concatenate([[0.0], np.cumsum(np.array(widths) + 2.0 * height)])
    block = float(starts[-1] - at[0]) + 2.0 * height
    labels = []
    for first in range(1, max(len(rows), 2), most):
        shift = (first // most) * block
        for index, row in enumerate([rows[0], *rows[first : first + most]]):
            y = at[1] - (index + 1) * LINE_PITCH * height
            labels += [
                words((float(x) + shift, y), cell, height)
                for x, cell in zip(starts, row, strict=False)
                if cell
            ]
    return tuple(labels)
