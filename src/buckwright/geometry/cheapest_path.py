"""The cheapest way across a table of costs, one cell to a row; and through every cell of it."""

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

__all__ = ["cheapest_path", "cheapest_through"]

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


def cheapest_through(cost: Array, *, reach: int, bend: float) -> Array:
    """(n, m) what the cheapest way of `cheapest_path` costs that goes through each cell.

    The least of every row is the cheapest way of all. Two sweeps, one down and one up.
    """
    return np.asarray(
        _swept(cost, reach=reach, bend=bend)
        + _swept(cost[::-1], reach=reach, bend=bend)[::-1]
        - cost
    )


def _swept(cost: Array, *, reach: int, bend: float) -> Array:
    """(n, m) cost of the cheapest way from the first row to each cell, its own included."""
    toll = bend * np.arange(-reach, reach + 1, dtype=np.float64) ** 2
    least = np.empty_like(cost)
    padded = np.full(cost.shape[1] + 2 * reach, np.inf)
    inside, windows = padded[reach : reach + cost.shape[1]], sliding_window_view(padded, len(toll))
    inside[:] = least[0] = cost[0]
    for row in range(1, len(cost)):
        inside[:] = least[row] = (windows + toll).min(axis=1) + cost[row]
    return least
