"""A line that two views show: matched along the axis that they share, and set in space.

Every place of the one trace is a ray, and so is every place of the other. Two rays that belong
together pass each other at one coordinate of the shared axis, in the order along the line; where
the line runs square to that axis, lengths along the traces say. The cheapest such match of all is
found by dynamic programming.

Reference: H. Sakoe and S. Chiba, 'Dynamic programming algorithm optimization for spoken word
recognition', IEEE Transactions on Acoustics, Speech, and Signal Processing 26 (1978),
doi:10.1109/TASSP.1978.1163055.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.polyline import resample_polyline
from buckwright.model.views import VIEW_AXES

__all__ = ["Matched", "Rays", "match_rays", "shared_axis"]

Array = NDArray[np.float64]

SAMPLES = 121
_BY_LENGTH = 0.002
"""Weight of lengths along the traces beside the shared coordinate."""
_REVERSED = 0.5
"""The other sense is taken where it costs less than this share: an arch that is alike on both
sides does not tell, so that as it was traced counts."""
_NEAR = 0.15
"""Share of a line within which a place may have slipped."""


class Rays(NamedTuple):
    """A traced line in the plane of scale of one view."""

    seen_from: str
    read: Array
    """(n, 2) mm right and up, as the plane shows it."""
    closed: bool
    foot: Array
    per_distance: float
    """1 / mm; 0 where rays run parallel."""
    plane: float


class Matched(NamedTuple):
    """One line by two views, in vehicle axes."""

    points: Array
    """(SAMPLES, 3); of a closed line the first is the last."""
    slip: Array
    """(SAMPLES,) mm by which the third coordinate may be another where the match is not sharp."""
    shared: tuple[Array, Array]
    """Of each trace (SAMPLES,) the coordinate on the shared axis."""
    places: tuple[Array, Array]
    """Of each trace (SAMPLES, 2) mm right and up in its view, where it lies in space."""
    run: float
    """Extent on the shared axis, as a share of the size of the line."""


def shared_axis(first: str, second: str) -> int | None:
    """The only vehicle axis that both directions of sight show; None if there are two."""
    axes = [{VIEW_AXES[s].right[0], VIEW_AXES[s].up[0]} for s in (first, second)]
    both = axes[0] & axes[1]
    return both.pop() if len(both) == 1 else None


def match_rays(first: Rays, second: Rays, doubt: float) -> Matched:
    """The line in space; both views' sights together cover all three axes.

    Parameters: doubt, mm, of the shared coordinate of one against the other. Of a closed line
    both traces go round in the same sense. Raises ValueError where the views share no single axis.
    """
    axis = shared_axis(first.seen_from, second.seen_from)
    if axis is None:
        message = "the two views show the same axes"
        raise ValueError(message)
    a, b = _even(first, axis), _even(second, axis)
    table = _meet(first, second, a, b, axis)
    way, cost = _cheapest(table)
    if not first.closed:
        turned = _meet(first, second, a, b[::-1], axis)
        other, less = _cheapest(turned)
        if less < _REVERSED * cost:
            b, table, way = b[::-1], turned, other
    return _matched(first, second, (a, b), table, way, axis, doubt)


def _even(rays: Rays, axis: int) -> Array:
    """(SAMPLES, 2) places evenly along; a loop from its least place on the shared axis."""
    points = rays.read
    if rays.closed:
        start = int(_column(rays.seen_from, points, axis).argmin())
        points = np.vstack([points[start:], points[: start + 1]])
    return resample_polyline(points, SAMPLES)


def _column(seen_from: str, flat: Array, axis: int) -> Array:
    """Vehicle coordinates (...,) on a shown axis of places (..., 2) of a view."""
    axes = VIEW_AXES[seen_from]
    if axes.right[0] == axis:
        return np.asarray(axes.right[1] * flat[..., 0])
    return np.asarray(axes.up[1] * flat[..., 1])


def _other(seen_from: str, axis: int) -> int:
    axes = VIEW_AXES[seen_from]
    return axes.up[0] if axes.right[0] == axis else axes.right[0]


class _Table(NamedTuple):
    """Of every two rays (SAMPLES, SAMPLES): where they pass each other."""

    shared: tuple[Array, Array]
    own: tuple[Array, Array]
    """The coordinate that only the first, only the second view shows."""


def _meet(first: Rays, second: Rays, a: Array, b: Array, axis: int) -> _Table:
    """Each view's own coordinate is the other's depth: two linear equations, solved at once."""
    one, two = _Lines(first, a, axis), _Lines(second, b, axis)
    # u = p + q v and v = r + s u.
    p, q = one.own[:, None], one.own_slope[:, None]
    r, s = two.own[None], two.own_slope[None]
    u = (p + q * r) / (1.0 - q * s)
    v = r + s * u
    shared = (
        one.shared[:, None] + one.shared_slope[:, None] * v,
        two.shared[None] + two.shared_slope[None] * u,
    )
    return _Table(shared, (u, v))


class _Lines:
    """Each ray's two coordinates as a start and a slope by the vehicle coordinate of depth."""

    def __init__(self, rays: Rays, read: Array, axis: int) -> None:
        away = VIEW_AXES[rays.seen_from].away[1]
        slope = away * rays.per_distance * (read - rays.foot)
        start = read - slope * rays.plane
        own = _other(rays.seen_from, axis)
        self.shared = _column(rays.seen_from, start, axis)
        self.shared_slope = _column(rays.seen_from, slope, axis)
        self.own = _column(rays.seen_from, start, own)
        self.own_slope = _column(rays.seen_from, slope, own)


def _cheapest(table: _Table) -> tuple[NDArray[np.int64], float]:
    """Pairs (m, 2) of the cheapest way along both traces, and its cost."""
    a, b = table.shared
    t = np.linspace(0.0, 1.0, SAMPLES)
    size = max(float(np.ptp(a)), float(np.ptp(b)), 1e-9)
    step = ((a - b) / size) ** 2 + _BY_LENGTH * (t[:, None] - t[None]) ** 2
    rows: list[list[float]] = [[0.0] + [np.inf] * SAMPLES]
    for row in step.tolist():
        above, here = rows[-1], [np.inf]
        for j, cost in enumerate(row):
            here.append(cost + min(above[j], above[j + 1], here[j]))
        rows.append(here)
    i = j = SAMPLES
    pairs = []
    while i > 0 and j > 0:
        pairs.append((i - 1, j - 1))
        ways = ((rows[i - 1][j - 1], i - 1, j - 1), (rows[i - 1][j], i - 1, j))
        _, i, j = min(*ways, (rows[i][j - 1], i, j - 1))
    return np.array(pairs[::-1], dtype=np.int64), rows[-1][-1]


def _matched(
    first: Rays,
    second: Rays,
    even: tuple[Array, Array],
    table: _Table,
    way: NDArray[np.int64],
    axis: int,
    doubt: float,
) -> Matched:
    i, j = way.T
    shared = (_mean(table.shared[0][i, j], i), _mean(table.shared[1][i, j], j))
    own = _other(first.seen_from, axis), _other(second.seen_from, axis)
    points = np.empty((SAMPLES, 3))
    points[:, axis] = _mean(0.5 * (table.shared[0][i, j] + table.shared[1][i, j]), i)
    points[:, own[0]] = _mean(table.own[0][i, j], i)
    points[:, own[1]] = _mean(table.own[1][i, j], i)
    depths = (points[:, own[1]], _mean(table.own[0][i, j], j))
    places = tuple(
        _at_depth(rays, read, along)
        for rays, read, along in zip((first, second), even, depths, strict=True)
    )
    size = float(np.ptp(points, axis=0).max())
    run = min(float(np.ptp(values)) for values in shared) / max(size, 1e-9)
    spread = _slip(
        shared[1],
        _mean(table.own[1][i, j], j),
        _mean(j.astype(float), i),
        points,
        axis,
        own[1],
        doubt,
    )
    return Matched(points, spread, shared, (places[0], places[1]), run)


def _mean(values: Array, index: NDArray[np.int64]) -> Array:
    """(SAMPLES,) mean of the values that belong to each place."""
    return np.bincount(index, values, SAMPLES) / np.bincount(index, minlength=SAMPLES)


def _at_depth(rays: Rays, read: Array, along: Array) -> Array:
    depth = VIEW_AXES[rays.seen_from].away[1] * (along - rays.plane)
    return np.asarray(rays.foot + (read - rays.foot) * (1.0 + rays.per_distance * depth)[:, None])


def _slip(
    shared: Array, own: Array, places: Array, points: Array, axis: int, third: int, doubt: float
) -> Array:
    """Spread of the third coordinate over neighbours that the shared one does not tell apart."""
    index = np.arange(SAMPLES)
    slip = np.zeros(SAMPLES)
    for k in range(SAMPLES):
        near = np.abs(index - places[k]) <= _NEAR * SAMPLES
        same = near & (np.abs(shared - points[k, axis]) <= doubt)
        if same.any():
            slip[k] = float(np.sqrt(np.mean((own[same] - points[k, third]) ** 2)))
    return slip
