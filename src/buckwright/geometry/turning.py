"""Turning about an axis in space: the axis nearest to points, and where turned points meet a mesh.

Angles in radians, right-handed about the direction of the axis.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["Axis", "first_meetings", "fit_axis", "turn_about"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

PAIRS = 400_000
"""Pairs of points and triangles looked at together."""
EDGE = 1e-9
"""Share of a triangle by which a point may lie outside and still meet it: neighbours must not
leave a crack between them."""


@dataclass(frozen=True, eq=False, slots=True)
class Axis:
    """A straight line in space: a point (3,) on it and its unit direction (3,)."""

    point: Array
    direction: Array

    def heights(self, points: Array) -> Array:
        """(n,) along the direction, from the axis' own point."""
        return np.asarray((points - self.point) @ self.direction)

    def arms(self, points: Array) -> Array:
        """(n, 3) from the axis square out to the points."""
        off = points - self.point
        return np.asarray(off - np.outer(off @ self.direction, self.direction))


def fit_axis(points: Array) -> tuple[Axis, Array]:
    """The line of least squares through points (n, 3), and their distances (n,) from it.

    The direction's largest component is positive. Raises ValueError where all points coincide.
    """
    middle = points.mean(axis=0)
    _, sizes, ways = np.linalg.svd(points - middle, full_matrices=False)
    if len(points) < 2 or sizes[0] <= 1e-9 * (1.0 + float(np.abs(points).max())):
        message = "a line needs two points that are apart"
        raise ValueError(message)
    direction = ways[0] * np.sign(ways[0][np.argmax(np.abs(ways[0]))])
    axis = Axis(middle, direction)
    return axis, np.linalg.norm(axis.arms(points), axis=1)


def turn_about(points: Array, axis: Axis, angle: float) -> Array:
    """The points (n, 3) turned about the axis; exact (Rodrigues' formula)."""
    arms = axis.arms(points)
    round_ = np.cross(axis.direction, arms)
    return np.asarray(points + (np.cos(angle) - 1.0) * arms + np.sin(angle) * round_)


def first_meetings(
    points: Array, corners: Array, axis: Axis, *, sense: float, most: float
) -> tuple[Array, Index]:
    """Through which angle each point (n, 3) turns before it meets a triangle (m, 3, 3).

    `sense` is 1 for right-handed turns, -1 for left-handed ones; angles are counted from 0 to
    `most` < 2 pi either way. Returns the angles (n,), infinite where a point meets none, and
    the triangle (n,), -1 for none.

    A turned point stays on a circle; where that cuts the plane of a triangle is the solution of
    A cos t + B sin t = C, so the angle is exact and no step can miss a thin sheet.
    """
    best = np.full(len(points), np.inf)
    hit = np.full(len(points), -1, dtype=np.int64)
    if not len(points) or not len(corners):
        return best, hit
    owner, triangle = _candidates(points, corners, axis)
    for first in range(0, len(owner), PAIRS):
        here = slice(first, first + PAIRS)
        angles = _pair_angles(points[owner[here]], corners[triangle[here]], axis, sense)
        angles = np.where(angles <= most, angles, np.inf)
        order = np.argsort(angles, kind="stable")[::-1]
        who, when, what = owner[here][order], angles[order], triangle[here][order]
        # The last write wins, and the least angle is written last.
        least = np.full(len(points), np.inf)
        of = np.full(len(points), -1, dtype=np.int64)
        least[who], of[who] = when, what
        sooner = least < best
        best[sooner], hit[sooner] = least[sooner], of[sooner]
    return best, hit


def _candidates(points: Array, corners: Array, axis: Axis) -> tuple[Index, Index]:
    """Pairs whose radii and heights about the axis allow them to meet."""
    flat = corners.reshape(-1, 3)
    heights = axis.heights(flat).reshape(-1, 3)
    arms = axis.arms(flat)
    radii = np.linalg.norm(arms, axis=1).reshape(-1, 3)
    sides = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
    slack = 1e-9 * (1.0 + float(radii.max()))
    # Inside a triangle the radius may be less than at its corners, by no more than half a side.
    boxes = shapely.box(
        radii.min(axis=1) - 0.5 * sides - slack,
        heights.min(axis=1) - slack,
        radii.max(axis=1) + slack,
        heights.max(axis=1) + slack,
    )
    places = shapely.points(np.linalg.norm(axis.arms(points), axis=1), axis.heights(points))
    owner, triangle = shapely.STRtree(boxes).query(places)
    return owner.astype(np.int64), triangle.astype(np.int64)


def _pair_angles(points: Array, corners: Array, axis: Axis, sense: float) -> Array:
    """(k,) least angle at which each point meets its triangle, infinite if it never does."""
    arms = axis.arms(points)
    foot = points - arms
    round_ = sense * np.cross(axis.direction, arms)
    a, u, v = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    normal = np.cross(u, v)
    cosine, sine = (normal * arms).sum(axis=1), (normal * round_).sum(axis=1)
    level = (normal * (a - foot)).sum(axis=1)
    size = np.hypot(cosine, sine)
    reached = (size > 0.0) & (np.abs(level) <= size)
    part = np.arccos(np.clip(level / np.where(size > 0.0, size, 1.0), -1.0, 1.0))
    middle = np.arctan2(sine, cosine)
    found = np.full(len(points), np.inf)
    for angle in (middle - part, middle + part):
        turn = np.mod(angle, 2.0 * np.pi)
        at = foot + np.cos(turn)[:, None] * arms + np.sin(turn)[:, None] * round_
        met = reached & _inside(at - a, u, v)
        found = np.where(met & (turn < found), turn, found)
    return found


def _inside(offset: Array, u: Array, v: Array) -> NDArray[np.bool_]:
    uu, uv, vv = (u * u).sum(1), (u * v).sum(1), (v * v).sum(1)
    uw, vw = (u * offset).sum(1), (v * offset).sum(1)
    det = np.maximum(uu * vv - uv * uv, 1e-300)
    s, t = (vv * uw - uv * vw) / det, (uu * vw - uv * uw) / det
    return np.asarray((s >= -EDGE) & (t >= -EDGE) & (s + t <= 1.0 + EDGE))
