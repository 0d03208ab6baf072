"""Notches in the allowance, and what is cut out of openings."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.geometry.polyline import arc_lengths
from buckwright.model.marks import Notch

__all__ = ["cut_notches", "opening_cut"]

Array = NDArray[np.float64]

_SHARP = np.radians(35.0)
"""An edge that turns inward by more within `_WINDOW` needs a notch."""
_WINDOW = 8.0
"""mm to either side over which a turn counts as one corner."""
_OPEN = np.radians(12.0)
"""Half the angle of the V."""
_STAND_OFF = 1.0
"""mm from the tip to the trim line, so that trimming takes the notch away."""
_LEAST = 3.0
"""mm of allowance below which a notch is not worth a cut."""


def cut_notches(net: Array, outline: Array) -> tuple[Array, tuple[Notch, ...]]:
    """The outline with a V at every sharp inside corner of the trim line, and those notches.

    Parameters: `net` (k, 2) the trim line and `outline` (l, 2) the line to cut round it, both
    counter-clockwise. Each V is as deep as the allowance there, less a stand-off.
    """
    whole = shapely.Polygon(outline)
    found = []
    for corner, turn, away in _inside_corners(net):
        reach = _reach(whole, corner, away)
        if reach >= _LEAST + _STAND_OFF:
            found.append(_notch(corner, turn, away, reach))
    if not found:
        return outline, ()
    left = whole.difference(shapely.union_all([shapely.Polygon(n.ring) for n in found]))
    largest = max(shapely.get_parts(left), key=lambda part: float(part.area))
    ring = shapely.geometry.polygon.orient(shapely.Polygon(largest.exterior)).exterior
    return np.asarray(ring.coords)[:-1], tuple(found)


def opening_cut(net: Array, allowance: float) -> Array | None:
    """What to cut out of a blank for an opening (k, 2) before forming; None if nothing is left.

    The allowance stays on as metal inside the trim line. Where that leaves several pieces, the
    largest counts.
    """
    if allowance == 0.0:
        return net
    left = shapely.Polygon(net).buffer(0.0).buffer(-allowance, join_style="mitre", mitre_limit=2.0)
    pieces = [part for part in shapely.get_parts(left) if part.area > 0.0]
    if not pieces:
        return None
    largest = max(pieces, key=lambda part: float(part.area))
    ring = shapely.geometry.polygon.orient(shapely.Polygon(largest.exterior)).exterior
    return np.asarray(ring.coords)[:-1]


def _inside_corners(net: Array) -> list[tuple[Array, float, Array]]:
    """Sharp inside corners: place, turn inward, unit vector out of the metal between the sides."""
    turns = _turns(net)
    along = arc_lengths(net, closed=True)
    length, at = along[-1], along[:-1]
    sharp = np.flatnonzero(turns > 0.2 * _SHARP)
    found: list[tuple[Array, float, Array]] = []
    taken = np.zeros(len(net), dtype=np.bool_)
    for k in sharp[np.argsort(-turns[sharp], kind="stable")]:
        gap = np.abs(at - at[k])
        near = np.minimum(gap, length - gap) <= _WINDOW
        if taken[k] or turns[near].sum() < _SHARP:
            continue
        taken |= near
        before, after = (_walk(net, along, at[k] + step) for step in (-_WINDOW, _WINDOW))
        inward = (before - net[k]) / np.linalg.norm(before - net[k]) + (
            after - net[k]
        ) / np.linalg.norm(after - net[k])
        size = float(np.linalg.norm(inward))
        if size > 1e-6:
            found.append((net[k], float(turns[near].sum()), inward / size))
    return found


def _turns(net: Array) -> Array:
    """(k,) how far the ring turns to the right at each corner, rad; to the left is negative."""
    here, there = net - np.roll(net, 1, axis=0), np.roll(net, -1, axis=0) - net
    cross = here[:, 0] * there[:, 1] - here[:, 1] * there[:, 0]
    return np.asarray(-np.arctan2(cross, np.einsum("ij,ij->i", here, there)))


def _walk(net: Array, along: Array, length: float) -> Array:
    """The point of the ring at a length along it, wrapping round."""
    place = length % along[-1]
    looped = np.vstack([net, net[:1]])
    return np.array([np.interp(place, along, looped[:, d]) for d in (0, 1)])


def _reach(whole: shapely.Polygon, corner: Array, away: Array) -> float:
    """How far the allowance goes from a corner along `away`."""
    size = float(np.ptp(np.asarray(whole.exterior.coords), axis=0).sum())
    ray = shapely.LineString([corner, corner + size * away]).intersection(whole)
    first = [part for part in shapely.get_parts(ray) if part.distance(shapely.Point(corner)) < 1e-6]
    return float(first[0].length) if first else 0.0


def _notch(corner: Array, turn: float, away: Array, reach: float) -> Notch:
    across = np.array([-away[1], away[0]])
    tip = corner + _STAND_OFF * away
    # A little beyond the outline, so that the cut has no skin left across its mouth.
    depth = reach + 1.0
    half = np.tan(_OPEN) * (depth - _STAND_OFF)
    mouth = corner + depth * away
    return Notch(
        ring=np.array([mouth + half * across, tip, mouth - half * across]),
        corner=(float(corner[0]), float(corner[1])),
        turn=turn,
    )
