"""An opening's outline: lines joined into one loop, and the shut gap on either side of it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.errors import JobError
from buckwright.geometry.mesh import MeshLocator
from buckwright.geometry.polyline import (
    arc_lengths,
    closest_on_polyline,
    crossing_of_polylines,
    polyline_length,
    resample_polyline,
)
from buckwright.model.lines import Line, LineNetwork

__all__ = ["edge_names", "gap_strip", "join_outline", "mitres", "shut_gaps"]

Array = NDArray[np.float64]

SPACING = 8.0
"""mm between the points of an outline."""
MOST_GAP = 5.0
"""mm by which two lines may miss each other and still bound an opening."""
DENSE = 1200
WINDOW = 12
"""Fine points to either side within which two lines are taken to meet."""
CORNER = float(np.cos(np.radians(25.0)))
"""Cosine of the turn between neighbouring sides from which a place is a corner."""

ENDS = (("front", "rear"), ("left", "right"), ("bottom", "top"))
"""What the low and the high end of each vehicle axis are called."""


def join_outline(names: Sequence[str], network: LineNetwork, *, of: str) -> Array:
    """One closed line, or lines in order round the opening cut where they meet: (n, 3).

    Points every 8 mm or so, the first not repeated. Raises JobError where a line is missing or
    the lines leave a gap.
    """
    if not names:
        raise JobError(f"'{of}' has no outline.", "Name the line or lines round it.")
    lines = []
    for name in names:
        try:
            lines.append(network.line(name))
        except KeyError:
            raise JobError(
                f"'{of}' is bounded by a line '{name}' that the job does not have.",
                "Choose one of the job's lines.",
            ) from None
    dense = [_dense(line) for line in lines]
    if len(lines) == 1:
        return _alone(dense[0], names[0], of, closed=lines[0].closed)
    pieces = _two(dense[0], dense[1], names, of) if len(lines) == 2 else _round(dense, names, of)
    even = [_even(piece)[:-1] for piece in pieces]
    return np.vstack(even)


def _dense(line: Line) -> Array:
    """The line as a fine polyline with every knot in it: a line may turn a corner at one."""
    at = np.union1d(np.linspace(0.0, 1.0, DENSE), line.knots)
    return np.asarray(line.curve()(at[(at >= 0.0) & (at <= 1.0)]), dtype=np.float64)


def _alone(points: Array, name: str, of: str, *, closed: bool) -> Array:
    ends = float(np.linalg.norm(points[-1] - points[0]))
    if not closed and ends > MOST_GAP:
        raise JobError(
            f"The outline of '{of}' is open: the ends of '{name}' are {ends:.0f} mm apart.",
            "Name a closed line, or add the line that closes it.",
        )
    return _even(np.vstack([points[:-1], points[:1]]))[:-1]


def _even(piece: Array) -> Array:
    """Evenly spaced points, its ends and corners among them."""
    way = np.diff(piece, axis=0)
    way = way[np.linalg.norm(way, axis=1) > 1e-9]
    piece = np.vstack([piece[:1], piece[0] + np.cumsum(way, axis=0)])
    way = way / np.linalg.norm(way, axis=1, keepdims=True)
    turns = np.flatnonzero((way[1:] * way[:-1]).sum(axis=1) < CORNER) + 1
    runs = np.split(np.arange(len(piece)), turns)
    parts = []
    for run, after in zip(runs, [*[int(r[0]) for r in runs[1:]], len(piece) - 1], strict=True):
        side = piece[run[0] : after + 1]
        count = max(2, round(polyline_length(side) / SPACING) + 1)
        parts.append(resample_polyline(side, count)[:-1])
    return np.vstack([*parts, piece[-1:]])


def _two(one: Array, other: Array, names: Sequence[str], of: str) -> list[Array]:
    """The line whose ends lie on the other, then the other between them."""
    found = []
    for k, (whole, cut) in enumerate(((one, other), (other, one))):
        gaps, _, along = closest_on_polyline(whole[[0, -1]], cut)
        found.append((float(gaps.max()), k, whole, cut, along, gaps))
    gap, k, whole, cut, along, gaps = min(found, key=lambda each: each[0])
    if gap > MOST_GAP:
        which = "start" if gaps[0] > gaps[1] else "end"
        raise _apart(names[k], names[1 - k], gap, of, which)
    return [whole, _between(cut, float(along[1]), float(along[0]))]


def _round(dense: Sequence[Array], names: Sequence[str], of: str) -> list[Array]:
    meets = []
    for k, line in enumerate(dense):
        after = (k + 1) % len(dense)
        gap, here, there = _meeting(line, dense[after])
        if gap > MOST_GAP:
            raise _apart(names[k], names[after], gap, of, "end")
        meets.append((here, there))
    return [_between(line, meets[k - 1][1], meets[k][0]) for k, line in enumerate(dense)]


def _meeting(one: Array, other: Array) -> tuple[float, float, float]:
    """Gap where two fine polylines come closest, and how far along each: by their points."""
    gaps, nearest = cKDTree(other).query(one)
    here = int(np.argmin(gaps))
    starts = [max(at - WINDOW, 0) for at in (here, int(nearest[here]))]
    pieces = [line[s : s + 2 * WINDOW + 1] for line, s in zip((one, other), starts, strict=True)]
    gap, _, _, along, beside = crossing_of_polylines(*pieces)
    before = [arc_lengths(line)[s] for line, s in zip((one, other), starts, strict=True)]
    return gap, float(before[0] + along), float(before[1] + beside)


def _apart(one: str, other: str, gap: float, of: str, which: str) -> JobError:
    return JobError(
        f"The outline of '{of}' is open: '{one}' misses '{other}' by {gap:.0f} mm at its {which}.",
        "Name lines in order round the opening, each meeting the next.",
    )


def _between(line: Array, start: float, end: float) -> Array:
    """The piece of a polyline from one place along it to another, backwards if need be."""
    along = arc_lengths(line)
    low, high = sorted((start, end))
    inner = line[(along > low + 1e-9) & (along < high - 1e-9)]
    ends = np.column_stack([np.interp([low, high], along, line[:, k]) for k in range(3)])
    piece = np.vstack([ends[:1], inner, ends[1:]])
    return piece if start <= end else piece[::-1]


def edge_names(loop: Array, normal: Array) -> tuple[NDArray[np.str_], Array]:
    """Which edge each point (n, 3) of the loop is on, and how surely (n,), 0 at a corner.

    Edges are front, rear, left, right, bottom, top, by the two vehicle axes that the opening
    spans most; `normal` (3,) points out of it.
    """
    across = [axis for axis in range(3) if axis != int(np.argmax(np.abs(normal)))]
    low, high = loop[:, across].min(axis=0), loop[:, across].max(axis=0)
    place = (loop[:, across] - 0.5 * (low + high)) / np.maximum(0.5 * (high - low), 1e-9)
    which = (np.abs(place[:, 1]) > np.abs(place[:, 0])).astype(np.int64)
    ahead = place[np.arange(len(loop)), which] > 0.0
    words = np.array([[ENDS[axis][0], ENDS[axis][1]] for axis in across])
    return words[which, ahead.astype(np.int64)], np.abs(np.abs(place[:, 1]) - np.abs(place[:, 0]))


def shut_gaps(loop: Array, normal: Array, *, gap: float, drain: float) -> Array:
    """(n,) mm of gap at each point: `drain` along the bottom, easing to `gap` at its corners."""
    names, surely = edge_names(loop, normal)
    share = np.where(names == "bottom", np.clip(surely / 0.3, 0.0, 1.0), 0.0)
    return np.asarray(gap + (drain - gap) * share * share * (3.0 - 2.0 * share))


def mitres(loop: Array, up: Array) -> Array:
    """(n, 3) ways in the skin to the left of a closed loop, seen from outside (`up`, (n, 3)).

    As long as it takes for the sides before and after to stand off by one: longer at a corner.
    """
    after = np.cross(up, np.roll(loop, -1, axis=0) - loop)
    before = np.cross(up, loop - np.roll(loop, 1, axis=0))
    after /= np.linalg.norm(after, axis=1, keepdims=True)
    before /= np.linalg.norm(before, axis=1, keepdims=True)
    blunt = np.maximum(1.0 + (after * before).sum(axis=1), 0.5)
    return np.asarray((after + before) / blunt[:, None])


def gap_strip(loop: Array, gaps: Array, locator: MeshLocator) -> tuple[Array, Array]:
    """The edges of the part and of the body, half the gap inside and outside the loop: (n, 3).

    Laid square to the loop on the skin, and set back onto it.
    """
    _, _, triangle, weights = locator.closest(loop)
    up = locator.normal_at(triangle, weights)
    # Whichever way the loop runs, inward is where it encloses area seen from outside.
    area = np.cross(loop - loop.mean(axis=0), np.roll(loop, -1, axis=0) - loop).sum(axis=0)
    inward = mitres(loop, up) * (np.sign(area @ up.mean(axis=0)) or 1.0)
    edges = [loop + side * 0.5 * gaps[:, None] * inward for side in (1.0, -1.0)]
    return edges[0] + _back(edges[0], locator), edges[1] + _back(edges[1], locator)


def _back(points: Array, locator: MeshLocator) -> Array:
    """Along the normal onto the surface; nothing at its rim, where the foot slides sideways."""
    _, foot, triangle, weights = locator.closest(points)
    up = locator.normal_at(triangle, weights)
    return np.asarray(((foot - points) * up).sum(axis=1)[:, None] * up)
