"""An outline whose allowance differs from edge to edge."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["Margin", "beside", "uneven_opening", "uneven_outline"]

Array = NDArray[np.float64]

_MITRE = 2.0
"""Corners stay sharp to this many allowances and are cut off beyond."""
_CORNER = np.radians(15.0)
"""A turn below this is no corner."""


@dataclass(frozen=True, eq=False, slots=True)
class Margin:
    """Metal beside one run of a ring: points (k, 2) in order, mm of allowance; whether the run is
    the whole ring, and whether the metal is turned, so that corners beside it are left open.
    `along` (k,) is the allowance at each point where it changes, `allowance` then its greatest.
    """

    points: Array
    allowance: float
    closed: bool
    turned: bool
    along: Array | None = None


def uneven_outline(net: Array, margins: Sequence[Margin]) -> Array:
    """The net outline (n, 2), counter-clockwise, with each run's metal added outside: (l, 2).

    Between two plain edges the corner is filled; beside a turned edge it is left out, so that the
    flange can come round. Raises ValueError for a negative allowance.
    """
    whole = shapely.union_all([shapely.make_valid(shapely.Polygon(net)), *_metal(margins)])
    return _ring(whole)


def uneven_opening(net: Array, margins: Sequence[Margin]) -> Array | None:
    """What to cut out of an opening (n, 2) so that each run keeps its metal; None if nothing."""
    hole = shapely.make_valid(shapely.Polygon(net))
    left = hole.difference(shapely.union_all(list(_metal(margins))))
    return None if left.is_empty or left.area <= 0.0 else _ring(left)


def beside(margin: Margin, distance: float | Array) -> Array:
    """The run moved to its right by a distance, or one for each point (k,); round a whole ring it
    closes.
    """
    outward, _ = _normals(margin)
    moved = margin.points + np.reshape(distance, (-1, 1)) * outward
    return np.vstack([moved, moved[:1]]) if margin.closed else np.asarray(moved)


def _metal(margins: Sequence[Margin]) -> list[shapely.Geometry]:
    if any(margin.allowance < 0.0 for margin in margins):
        message = "an allowance cannot be negative"
        raise ValueError(message)
    return [_band(m) for m in margins if m.allowance > 0.0] + [
        wedge
        for before, after in zip([margins[-1], *margins[:-1]], margins, strict=True)
        if (wedge := _wedge(before, after)) is not None
    ]


def _band(margin: Margin) -> shapely.Geometry:
    if margin.along is not None:
        return _changing(margin, margin.along)
    points = np.vstack([margin.points, margin.points[:1]]) if margin.closed else margin.points
    line = shapely.LinearRing(points) if margin.closed else shapely.LineString(points)
    # The inner half lies in the panel; its outer half is the allowance.
    return line.buffer(margin.allowance, cap_style="flat", join_style="mitre", mitre_limit=_MITRE)


def _changing(margin: Margin, along: Array) -> shapely.Geometry:
    """The metal between a run and its outer edge, whose distance from it changes."""
    outer = beside(margin, along)
    if margin.closed:
        rings = (shapely.make_valid(shapely.Polygon(ring)) for ring in (margin.points, outer))
        return shapely.symmetric_difference(*rings)
    return shapely.make_valid(shapely.Polygon(np.vstack([margin.points, outer[::-1]])))


def _wedge(before: Margin, after: Margin) -> shapely.Geometry | None:
    """The metal outside a corner between two plain runs that follow each other."""
    if before.closed or after.closed or before.turned or after.turned:
        return None
    corner = after.points[0]
    if np.abs(before.points[-1] - corner).max() > 1e-6:
        return None
    first, second = _normals(before)[0][-1], _normals(after)[0][0]
    turn = float(np.arctan2(first[0] * second[1] - first[1] * second[0], first @ second))
    low = min(before.allowance, after.allowance)
    if turn < _CORNER or low <= 0.0:
        return None
    ends = [corner + before.allowance * first, corner + after.allowance * second]
    tip = np.linalg.solve(np.stack([first, second]), [first @ ends[0], second @ ends[1]])
    reach = float(np.linalg.norm(tip - corner))
    middle = [tip] if reach <= _MITRE * max(before.allowance, after.allowance) else []
    return shapely.Polygon([corner, ends[0], *middle, ends[1]]).buffer(1e-6)


def _normals(margin: Margin) -> tuple[Array, Array]:
    """Unit vectors to the right at each point (k, 2), and unit tangents of the sides."""
    points = margin.points
    if margin.closed:
        points = np.vstack([points[-1:], points, points[:1]])
    side = np.diff(points, axis=0)
    unit = side / np.maximum(np.linalg.norm(side, axis=1, keepdims=True), 1e-12)
    if not margin.closed:
        unit = np.vstack([unit[:1], unit, unit[-1:]])
    mean = unit[:-1] + unit[1:]
    mean /= np.maximum(np.linalg.norm(mean, axis=1, keepdims=True), 1e-12)
    return np.column_stack([mean[:, 1], -mean[:, 0]]), unit


def _ring(whole: shapely.Geometry) -> Array:
    pieces = [part for part in shapely.get_parts(whole) if part.geom_type == "Polygon"]
    largest = max(pieces, key=lambda part: float(part.area))
    ring = shapely.geometry.polygon.orient(shapely.Polygon(largest.exterior)).exterior
    return np.asarray(ring.coords)[:-1]
