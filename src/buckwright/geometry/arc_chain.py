"""A curve in space as a chain of circular arcs and straights that a rod bender can follow.

Each piece goes on from the last without a corner. Before an arc the rod is turned about its own
axis, so that it bends the right way. Numbers are rounded as they are printed while the chain is
built, and every next piece starts from where the rounded ones really end: errors do not add up
along the rod.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.plane import fit_plane, project
from buckwright.geometry.polyline import arc_lengths
from buckwright.geometry.polyline_locator import PolylineLocator

__all__ = ["ArcChain", "chain_of_arcs", "distance_to_chain", "mirrored_chain", "walk_chain"]

Array = NDArray[np.float64]

MOST_TURN = 0.9 * np.pi
"""rad of one arc."""
STRAIGHT = 50_000.0
"""mm of radius beyond which an arc is a straight."""
TURNED_OFF = 0.003
"""rad by which one arc alone may miss the direction of the curve at its end."""
CHECKED = 48
"""Points of the curve to which a trial piece is held."""
FLAT = 0.7
"""Share of the tolerance by which a curve may leave its plane and still be followed in it."""
TRIES = 6


@dataclass(frozen=True, slots=True)
class ArcPiece:
    """A straight (radius 0) or an arc; mm, and deg of the turn about the rod before it bends.

    The turn is right-handed along the run: clockwise for someone who looks that way.
    """

    length: float
    radius: float
    rotation_deg: float

    @property
    def turn(self) -> float:
        """Change of direction, rad."""
        return self.length / self.radius if self.radius else 0.0


@dataclass(frozen=True, eq=False, slots=True)
class ArcChain:
    """Pieces in order from `start` (3,).

    `frame` (3, 3): rows are the unit direction at the start, that towards which the first arc
    bends, and their cross product. The first arc has no rotation.
    """

    start: Array
    frame: Array
    pieces: tuple[ArcPiece, ...]


@dataclass(frozen=True, eq=False, slots=True)
class _Pose:
    at: Array
    frame: Array


def _in_plane(local: Array, rotation_deg: float) -> tuple[Array, Array, Array]:
    """Along, towards and across, of local points (n, 3), for an arc with that rotation."""
    angle = np.radians(rotation_deg)
    cosine, sine = np.cos(angle), np.sin(angle)
    return (
        local[:, 0],
        cosine * local[:, 1] + sine * local[:, 2],
        cosine * local[:, 2] - sine * local[:, 1],
    )


def _after(pose: _Pose, piece: ArcPiece) -> _Pose:
    """The pose at the end of the piece."""
    if piece.radius == 0.0:
        return _Pose(pose.at + piece.length * pose.frame[0], pose.frame)
    angle, turn = np.radians(piece.rotation_deg), piece.turn
    c, s, ct, st = np.cos(angle), np.sin(angle), np.cos(turn), np.sin(turn)
    move = piece.radius * np.array([st, (1.0 - ct) * c, (1.0 - ct) * s])
    turned = np.array([[ct, st * c, st * s], [-st, ct * c, ct * s], [0.0, -s, c]])
    return _Pose(pose.at + move @ pose.frame, turned @ pose.frame)


def _arc_to(pose: _Pose, goal: Array) -> ArcPiece | None:
    """The one arc or straight that leaves the pose and ends at the goal, rounded."""
    ahead, u, v = pose.frame @ (goal - pose.at)
    off = float(np.hypot(u, v))
    radius = (ahead * ahead + off * off) / max(2.0 * off, 1e-12)
    if radius >= STRAIGHT:
        return ArcPiece(round(float(ahead), 1), 0.0, 0.0) if ahead > 0.05 else None
    turn = 2.0 * float(np.arctan2(off, ahead))
    length = round(float(radius) * turn, 1)
    radius = round(float(radius), 0 if radius >= 1000.0 else 1)
    if turn > MOST_TURN or length <= 0.0 or radius <= 0.0:
        return None
    return ArcPiece(length, radius, round(float(np.degrees(np.arctan2(v, u))), 1))


def _joint(pose: _Pose, goal: Array, arrive: Array) -> Array | None:
    """Where the two arcs of a biarc with equal end lengths meet."""
    chord, leave = goal - pose.at, pose.frame[0]
    along, square = float(chord @ (leave + arrive)), float(chord @ chord)
    spread = 2.0 * float(1.0 - leave @ arrive)
    if spread > 1e-12:
        reach = (-along + np.sqrt(along * along + spread * square)) / spread
    elif along > 0.0:
        reach = square / (2.0 * along)
    else:
        return None
    return np.asarray(0.5 * (pose.at + goal + reach * (leave - arrive)))


def _off(pose: _Pose, piece: ArcPiece, points: Array) -> Array:
    """(n,) distances of the points to the piece's circle or line."""
    ahead, towards, across = _in_plane((points - pose.at) @ pose.frame.T, piece.rotation_deg)
    if piece.radius == 0.0:
        return np.asarray(np.hypot(towards, across))
    round_it = np.hypot(ahead, towards - piece.radius) - piece.radius
    return np.asarray(np.hypot(round_it, across))


class _Builder:
    """The curve, and the pieces found so far from its beginning."""

    def __init__(self, points: Array, tangents: Array, along: Array, tolerance: float) -> None:
        self.points, self.tangents, self.along = points, tangents, along
        self.tolerance = tolerance

    def piece_over(self, pose: _Pose, here: int, there: int) -> list[ArcPiece] | None:
        """One or two pieces from the pose to the curve's point, within tolerance, or None."""
        goal, arrive = self.points[there], self.tangents[there]
        one = _arc_to(pose, goal)
        if one is not None:
            end = _after(pose, one)
            if end.frame[0] @ arrive > np.cos(TURNED_OFF) and self._keeps(pose, [one], here, there):
                return [one]
        joint = _joint(pose, goal, arrive)
        first = None if joint is None else _arc_to(pose, joint)
        if first is None:
            return None
        second = _arc_to(_after(pose, first), goal)
        if second is None or not self._keeps(pose, [first, second], here, there):
            return None
        return [first, second]

    def _keeps(self, pose: _Pose, pieces: Sequence[ArcPiece], here: int, there: int) -> bool:
        step = max(1, (there - here) // CHECKED)
        points = self.points[here + 1 : there + 1 : step]
        run = self.along[here + 1 : there + 1 : step] - self.along[here]
        share = run / max(float(self.along[there] - self.along[here]), 1e-9)
        total = sum(piece.length for piece in pieces)
        split = pieces[0].length / total
        for piece, part in zip(pieces, (share <= split, share > split), strict=False):
            held = points[part] if len(pieces) > 1 else points
            if len(held) and float(_off(pose, piece, held).max()) > self.tolerance:
                return False
            pose = _after(pose, piece)
        return float(np.linalg.norm(pose.at - self.points[there])) <= self.tolerance

    def farthest(self, pose: _Pose, here: int, guess: int) -> tuple[int, list[ArcPiece]]:
        """The farthest point that one or two pieces reach: doubling steps, then halving."""
        last = len(self.points) - 1
        good, best, bad, step = here, None, last + 1, guess
        while bad - good > 1:
            there = min(here + step, last) if bad > last else (good + bad) // 2
            there = max(there, good + 1)
            found = self.piece_over(pose, here, there)
            if found is None:
                bad = there
            else:
                good, best, step = there, found, 2 * step
        if best is None:
            message = "the curve turns too sharply between two points for arcs to follow"
            raise ValueError(message)
        return good, best


def chain_of_arcs(points: Array, *, tolerance: float, closed: bool = False) -> ArcChain:
    """Arcs and straights within the tolerance of the curve, and it of them.

    Parameters: points (n, 3) of a smooth curve, in order, a closed one without its first point
    again. Greedy from the start: each run of one arc, or of two that share their tangent (a
    biarc in space), reaches as far as it can. A curve within 0.7 tolerances of a plane is followed
    in that plane: no rotations but half turns. Lengths are multiples of 0.1 mm, rotations of
    0.1 deg, radii of 0.1 mm below 1 m and of 1 mm above. Raises ValueError for a tolerance below
    0.2 mm, which the rounding could not keep, fewer than three points, or a corner.

    Reference: Sharrock, 'Biarcs in three dimensions', The Mathematics of Surfaces II, Oxford
    University Press (1987); joints here are those with equal end lengths.
    """
    if tolerance < 0.2 or len(points) < 3:
        message = "a chain of arcs needs three points and a tolerance of 0.2 mm"
        raise ValueError(message)
    run = np.vstack([points, points[:1]]) if closed else np.asarray(points)
    followed, off_plane = _flattened(run)
    if off_plane > FLAT * tolerance:
        followed, off_plane = run, 0.0
    tangents = _tangents(followed, closed=closed)
    kept = 0.9 * float(np.sqrt(tolerance**2 - off_plane**2))
    for _ in range(TRIES):
        chain = _built(followed, tangents, kept)
        if distance_to_chain(run, chain) <= tolerance:
            return chain
        kept *= 0.8
    message = "no chain of arcs keeps the tolerance"
    raise ValueError(message)


def _flattened(run: Array) -> tuple[Array, float]:
    """The run moved into its best plane, and the farthest that any point was moved."""
    plane = fit_plane(run)
    _, height = project(run, plane)
    return run - height[:, None] * plane.axes[2], float(np.abs(height).max())


def _built(run: Array, tangents: Array, tolerance: float) -> ArcChain:
    builder = _Builder(run, tangents, arc_lengths(run), tolerance)
    frame = _frame_along(tangents[0], fit_plane(run).axes[2])
    pose, here, reach, pieces = _Pose(run[0], frame), 0, 8, list[ArcPiece]()
    while here < len(run) - 1:
        there, found = builder.farthest(pose, here, max(reach // 2, 1))
        for piece in found:
            pose = _after(pose, piece)
        pieces += found
        here, reach = there, there - here
    bends = [k for k, piece in enumerate(pieces) if piece.radius]
    if bends:
        first = pieces[bends[0]]
        frame = _after(_Pose(run[0], frame), ArcPiece(0.0, 1.0, first.rotation_deg)).frame
        pieces[bends[0]] = ArcPiece(first.length, first.radius, 0.0)
    return ArcChain(run[0], frame, tuple(pieces))


def _frame_along(direction: Array, normal: Array) -> Array:
    """Rows along the direction, square to it in the plane with that normal, and across both."""
    if abs(direction @ normal) > 0.9:
        normal = np.eye(3)[np.argmin(np.abs(direction))]
    towards = np.cross(normal, direction)
    towards = towards / np.linalg.norm(towards)
    return np.stack([direction, towards, np.cross(direction, towards)])


def _tangents(run: Array, *, closed: bool) -> Array:
    """(n, 3) unit tangents of the circles through each point and its second neighbours."""
    if closed:
        padded = np.vstack([run[-3:-1], run, run[1:3]])
        return _middle_tangents(padded)
    reach = min(2, (len(run) - 1) // 2)
    padded = np.vstack([np.repeat(run[:1], reach, axis=0), run, np.repeat(run[-1:], reach, axis=0)])
    found = _middle_tangents(padded) if reach == 2 else np.gradient(run, axis=0)
    found[0], found[-1] = _end_tangent(run), -_end_tangent(run[::-1])
    if len(run) > 3:
        found[1], found[-2] = (
            _circle_tangents(*run[k - 1 : k + 2, None])[0] for k in (1, -2 + len(run))
        )
    return np.asarray(found / np.linalg.norm(found, axis=1, keepdims=True))


def _middle_tangents(padded: Array) -> Array:
    return _circle_tangents(padded[:-4], padded[2:-2], padded[4:])


def _circle_tangents(before: Array, here: Array, after: Array) -> Array:
    back, on = here - before, after - here
    b, o = (np.maximum(np.linalg.norm(v, axis=1, keepdims=True), 1e-12) for v in (back, on))
    tangent = back / b * o + on / o * b
    return np.asarray(tangent / np.maximum(np.linalg.norm(tangent, axis=1, keepdims=True), 1e-12))


def _end_tangent(run: Array) -> Array:
    """Of the circle through the first, third and fifth point: the chord's mirror image."""
    reach = min(2, (len(run) - 1) // 2)
    middle = _circle_tangents(run[None, 0], run[None, reach], run[None, 2 * reach])[0]
    chord = run[reach] - run[0]
    chord = chord / np.linalg.norm(chord)
    return np.asarray(2.0 * (chord @ middle) * chord - middle)


def walk_chain(chain: ArcChain, *, step: float) -> Array:
    """(n, 3) points along the chain, no farther apart than `step`, both ends included."""
    pose, found = _Pose(chain.start, chain.frame), []
    for piece in chain.pieces:
        count = max(int(np.ceil(piece.length / step)), 1)
        found.append(_along(pose, piece, piece.length * np.arange(count) / count))
        pose = _after(pose, piece)
    return np.vstack([*found, pose.at[None]])


def _along(pose: _Pose, piece: ArcPiece, lengths: Array) -> Array:
    """(n, 3) points of the piece at lengths (n,) from its beginning."""
    if piece.radius == 0.0:
        return np.asarray(pose.at + lengths[:, None] * pose.frame[0])
    angle, turn = np.radians(piece.rotation_deg), lengths / piece.radius
    rise = 1.0 - np.cos(turn)
    local = np.column_stack([np.sin(turn), rise * np.cos(angle), rise * np.sin(angle)])
    return pose.at + piece.radius * local @ pose.frame


def distance_to_chain(run: Array, chain: ArcChain) -> float:
    """Greatest distance, either way, between a polyline (n, 3) and the chain."""
    walked = walk_chain(chain, step=5.0)
    there = PolylineLocator(run, arc_lengths(run)).closest(walked)[0]
    back = PolylineLocator(walked, arc_lengths(walked)).closest(run)[0]
    return float(max(there.max(), back.max()))


def mirrored_chain(chain: ArcChain, axis: int) -> ArcChain:
    """The chain seen in a mirror across a coordinate axis: rotations turn the other way."""
    sign = np.ones(3)
    sign[axis] = -1.0
    frame = chain.frame * sign
    frame[2] = -frame[2]
    pieces = tuple(ArcPiece(p.length, p.radius, 0.0 - p.rotation_deg) for p in chain.pieces)
    return ArcChain(chain.start * sign, frame, pieces)
