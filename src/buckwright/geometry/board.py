"""Checkerboards with coded markers in their white squares, as OpenCV draws and finds them."""

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import box, unary_union

__all__ = ["board_rings", "coded_board", "dictionary_names", "inner_corners", "marker_count"]

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


def board_rings(
    squares: tuple[int, int], *, square: float, marker: float, dictionary: str, first: int = 0
) -> list[Array]:
    """Rings (n, 2) round all that is black on the board, filled by the even-odd rule.

    Axes of `inner_corners`. Touching squares and modules are one shape, so that no reader of a
    drawing shows seams between them.
    """
    columns, rows = squares
    black = [
        box(c * square, -(r + 1) * square, (c + 1) * square, -r * square)
        for r in range(rows)
        for c in range(columns)
        if (r + c) % 2 == 0
    ]
    book = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, dictionary))
    modules = book.markerSize + 2
    size, edge = marker / modules, 0.5 * (square - marker)
    white = [(r, c) for r in range(rows) for c in range(columns) if (r + c) % 2 == 1]
    for number, (r, c) in enumerate(white, start=first):
        dark = cv2.aruco.generateImageMarker(book, number, modules) == 0
        left, top = c * square + edge, -(r * square + edge)
        black += [
            box(left + n * size, top - (m + 1) * size, left + (n + 1) * size, top - m * size)
            for m, n in np.argwhere(dark).tolist()
        ]
    whole = unary_union(black, grid_size=1e-6)
    shapes = getattr(whole, "geoms", [whole])
    return [
        np.asarray(ring.coords, dtype=np.float64)[:-1]
        for shape in shapes
        for ring in (shape.exterior, *shape.interiors)
    ]
