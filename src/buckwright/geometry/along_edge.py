"""Sizes that change along an edge: given at places, and read at any other."""

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from buckwright.geometry.polyline import closest_on_polyline, polyline_length

__all__ = ["shares_along", "sizes_between"]

Array = NDArray[np.float64]

SAME = 1.0
"""mm: ends no farther apart than this along an axis lie level there."""


def shares_along(points: Array, edge: Array, *, closed: bool) -> Array:
    """(k,) how far along an edge (n, 3) points (k, 3) lie, from 0 at its front end to 1.

    The front end is the one with the lesser x; where both lie level, the lower, then the left
    one. An edge that runs round begins at its foremost point and goes up first.
    """
    counted = _from_front(edge, closed=closed)
    _, _, along = closest_on_polyline(points, counted, closed=closed)
    return np.asarray(along / polyline_length(counted, closed=closed))


def sizes_between(at: Array, sizes: Array, shares: Array, *, smooth: bool, closed: bool) -> Array:
    """(k, d) sizes at shares (k,) of an edge, from those (n, d) given at rising `at` (n,).

    Straight from one to the next, or along monotone cubics (Fritsch and Butland's slopes, SIAM
    J. Sci. Stat. Comput. 5 (1984), doi:10.1137/0905021), which never swing beyond them. Before
    the first and after the last they stay, unless the edge runs round.
    """
    if closed:
        at = np.concatenate([at[-2:] - 1.0, at, at[:2] + 1.0])
        sizes = np.concatenate([sizes[-2:], sizes, sizes[:2]])
        at, kept = np.unique(at, return_index=True)
        sizes = sizes[kept]
    shares = np.clip(shares, at[0], at[-1])
    if smooth and len(at) > 1:
        return np.asarray(PchipInterpolator(at, sizes, axis=0)(shares))
    columns = [np.interp(shares, at, column) for column in sizes.T]
    return np.column_stack(columns)


def _from_front(edge: Array, *, closed: bool) -> Array:
    if closed:
        rolled = np.roll(edge, -int(np.argmin(edge[:, 0])), axis=0)
        quarter = max(1, len(rolled) // 4)
        down = rolled[quarter, 2] < rolled[-quarter, 2]
        return np.vstack([rolled[:1], rolled[:0:-1]]) if down else rolled
    way = edge[-1] - edge[0]
    for axis in (0, 2, 1):
        if abs(way[axis]) > SAME:
            return edge if way[axis] > 0.0 else edge[::-1]
    return edge
