"""The cheapest way across a table of costs, one cell to a row."""

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

__all__ = ["cheapest_path"]

Array = NDArray[np.float64]


def cheapest_path(cost: Array, *, reach: int, bend: float) -> tuple[NDArray[np.int64], float]:
    """Columns (n,) of the cheapest way down a table (n, m), and what it costs.

    From row to row it moves by k columns, |k| <= reach, which costs bend * k^2 more. Dynamic
    programming, so no other way is cheaper: time n * m * reach. Of equal ways it keeps to the
    one with the lower columns. Raises ValueError for an empty table.
    """
    if cost.ndim != 2 or 0 in cost.shape or reach < 0:
        message = "a way needs a table with rows and columns"
        raise ValueError(message)
    rows, columns = cost.shape
    moves = np.arange(-reach, reach + 1)
    toll = bend * moves.astype(np.float64) ** 2
    came = np.empty((rows, columns), dtype=np.int64)
    padded = np.full(columns + 2 * reach, np.inf)
    inside, windows = padded[reach : reach + columns], sliding_window_view(padded, len(moves))
    own = np.arange(columns)
    inside[:] = cost[0]
    for row in range(1, rows):
        through = windows + toll
        best = through.argmin(axis=1)
        came[row] = own + moves[best]
        inside[:] = through[own, best] + cost[row]
    way = np.empty(rows, dtype=np.int64)
    way[-1] = int(inside.argmin())
    least = float(inside[way[-1]])
    for row in range(rows - 1, 0, -1):
        way[row - 1] = came[row, way[row]]
    return way, least
