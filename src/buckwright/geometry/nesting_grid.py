"""Pieces and plates on a grid of square cells, for finding free places fast."""

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["PlateGrid", "largest_rectangle", "piece_mask"]

Array = NDArray[np.float64]
Cells = NDArray[np.float32]


def piece_mask(shape: shapely.Polygon, *, grow: float, cell: float) -> tuple[Cells, Array]:
    """Cells that the shape, widened by `grow`, may touch: (rows, columns) of 0 and 1.

    Also the lower left corner (2,) of the first cell. A point of the widened shape lies within
    0.71 of a cell of the middle of its own, so that two masks without a common cell hold widened
    shapes that do not meet.
    """
    # Fewer corners are faster to ask; what that may take off is added first.
    slack = 0.1 * cell
    wide = shape.buffer(0.0).buffer(grow + cell * np.sqrt(0.5) + slack, quad_segs=4).simplify(slack)
    low = np.asarray(wide.bounds[:2])
    columns, rows = np.ceil((np.asarray(wide.bounds[2:]) - low) / cell).astype(int)
    shapely.prepare(wide)
    x = low[0] + cell * (np.arange(columns) + 0.5)
    y = low[1] + cell * (np.arange(rows) + 0.5)
    across, up = np.meshgrid(x, y)
    mask = shapely.contains_xy(wide, across.ravel(), up.ravel()).reshape(rows, columns)
    return mask.astype(np.float32), low


class PlateGrid:
    """One plate as cells: 1 where something lies."""

    def __init__(self, size: tuple[float, float], cell: float) -> None:
        self.cell = cell
        columns, rows = (max(1, int(side / cell)) for side in size)
        self.taken: Cells = np.zeros((rows, columns), dtype=np.float32)

    def leftmost(self, mask: Cells) -> tuple[int, int] | None:
        """Column and row of the free place farthest left, then lowest; None if there is none."""
        rows, columns = mask.shape
        if rows > self.taken.shape[0] or columns > self.taken.shape[1]:
            return None
        # Columns beyond the first empty stretch are free alike: the search can end there.
        used = np.flatnonzero(self.taken.any(axis=0))
        end = min(self.taken.shape[1], (int(used[-1]) + 1 if len(used) else 0) + columns)
        common = cv2.matchTemplate(self.taken[:, :end], mask, cv2.TM_CCORR)
        row, column = np.nonzero(common < 0.5)
        if not len(column):
            return None
        first = np.lexsort((row, column))[0]
        return int(column[first]), int(row[first])

    def take(self, mask: Cells, at: tuple[int, int]) -> None:
        """Lay a mask down at a column and a row."""
        rows, columns = mask.shape
        self.taken[at[1] : at[1] + rows, at[0] : at[0] + columns] += mask


def largest_rectangle(taken: NDArray[np.bool_]) -> tuple[int, int, int, int]:
    """Column, row, columns and rows of the largest rectangle of free cells; zeros if none.

    By the histogram of free cells below each row; cost rows * columns.
    """
    heights = np.zeros(taken.shape[1], dtype=np.int64)
    best, found = 0, (0, 0, 0, 0)
    for row in range(taken.shape[0]):
        heights = np.where(taken[row], 0, heights + 1)
        area, column, columns, rows = _under_histogram(heights.tolist())
        if area > best:
            best, found = area, (column, row - rows + 1, columns, rows)
    return found


def _under_histogram(heights: list[int]) -> tuple[int, int, int, int]:
    """Area, first column, columns and height of the largest rectangle under the histogram."""
    stack: list[tuple[int, int]] = []
    best = (0, 0, 0, 0)
    for column, height in enumerate([*heights, 0]):
        start = column
        while stack and stack[-1][1] >= height:
            start, tall = stack.pop()
            area = tall * (column - start)
            if area > best[0]:
                best = (area, start, column - start, tall)
        stack.append((start, height))
    return best
