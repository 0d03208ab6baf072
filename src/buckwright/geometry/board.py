"""Checkerboards with coded markers in their white squares, as OpenCV draws and finds them."""

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["coded_board", "dictionary_names", "inner_corners", "marker_count"]

Array = NDArray[np.float64]


def dictionary_names() -> tuple[str, ...]:
    """Names of the marker dictionaries that the library knows: `DICT_5X5_250`."""
    return tuple(sorted(name for name in dir(cv2.aruco) if name.startswith("DICT_")))


def marker_count(dictionary: str) -> int:
    """How many different markers the dictionary of that name holds."""
    book = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, dictionary))
    return len(book.bytesList)


def coded_board(
    squares: tuple[int, int], *, square: float, marker: float, dictionary: str, first: int = 0
) -> cv2.aruco.CharucoBoard:
    """The library's board of (columns, rows) squares; sides in any one unit of length.

    The top-left square is black; `first` is the number of the first marker. Raises ValueError
    for a dictionary that does not exist.
    """
    if dictionary not in dictionary_names():
        message = f"there is no dictionary {dictionary}"
        raise ValueError(message)
    book = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, dictionary))
    ids = np.arange(first, first + squares[0] * squares[1] // 2, dtype=np.int32)
    return cv2.aruco.CharucoBoard(squares, square, marker, book, ids)


def inner_corners(squares: tuple[int, int], square: float) -> Array:
    """(n, 3) corners where four squares meet, row by row from the top, in the board's plane.

    x runs along the columns, y up the page, z out of it; the origin is the top-left outer
    corner, so that y is negative. The order is that of the library's corner numbers.
    """
    columns, rows = np.meshgrid(np.arange(1, squares[0]), np.arange(1, squares[1]))
    flat = np.column_stack([columns.ravel(), -rows.ravel(), np.zeros(columns.size)])
    return np.asarray(flat * square, dtype=np.float64)
