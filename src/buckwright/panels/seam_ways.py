"""Where a seam may run over a part: along lines that are there, and straight from edge to edge."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.geodesic import Geodesics, MeshPath
from buckwright.geometry.path_cut import cut_along_path
from buckwright.geometry.polyline import arc_lengths
from buckwright.panels.seam_parts import Part, cut_part, equal_width, rim_of

__all__ = ["SHARES", "Division", "line_divisions", "straight_divisions", "worth_trying"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_ENDS = 28
"""Places round an edge from which straight ways are tried."""
_KEPT = 20
"""Straight ways that are laid flat, of the hundreds that are drawn."""
SHARES = 4
"""Shares that the straight ways are tried in, side by side."""
_APART = 0.08
"""Mean distance of two ways that are worth trying both, as a share of the root of the area."""
_SQUARE = np.radians(62.0)
"""Least angle between a seam and the edge or seam that it ends on."""
_SLANT = float(np.cos(_SQUARE - np.radians(20.0)))
"""Cosine beyond which the chord of a way rules it out before it is drawn."""
_SQUARE_LINE = np.radians(35.0)
"""The same for a line that is there anyway."""
_CLEAR = 60.0
"""mm that a seam keeps from an edge, except near its ends; less on small parts."""
_TIGHT = 20.0
"""mm, radius of the skin below which nothing is welded across it."""
_SLIVER = 0.12
"""Least width of a part as a share of the root of the area that is divided."""
_NARROW = 50.0
"""mm, least width of any part."""
_FORWARD = 40.0
"""mm over which the direction of a seam at its end is read."""


@dataclass(frozen=True, eq=False, slots=True)
class Division:
    """A part divided in two along a way.

    Attributes: line, the line that the way follows, or None; points (k, 3); way (j, 3),
    the vertices of both parts along it; meets, angles (rad) with the edge at both ends, a quarter
    turn at most; radius, mm, the tightest on the way; parts; likely, a figure that grows with the
    strain left, for comparing.
    """

    line: str | None
    points: Array
    way: Array
    meets: tuple[float, float]
    radius: float
    parts: tuple[Part, Part]
    likely: float


def line_divisions(part: Part) -> tuple[Division, ...]:
    """Divisions along the lines that lie on the part, led on to its edge where they end before."""
    ways, rim = Geodesics(part.vertices, part.triangles), rim_of(part)
    tree = cKDTree(part.vertices[rim])
    paths = [(name, _through(part, ways, rim, run)) for name, run in part.lines]
    found = [_division(part, rim, tree, path, name) for name, path in paths if path is not None]
    return tuple(division for division in found if division is not None)


def straight_divisions(part: Part, share: int) -> tuple[Division, ...]:
    """Divisions along straight ways between places round the edge, one of `SHARES` shares of them.

    None runs beside an edge, meets one at a slant, crosses a tight radius, or leaves a sliver.
    """
    ways, rim = Geodesics(part.vertices, part.triangles), rim_of(part)
    tree = cKDTree(part.vertices[rim])
    found = [
        _division(part, rim, tree, ways.between(start, end), None)
        for start, end in _pairs(part, rim)[share::SHARES]
    ]
    return tuple(division for division in found if division is not None)


def worth_trying(
    part: Part, along: tuple[Division, ...], straight: tuple[Division, ...]
) -> tuple[Division, ...]:
    """All divisions along lines, then the straight ones that curvature speaks for.

    Those are taken first for which the least rounding is left across the narrower direction of
    both sides; none that is nearly the same as one taken before.
    """
    found = list(along)
    apart, most = _APART * part.area**0.5, len(found) + _KEPT
    for division in sorted(straight, key=lambda d: d.likely):
        if len(found) == most:
            break
        if all(_gap(division.points, other.points) > apart for other in found):
            found.append(division)
    return tuple(found)


def _pairs(part: Part, rim: Index) -> list[tuple[int, int]]:
    """Pairs of places round the edge that a seam may join, at least a good width apart."""
    loop = part.vertices[rim]
    along = arc_lengths(loop, closed=True)
    wanted = np.linspace(0.0, along[-1], _ENDS, endpoint=False)
    places = np.unique(np.searchsorted(along[:-1], wanted))
    places = places[places < len(rim)]
    pairs = []
    for i, first in enumerate(places):
        for second in places[i + 1 :]:
            round_it = along[second] - along[first]
            near = min(round_it, along[-1] - round_it) <= 0.1 * along[-1]
            if not near and not _slants(loop, int(first), int(second)):
                pairs.append((int(rim[first]), int(rim[second])))
    return pairs


def _slants(loop: Array, first: int, second: int) -> bool:
    """Whether the chord meets the edge so slantingly at an end that no way beside it is square."""
    chord = loop[second] - loop[first]
    chord /= np.linalg.norm(chord)
    for at in (first, second):
        side = loop[(at + 1) % len(loop)] - loop[at - 1]
        if abs(float(side @ chord)) > _SLANT * float(np.linalg.norm(side)):
            return True
    return False


def _through(part: Part, ways: Geodesics, rim: Index, run: Index) -> MeshPath | None:
    """A line's run, led on straight to the edge where it ends before; None if that is far."""
    nodes = np.column_stack([run, run])
    if run[0] == run[-1]:
        return MeshPath(part.vertices[run], nodes, np.zeros(len(run)))
    length = float(arc_lengths(part.vertices[run])[-1])
    head = _led_on(part, ways, rim, run[::-1], 0.3 * length)
    tail = _led_on(part, ways, rim, run, 0.3 * length)
    if head is None or tail is None:
        return None
    edges = np.vstack([head.edges[:0:-1], nodes, tail.edges[1:]])
    share = np.concatenate([head.part[:0:-1], np.zeros(len(run)), tail.part[1:]])
    points = np.vstack([head.points[:0:-1], part.vertices[run], tail.points[1:]])
    return MeshPath(points, edges, share)


def _led_on(part: Part, ways: Geodesics, rim: Index, run: Index, most: float) -> MeshPath | None:
    """The straight way from the run's last vertex to the edge, beginning with that vertex."""
    end = int(run[-1])
    if end in rim:
        return MeshPath(part.vertices[[end]], np.array([[end, end]]), np.zeros(1))
    off = part.vertices[rim] - part.vertices[end]
    gap = np.linalg.norm(off, axis=1)
    ahead = part.vertices[end] - part.vertices[run[max(len(run) - 4, 0)]]
    turn = 1.0 - off @ ahead / (gap * np.linalg.norm(ahead))
    best = int(np.argmin(gap * (1.0 + 4.0 * turn)))
    if gap[best] > most or turn[best] > 0.5:
        return None
    return ways.between(end, int(rim[best]))


def _division(
    part: Part, rim: Index, tree: cKDTree, path: MeshPath, line: str | None
) -> Division | None:
    """The division along a path; None where no seam should run so."""
    inner = path.edges[1:-1]
    at_vertex = inner[inner[:, 0] == inner[:, 1], 0]
    if len(path.points) < 3 or np.isin(at_vertex, rim).any():
        return None
    closed = bool(path.edges[0, 0] == path.edges[-1, 0])
    meets = (0.5 * np.pi, 0.5 * np.pi) if closed else _meeting(part, rim, path)
    if min(meets) < (_SQUARE if line is None else _SQUARE_LINE):
        return None
    if _beside_edge(part, tree, path.points):
        return None
    radius = _tightest(part, path)
    if radius < _TIGHT:
        return None
    try:
        cut = cut_along_path(part.vertices, part.triangles, path)
        halves = cut_part(part, cut)
    except ValueError:
        return None
    if halves is None:
        return None
    widths = [equal_width(half) for half in halves]
    if min(widths) < max(_NARROW, _SLIVER * part.area**0.5):
        return None
    likely = max(
        half.total_rounding() / half.area * width**2
        for half, width in zip(halves, widths, strict=True)
    )
    # Of two that relieve the metal alike, the one that meets its edges more squarely.
    likely /= float(np.sin(min(meets))) ** 2
    way = cut.vertices[cut.way]
    return Division(line, path.points, way, meets, radius, halves, likely)


def _meeting(part: Part, rim: Index, path: MeshPath) -> tuple[float, float]:
    return (
        _angle(part, rim, int(path.edges[0, 0]), path.points),
        _angle(part, rim, int(path.edges[-1, 0]), path.points[::-1]),
    )


def _angle(part: Part, rim: Index, end: int, points: Array) -> float:
    """Lesser angle between the way's first reach and the edge on either hand."""
    loop = part.vertices[rim]
    step = float(np.linalg.norm(np.diff(loop, axis=0), axis=1).mean())
    reach = max(1, round(_FORWARD / step))
    at = int(np.flatnonzero(rim == end)[0])
    far = np.searchsorted(arc_lengths(points), _FORWARD)
    ahead = points[min(int(far), len(points) - 1)] - points[0]
    angles = []
    for hand in (-reach, reach):
        beside = loop[(at + hand) % len(rim)] - points[0]
        cosine = beside @ ahead / (np.linalg.norm(beside) * np.linalg.norm(ahead))
        angles.append(float(np.arccos(np.clip(cosine, -1.0, 1.0))))
    return min(*angles, 0.5 * np.pi)


def _beside_edge(part: Part, tree: cKDTree, points: Array) -> bool:
    """Whether the way comes too near the edge elsewhere than at its ends."""
    clear = min(_CLEAR, 0.12 * part.area**0.5)
    along = arc_lengths(points)
    middle = (along > 1.5 * clear) & (along < along[-1] - 1.5 * clear)
    return bool(middle.any() and tree.query(points[middle])[0].min() < clear)


def _tightest(part: Part, path: MeshPath) -> float:
    a, b = part.bend[path.edges[1:-1]].T
    bend = float((a + path.part[1:-1] * (b - a)).max())
    return min(1.0 / max(bend, 1e-9), 1e6)


def _gap(one: Array, other: Array) -> float:
    """Mean distance from the first polyline's points to the second's."""
    return float(cKDTree(other).query(one)[0].mean())
