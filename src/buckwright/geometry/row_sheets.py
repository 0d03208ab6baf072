"""Sheets of triangles between rows of points: strips, beads, louvres as they are drawn."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.mesh_faults import triangle_pieces

__all__ = ["RowSheet", "row_triangles", "rows_of_sheet"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


@dataclass(frozen=True, eq=False, slots=True)
class RowSheet:
    """A sheet drawn between rows.

    Attributes: points (k, p, 3); closed, whether the last row meets the first; turn, 1 where the
    outside is seen with the points of a row running to the left of the way from row to row, -1
    where they run to its right.
    """

    points: Array
    closed: bool
    turn: int


def rows_of_sheet(vertices: Array, triangles: Index) -> list[RowSheet]:
    """The rows of each piece of a sheet.

    Vertices stand row by row, piece after piece, and the first triangle of a piece begins at its
    first square. Raises ValueError where that is not so.
    """
    label = triangle_pieces(triangles)
    found = []
    for number in range(int(label.max(initial=-1)) + 1):
        own = triangles[label == number]
        first, last = int(own.min()), int(own.max()) + 1
        across = int(np.ptp(own[0])) - 1
        rows, over = divmod(last - first, max(across, 1))
        sides = len(own) / (2.0 * max(across - 1, 1))
        if across < 2 or over or sides not in (rows, rows - 1):
            message = "the triangles do not stand between rows"
            raise ValueError(message)
        a, b, c = np.column_stack(np.divmod(own[0] - first, across))
        turn = np.sign((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0])
        points = np.asarray(vertices[first:last]).reshape(rows, across, 3)
        found.append(RowSheet(points, bool(sides == rows), int(turn)))
    return found


def row_triangles(count: int, across: int, *, closed: bool, turn: int) -> Index:
    """Triangles between `count` rows of `across` points each, turned as `RowSheet.turn` says."""
    row = np.arange(count if closed else count - 1)
    after = (row + 1) % count
    found = []
    for k in range(across - 1):
        a, b = row * across + k, after * across + k
        found += [np.column_stack([a, b, b + 1]), np.column_stack([a, b + 1, a + 1])]
    triangles = np.vstack(found).astype(np.int64)
    return triangles if turn > 0 else triangles[:, ::-1]
