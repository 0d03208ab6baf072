"""Pieces of one drawing laid beside each other by the marks that they share."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.homography import apply_homography
from buckwright.model.views import ViewPicture

__all__ = ["Pieced", "join_pieces", "similar"]

Array = NDArray[np.float64]


class Pieced(NamedTuple):
    """All pictures of a view in the plane of the first."""

    matrices: tuple[Array, ...]
    names: tuple[str, ...]
    """Of the shared marks."""
    misses: Array
    """(marks,) rms distance between what the pieces say of a mark, in the plane's unit."""


def similar(a: float, b: float, right: float, up: float) -> Array:
    """(3, 3) that turns and scales by a + ib, then shifts."""
    return np.array([[a, -b, right], [b, a, up], [0.0, 0.0, 1.0]])


def join_pieces(pictures: tuple[ViewPicture, ...], squared: tuple[Array, ...]) -> Pieced:
    """The pieces turned, scaled and shifted so that shared marks meet, by least squares.

    Parameters: squared, of each piece (3, 3) pixels to its own plane. The first piece stays.
    Raises JobError for a piece that shares fewer than two marks with those that hang together.
    """
    if len(pictures) == 1:
        return Pieced(squared, (), np.zeros(0))
    seen = [_marks(picture, matrix) for picture, matrix in zip(pictures, squared, strict=True)]
    _check_hanging(pictures, seen)
    counts: dict[str, int] = {}
    for marks in seen:
        for name in marks:
            counts[name] = counts.get(name, 0) + 1
    names = tuple(name for name, count in counts.items() if count > 1)
    moves = _moves(seen, names)
    placed = [
        {name: apply_homography(move, at[None])[0] for name, at in marks.items()}
        for marks, move in zip(seen, moves, strict=True)
    ]
    matrices = tuple(move @ matrix for move, matrix in zip(moves, squared, strict=True))
    return Pieced(matrices, names, np.array([_spread(placed, name) for name in names]))


def _marks(picture: ViewPicture, matrix: Array) -> dict[str, Array]:
    return {
        mark.name: apply_homography(matrix, np.array([mark.px], dtype=np.float64))[0]
        for mark in picture.marks
    }


def _check_hanging(pictures: tuple[ViewPicture, ...], seen: list[dict[str, Array]]) -> None:
    known, left = set(seen[0]), list(range(1, len(seen)))
    while left:
        ready = [k for k in left if len(known & seen[k].keys()) >= 2]
        if not ready:
            raise JobError(
                f"The piece {pictures[left[0]].source.name} shares fewer than two marks with the "
                "other pieces.",
                "Mark two places that are seen in both, as far apart as can be.",
            )
        for k in ready:
            known |= seen[k].keys()
            left.remove(k)


def _moves(seen: list[dict[str, Array]], names: tuple[str, ...]) -> list[Array]:
    """Linear in turn, scale and shift of all pieces but the first, and in the marks' places."""
    pieces, unknown = len(seen), 4 * (len(seen) - 1)
    rows, values = [], []
    for k in range(pieces):
        for number, name in enumerate(names):
            if name not in seen[k]:
                continue
            x, y = seen[k][name]
            for axis, slopes in enumerate(([x, -y, 1.0, 0.0], [y, x, 0.0, 1.0])):
                row = np.zeros(unknown + 2 * len(names))
                if k:
                    row[4 * k - 4 : 4 * k] = slopes
                row[unknown + 2 * number + axis] = -1.0
                rows.append(row)
                values.append(0.0 if k else -(x, y)[axis])
    found = np.linalg.lstsq(np.array(rows), np.array(values), rcond=None)[0]
    return [np.eye(3), *(similar(*found[4 * k : 4 * k + 4]) for k in range(pieces - 1))]


def _spread(placed: list[dict[str, Array]], name: str) -> float:
    at = np.array([marks[name] for marks in placed if name in marks])
    return float(np.sqrt(np.mean(np.sum((at - at.mean(axis=0)) ** 2, axis=1))))
