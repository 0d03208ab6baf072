"""A polyline in the plane as few arcs and straight pieces, within a tolerance.

An arc is written as its two ends and its bulge: the tangent of a quarter of its angle, positive
counter-clockwise, 0 for a straight piece.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["ArcPath", "arc_points", "fit_arcs"]

Array = NDArray[np.float64]

MOST_POINTS = 400
"""Points that one biarc may span: the check costs their square."""


@dataclass(frozen=True, eq=False, slots=True)
class ArcPath:
    """Vertices (k, 2); bulges (k,) of the piece that begins at each.

    The last bulge belongs to the piece back to the first vertex, and is 0 in an open path.
    """

    vertices: Array
    bulges: Array
    closed: bool


def fit_arcs(
    points: Array, *, tolerance: float, closed: bool = False, corner: float = np.pi / 9
) -> ArcPath:
    """Arcs that stay within the tolerance of the polyline, and it of them.

    Parameters: points (n, 2); a turn sharper than `corner` (rad) at a point stays a corner.
    Between corners neighbouring arcs share their tangent where a run of two arcs (a biarc)
    could be fitted; ends and corners are met exactly. Greedy from the start: each biarc reaches
    as far as the tolerance lets it. Raises ValueError for a tolerance that is not positive or
    fewer than two different points.

    Reference: Bolton, 'Biarc curves', Computer-Aided Design 7 (1975),
    doi:10.1016/0010-4485(75)90086-X; joints here are those with equal end lengths.
    """
    points = _distinct(points, closed=closed)
    if tolerance <= 0.0 or len(points) < 2:
        message = "arcs need a positive tolerance and two different points"
        raise ValueError(message)
    closed = closed and len(points) > 2
    turns = _turns(points, closed=closed)
    sharp = np.flatnonzero(np.abs(turns) > corner)
    if not closed:
        vertices, bulges = _fit_between(points, sharp, _tangents(points), tolerance)
        return ArcPath(vertices, np.append(bulges, 0.0), closed=False)
    start = int(sharp[0]) if len(sharp) else 0
    run = np.vstack([np.roll(points, -start, axis=0), points[start]])
    smooth_tangents = _tangents(run)
    if not len(sharp):
        smooth_tangents[[0, -1]] = _tangents(np.vstack([run[-2], run[:2]]))[1]
    vertices, bulges = _fit_between(run, sharp[1:] - start, smooth_tangents, tolerance)
    return ArcPath(vertices[:-1], bulges, closed=True)


def _fit_between(
    run: Array, corners: NDArray[np.int64], tangents: Array, tolerance: float
) -> tuple[Array, Array]:
    """Vertices (k, 2) and bulges (k - 1,) over an open run, each part between corners smooth."""
    cuts = [0, *(int(c) for c in corners), len(run) - 1]
    vertices, bulges = [run[:1]], []
    for first, last in pairwise(cuts):
        part, directions = run[first : last + 1], tangents[first : last + 1].copy()
        if first > 0:
            directions[0] = _end_tangent(part[:3])
        if last < len(run) - 1:
            directions[-1] = -_end_tangent(part[::-1][:3])
        ends, bends = _fit_smooth(part, directions, tolerance)
        vertices.append(ends)
        bulges.append(bends)
    return np.vstack(vertices), np.concatenate(bulges)


def arc_points(path: ArcPath, *, step: float) -> Array:
    """(m, 2) points along the path, no farther apart than `step`, both ends included."""
    ends = np.vstack([path.vertices, path.vertices[:1]]) if path.closed else path.vertices
    pieces = [_along(*piece, step) for piece in zip(ends[:-1], ends[1:], path.bulges, strict=False)]
    return np.vstack([*pieces, ends[-1:]])


def _distinct(points: Array, *, closed: bool) -> Array:
    step = np.linalg.norm(np.diff(points, axis=0), axis=1)
    kept = points[np.concatenate([[True], step > 1e-9])]
    if closed and len(kept) > 1 and np.linalg.norm(kept[0] - kept[-1]) <= 1e-9:
        kept = kept[:-1]
    return np.asarray(kept)


def _angle(first: Array, second: Array) -> Array:
    cross = first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0]
    return np.asarray(np.arctan2(cross, (first * second).sum(axis=-1)))


def _turns(points: Array, *, closed: bool) -> Array:
    """(n,) signed turn at each point; 0 at the ends of an open polyline."""
    turns = np.zeros(len(points))
    if closed:
        before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
        return _angle(before, after)
    sides = np.diff(points, axis=0)
    turns[1:-1] = _angle(sides[:-1], sides[1:])
    return turns


def _tangents(run: Array) -> Array:
    """(n, 2) unit tangents of the circle through each point and its neighbours."""
    sides = np.diff(run, axis=0)
    lengths = np.linalg.norm(sides, axis=1, keepdims=True)
    sides = sides / lengths
    tangents = np.empty_like(run)
    tangents[1:-1] = sides[:-1] * lengths[1:] + sides[1:] * lengths[:-1]
    tangents[0], tangents[-1] = _end_tangent(run[:3]), -_end_tangent(run[::-1][:3])
    size = np.linalg.norm(tangents, axis=1, keepdims=True)
    # A point where the run turns right back has none; it is a corner, and nobody asks.
    return np.asarray(tangents / np.where(size > 0.0, size, 1.0))


def _end_tangent(points: Array) -> Array:
    """Unit tangent at the first of three points, of the circle through them."""
    side = points[1] - points[0]
    side = side / np.linalg.norm(side)
    if len(points) < 3:
        return np.asarray(side)
    chord = points[2] - points[0]
    turn = float(_angle(side, points[2] - points[1]))
    # Tangent and chord: the angle before the side is the one that the side subtends beyond it.
    angle = float(_angle(side, chord)) - turn
    cosine, sine = np.cos(angle), np.sin(angle)
    return np.array([cosine * side[0] - sine * side[1], sine * side[0] + cosine * side[1]])


def _fit_smooth(points: Array, tangents: Array, tolerance: float) -> tuple[Array, Array]:
    ends, bends, here = [], [], 0
    while here < len(points) - 1:
        there, (vertices, bulges) = _farthest(points, tangents, here, tolerance)
        ends.append(vertices[1:])
        bends.append(bulges)
        here = there
    return np.vstack(ends), np.concatenate(bends)


def _farthest(
    points: Array, tangents: Array, here: int, tolerance: float
) -> tuple[int, tuple[Array, Array]]:
    """The farthest point that one line or biarc reaches: doubling steps, then halving."""
    good, best = here + 1, (points[[here, here + 1]], np.zeros(1))
    bad, step = min(len(points), here + MOST_POINTS), 2
    while good < bad - 1:
        there = min(here + step, bad - 1)
        found = _piece(points[here : there + 1], tangents[[here, there]], tolerance)
        if found is None:
            bad = there
            break
        good, best, step = there, found, step * 2
    while bad - good > 1:
        middle = (good + bad) // 2
        found = _piece(points[here : middle + 1], tangents[[here, middle]], tolerance)
        if found is None:
            bad = middle
        else:
            good, best = middle, found
    return good, best


def _piece(run: Array, ends: Array, tolerance: float) -> tuple[Array, Array] | None:
    """A straight piece or biarc over the run that keeps the tolerance, or None."""
    straight = (run[[0, -1]], np.zeros(1))
    if _keeps(run, straight, tolerance):
        return straight
    curved = _biarc(run[0], run[-1], ends[0], ends[1])
    return curved if curved is not None and _keeps(run, curved, tolerance) else None


def _biarc(start: Array, end: Array, leave: Array, arrive: Array) -> tuple[Array, Array] | None:
    chord = end - start
    along = float(chord @ (leave + arrive))
    square, spread = float(chord @ chord), 2.0 * float(1.0 - leave @ arrive)
    if spread > 1e-12:
        reach = (-along + np.sqrt(along * along + spread * square)) / spread
    elif along > 0.0:
        reach = square / (2.0 * along)
    else:
        return None
    joint = 0.5 * (start + end + reach * (leave - arrive))
    first, second = _angle(leave, joint - start), _angle(end - joint, arrive)
    bulges = np.tan(0.5 * np.array([float(first), float(second)]))
    # More than a half circle in one arc is never what a well sampled curve asks for.
    return (np.stack([start, joint, end]), bulges) if np.all(np.abs(bulges) < 1.0) else None


def _keeps(run: Array, piece: tuple[Array, Array], tolerance: float) -> bool:
    ends, bulges = piece
    length = float(np.linalg.norm(np.diff(run, axis=0), axis=1).sum())
    step = max(length / (2.0 * len(run) + 8.0), 1e-6)
    path = ArcPath(ends, np.append(bulges, 0.0), closed=False)
    dense = arc_points(path, step=step)
    if shapely.distance(shapely.points(dense), shapely.LineString(run)).max() > tolerance:
        return False
    gaps = [_distance_to_arc(run, *arc) for arc in zip(ends[:-1], ends[1:], bulges, strict=True)]
    return bool(np.min(gaps, axis=0).max() <= tolerance)


def _distance_to_arc(points: Array, start: Array, end: Array, bulge: float) -> Array:
    if abs(bulge) < 1e-9:
        side = shapely.LineString([start, end])
        return np.asarray(shapely.distance(shapely.points(points), side))
    centre, radius = _circle(start, end, bulge)
    ends = np.minimum(np.linalg.norm(points - start, axis=1), np.linalg.norm(points - end, axis=1))
    sign = np.sign(bulge)
    turned = sign * _angle(np.broadcast_to(start - centre, points.shape), points - centre)
    inside = np.mod(turned, 2.0 * np.pi) <= 4.0 * np.arctan(abs(bulge))
    radial = np.abs(np.linalg.norm(points - centre, axis=1) - radius)
    return np.asarray(np.where(inside, radial, ends))


def _circle(start: Array, end: Array, bulge: float) -> tuple[Array, float]:
    chord = end - start
    normal = np.array([-chord[1], chord[0]])
    centre = 0.5 * (start + end) + normal * (1.0 - bulge * bulge) / (4.0 * bulge)
    return centre, float(np.linalg.norm(start - centre))


def _along(start: Array, end: Array, bulge: float, step: float) -> Array:
    """Points from start (included) towards end (left out)."""
    if abs(bulge) < 1e-9:
        count = max(int(np.ceil(np.linalg.norm(end - start) / step)), 1)
        return np.asarray(
            start + np.linspace(0.0, 1.0, count, endpoint=False)[:, None] * (end - start)
        )
    centre, radius = _circle(start, end, bulge)
    sweep = 4.0 * np.arctan(bulge)
    count = max(int(np.ceil(abs(sweep) * radius / step)), 1)
    first = start - centre
    angle = np.arctan2(first[1], first[0]) + np.linspace(0.0, sweep, count, endpoint=False)
    return np.asarray(centre + radius * np.column_stack([np.cos(angle), np.sin(angle)]))
