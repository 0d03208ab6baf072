"""Polylines in two or three dimensions: (n, d) points in order, float64.

A closed polyline does not repeat its first point.
"""

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "arc_lengths",
    "closest_on_polyline",
    "crossing_of_polylines",
    "polyline_length",
    "resample_polyline",
]

Array = NDArray[np.float64]

BLOCK = 2_000_000
"""Pairs of points and sides looked at together."""


def _looped(points: Array, *, closed: bool) -> Array:
    return np.vstack([points, points[:1]]) if closed else points


def arc_lengths(points: Array, *, closed: bool = False) -> Array:
    """Distance along the polyline at each point, from 0.

    Parameters: points (n, d). A closed polyline gets one more entry, the whole length.
    Returns: (n,) or, closed, (n + 1,).
    """
    steps = np.linalg.norm(np.diff(_looped(points, closed=closed), axis=0), axis=1)
    return np.concatenate([[0.0], np.cumsum(steps)])


def polyline_length(points: Array, *, closed: bool = False) -> float:
    """Length of the polyline, closing side included if closed."""
    return float(arc_lengths(points, closed=closed)[-1])


def resample_polyline(points: Array, count: int, *, closed: bool = False) -> Array:
    """`count` points evenly spaced along the polyline, (count, d).

    An open polyline keeps both ends; a closed one starts at its first point and does not
    repeat it. Raises ValueError for fewer than two points or a polyline without length.
    """
    if len(points) < 2 or count < 2:
        message = "a polyline needs two points at least"
        raise ValueError(message)
    along = arc_lengths(points, closed=closed)
    if along[-1] <= 0.0:
        message = "a polyline without length cannot be resampled"
        raise ValueError(message)
    at = np.linspace(0.0, along[-1], count, endpoint=not closed)
    looped = _looped(points, closed=closed)
    return np.column_stack([np.interp(at, along, looped[:, k]) for k in range(points.shape[1])])


def closest_on_polyline(
    queries: Array, points: Array, *, closed: bool = False
) -> tuple[Array, Array, Array]:
    """Closest points of a polyline to the queries.

    Parameters: queries (m, d), points (n, d).
    Returns: (m,) distances, (m, d) closest points, (m,) distance along the polyline there.
    Cost m * n.
    """
    looped = _looped(points, closed=closed)
    start, side = looped[:-1], np.diff(looped, axis=0)
    square = np.maximum(np.einsum("ij,ij->i", side, side), 1e-300)
    # In blocks, so that memory stays small however many queries there are.
    block = max(1, BLOCK // len(start))
    best, part = np.empty(len(queries), dtype=np.int64), np.empty(len(queries))
    for first in range(0, len(queries), block):
        here = slice(first, first + block)
        best[here], part[here] = _nearest_sides(queries[here], start, side, square)
    found = start[best] + part[:, None] * side[best]
    along = arc_lengths(points, closed=closed)
    return (
        np.linalg.norm(queries - found, axis=1),
        found,
        along[best] + part * np.sqrt(square[best]),
    )


def _nearest_sides(
    queries: Array, start: Array, side: Array, square: Array
) -> tuple[NDArray[np.int64], Array]:
    """The nearest side of each query, and the share of it where it comes nearest."""
    offset = queries[:, None, :] - start[None, :, :]
    along = np.einsum("mnd,nd->mn", offset, side)
    fraction = np.clip(along / square, 0.0, 1.0)
    # |offset - f side|^2, without building the feet.
    gap = np.einsum("mnd,mnd->mn", offset, offset)
    gap += fraction * (fraction * square - 2.0 * along)
    best = np.argmin(gap, axis=1)
    return best, fraction[np.arange(len(queries)), best]


def crossing_of_polylines(
    first: Array, second: Array, *, first_closed: bool = False, second_closed: bool = False
) -> tuple[float, Array, Array, float, float]:
    """Where two polylines come closest.

    Returns: gap, the point on the first (d,), the point on the second (d,), and the distances
    along each. Exact for segment pairs; cost n * m.
    """
    a, b = _looped(first, closed=first_closed), _looped(second, closed=second_closed)
    p, u = a[:-1, None, :], np.diff(a, axis=0)[:, None, :]
    q, v = b[None, :-1, :], np.diff(b, axis=0)[None, :, :]
    w = p - q
    uu, vv, uv = (u * u).sum(-1), (v * v).sum(-1), (u * v).sum(-1)
    uw, vw = (u * w).sum(-1), (v * w).sum(-1)
    tiny = 1e-300
    det = uu * vv - uv * uv
    s = np.where(det > 1e-12 * uu * vv, (uv * vw - vv * uw) / np.maximum(det, tiny), 0.0)
    s = np.clip(s, 0.0, 1.0)
    t = np.clip((s * uv + vw) / np.maximum(vv, tiny), 0.0, 1.0)
    s = np.clip((t * uv - uw) / np.maximum(uu, tiny), 0.0, 1.0)
    on_first, on_second = p + s[..., None] * u, q + t[..., None] * v
    gap = np.linalg.norm(on_first - on_second, axis=-1)
    i, j = np.unravel_index(int(np.argmin(gap)), gap.shape)
    along_first = arc_lengths(first, closed=first_closed)[i] + s[i, j] * np.sqrt(uu[i, 0])
    along_second = arc_lengths(second, closed=second_closed)[j] + t[i, j] * np.sqrt(vv[0, j])
    return (
        float(gap[i, j]),
        on_first[i, j],
        on_second[i, j],
        float(along_first),
        float(along_second),
    )
