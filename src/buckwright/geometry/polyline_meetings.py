"""Every place where two polylines come near each other."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.polyline import arc_lengths, crossing_of_polylines

__all__ = ["Meeting", "polyline_meetings", "self_meetings"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


@dataclass(frozen=True, eq=False, slots=True)
class Meeting:
    """Two polylines within a distance of each other."""

    gap: float
    point: Array
    """Midway."""
    first: float
    second: float
    """Distances along each where they come closest."""
    stretch: float
    """Length along the first over which the second stays near."""


def polyline_meetings(
    first: Array,
    second: Array,
    *,
    within: float,
    first_closed: bool = False,
    second_closed: bool = False,
) -> tuple[Meeting, ...]:
    """Where two polylines (n, d), (m, d) come within a distance, in order along the first.

    Two places are told apart where the gap grows beyond `within` between them. Sides should be
    short against the polylines' bends; the closest approach itself is exact for them.
    """
    a, b = _looped(first, closed=first_closed), _looped(second, closed=second_closed)
    step = _longest(a) + _longest(b)
    low, high = b.min(axis=0) - within, b.max(axis=0) + within
    if (a.max(axis=0) < low).any() or (a.min(axis=0) > high).any():
        return ()
    gap, _ = cKDTree(b).query(a, distance_upper_bound=within + step)
    along, beside = arc_lengths(a), arc_lengths(b)
    found = []
    for run in _runs(np.isfinite(gap), closed=first_closed):
        piece, start = _piece(a, along, run)
        for part, begin in _near_pieces(b, beside, piece, within + step):
            met = crossing_of_polylines(piece, part)
            if met[0] <= within:
                found.append(
                    Meeting(
                        met[0],
                        0.5 * (met[1] + met[2]),
                        float(
                            np.mod(start + met[3], along[-1]) if first_closed else start + met[3]
                        ),
                        float(begin + met[4]),
                        _stretch(piece, part, within),
                    )
                )
    return tuple(_told_apart(found, within))


def _told_apart(found: list[Meeting], within: float) -> list[Meeting]:
    """Without those that are found twice, on both sides of a seam."""
    kept: list[Meeting] = []
    for one in sorted(found, key=lambda met: met.gap):
        if all(np.linalg.norm(one.point - other.point) > within for other in kept):
            kept.append(one)
    return sorted(kept, key=lambda met: met.first)


def self_meetings(points: Array, *, within: float, apart: float, closed: bool) -> list[Meeting]:
    """Where a polyline comes back within a distance of itself, `apart` mm or more along it."""
    looped = _looped(points, closed=closed)
    along = arc_lengths(looped)
    pairs = cKDTree(looped).query_pairs(within + _longest(looped), output_type="ndarray")
    far = np.abs(along[pairs[:, 1]] - along[pairs[:, 0]])
    if closed:
        far = np.minimum(far, along[-1] - far)
    pairs = pairs[far > apart]
    if not len(pairs):
        return []
    gap = np.linalg.norm(looped[pairs[:, 0]] - looped[pairs[:, 1]], axis=1)
    found: list[Meeting] = []
    for k in np.argsort(gap):
        i, j = (int(v) for v in pairs[k])
        near = [slice(max(0, v - 2), v + 3) for v in (i, j)]
        met = crossing_of_polylines(looped[near[0]], looped[near[1]])
        point = 0.5 * (met[1] + met[2])
        fresh = all(np.linalg.norm(point - other.point) > apart for other in found)
        if met[0] <= within and fresh:
            found.append(Meeting(met[0], point, float(along[i]), float(along[j]), stretch=0.0))
    return found


def _looped(points: Array, *, closed: bool) -> Array:
    return np.vstack([points, points[:1]]) if closed else points


def _longest(points: Array) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).max())


def _runs(inside: NDArray[np.bool_], *, closed: bool) -> list[Index]:
    """Stretches of neighbouring indices, one over the seam if closed."""
    where = np.flatnonzero(inside)
    if not len(where):
        return []
    runs = np.split(where, np.flatnonzero(np.diff(where) > 1) + 1)
    if closed and len(runs) > 1 and runs[0][0] == 0 and runs[-1][-1] == len(inside) - 1:
        # The last point repeats the first.
        runs[0] = np.concatenate([runs.pop()[:-1], runs[0]])
    return [run.astype(np.int64) for run in runs]


def _piece(points: Array, along: Array, run: Index) -> tuple[Array, float]:
    """The points of a run with one more on each side, and where along the polyline it starts."""
    count = len(points)
    before, after = max(run[0] - 1, 0), min(run[-1] + 1, count - 1)
    numbers = np.concatenate([[before], run, [after]]) if run[0] <= run[-1] else run
    kept = numbers[np.concatenate([[True], np.diff(numbers) != 0])]
    return points[kept], float(along[kept[0]])


def _near_pieces(
    points: Array, along: Array, other: Array, reach: float
) -> list[tuple[Array, float]]:
    gap, _ = cKDTree(other).query(points, distance_upper_bound=reach)
    return [_piece(points, along, run) for run in _runs(np.isfinite(gap), closed=False)]


def _stretch(piece: Array, part: Array, within: float) -> float:
    """Length along the piece that is within the distance, from its middle points."""
    fine = np.linspace(0.0, 1.0, 5)[:4, None, None]
    dense = (piece[:-1] * (1.0 - fine) + piece[1:] * fine).reshape(-1, piece.shape[1])
    sides = np.tile(0.25 * np.linalg.norm(np.diff(piece, axis=0), axis=1), 4)
    spread = (part[:-1] * (1.0 - fine) + part[1:] * fine).reshape(-1, piece.shape[1])
    gap, _ = cKDTree(np.vstack([spread, part[-1:]])).query(dense)
    # Points of the other are so far apart that the nearest may lie half of that beside.
    slack = 0.125 * _longest(part)
    return float(sides[gap <= np.hypot(within, slack)].sum())
