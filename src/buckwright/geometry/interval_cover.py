"""The fewest points on a line that every interval holds one of: exact, with its proof.

Taking the unserved interval that ends first, and its end as a point, is optimal: the intervals
taken so have no point in common, pair by pair, so that no set of points can be smaller.
"""

import numpy as np
from numpy.typing import NDArray

__all__ = ["fewest_offered", "fewest_points"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def fewest_points(low: Array, high: Array) -> tuple[Array, Index]:
    """Ranges that any one point of serves, and the intervals that prove there are no fewer.

    Parameters: low, high (n,), low <= high.
    Returns: (k, 2) ranges ascending: one point out of each, whichever, and every interval holds
    one; (k,) intervals of which no two share a point. Raises ValueError for an empty interval.
    """
    if np.any(high < low):
        message = "an interval ends before it begins"
        raise ValueError(message)
    order = np.argsort(high, kind="stable")
    ranges: list[list[float]] = []
    proof: list[int] = []
    for k in order.tolist():
        if ranges and low[k] <= ranges[-1][1]:
            ranges[-1][0] = max(ranges[-1][0], float(low[k]))
            continue
        ranges.append([float(low[k]), float(high[k])])
        proof.append(k)
    return np.array(ranges).reshape(-1, 2), np.array(proof, dtype=np.int64)


def fewest_offered(low: Array, high: Array, offered: Array) -> tuple[Array, Index, Index]:
    """The fewest of the offered points, the proof, and the intervals that hold none of them.

    Parameters: low, high (n,); offered (m,) in any order.
    Returns: (k,) points ascending; (k,) intervals of which no two share an offered point; the
    numbers of the intervals that no offered point serves.
    """
    points = np.unique(offered)
    first = np.searchsorted(points, low, side="left")
    last = np.searchsorted(points, high, side="right") - 1
    served = first <= last
    some = np.flatnonzero(served)
    # Counted instead of measured, the intervals are as before.
    ranges, proof = fewest_points(first[some].astype(float), last[some].astype(float))
    return points[ranges[:, 1].astype(int)], some[proof], np.flatnonzero(~served)
