"""What one picture gets wrong, and by how much: parallax, rays to another plane, turning crowns.

All in the plane of scale, mm right and up; depth is positive behind that plane, away from the
camera, which stands at distance D over its foot. The formulas are exact for a camera without
lens distortion.
"""

import numpy as np
from numpy.typing import NDArray

__all__ = ["crown_gap", "crown_tangent", "parallax", "ray_at_depth"]

Array = NDArray[np.float64]

_STEPS = 241
_PASSES = 4


def parallax(lateral: Array, depth: Array, distance: float) -> Array:
    """By how much, mm, the plane of scale shows a place too near the foot: r d / (D + d).

    Parameters: lateral, r, how far the place itself lies from the foot; depth, d.
    """
    return np.asarray(lateral * depth / (distance + depth))


def ray_at_depth(read: Array, depth: Array, foot: Array, distance: float) -> Array:
    """(n, 2) where the rays through `read` (n, 2) are at depth (n,): foot + (read - foot)(D+d)/D.

    Raises ValueError for a depth at the camera or behind it.
    """
    if not distance > 0.0 or np.any(np.asarray(depth) <= -distance):
        message = "the place lies behind the camera"
        raise ValueError(message)
    return np.asarray(foot + (read - foot) * (1.0 + np.asarray(depth)[..., None] / distance))


def crown_gap(slope: Array, radius: float) -> Array:
    """How far a ray of that slope passes over the middle of a round crown: R (sqrt(1+m^2) - 1).

    The Legendre transform of a circle; of a parabola of that radius it is m^2 R / 2.
    """
    return np.asarray(radius * (np.sqrt(1.0 + np.asarray(slope) ** 2) - 1.0))


def crown_tangent(
    line: Array, rays: Array, outward: Array, radius: float, *, closed: bool = False
) -> tuple[Array, NDArray[np.bool_]]:
    """The middle line of a crown whose outline a camera sees, in that line's own plane.

    Parameters: line (n, 2), where the rays that touch the crown meet the plane of its middle
    line; rays (n, 2), how far each ray moves right and up for each mm of depth; outward (n, 2),
    unit vectors out of the body; radius of the crown square to the plane.
    Returns: (n, 2), and whether the ray touches the crown within 45 degrees of its middle; where
    it would touch farther round, the shift is the greatest that still does.

    The body is the middle line moved inwards by R - sqrt(R^2 - t^2) at each depth t, so at every
    t the outline, moved along its rays and outwards by as much, holds the middle line inside; the
    innermost of all of them is the line. Exact where outline and middle line are smooth.
    """
    if not radius > 0.0:
        return line, np.ones(len(line), bool)
    reach = radius * np.sin(np.pi / 4.0)
    course = _Course(line, closed=closed)
    depths = np.linspace(-reach, reach, _STEPS)
    heights = np.array(
        [
            _heights(line, line + t * rays, outward, course) + radius - np.sqrt(radius**2 - t * t)
            for t in depths
        ]
    )
    best = heights.argmin(axis=0)
    lowest = _vertex(heights, best)
    inside = (best > 0) & (best < _STEPS - 1)
    return line + outward * lowest[:, None], inside


class _Course:
    """A polyline (n, 2) by its length, going on beyond its ends, or round."""

    def __init__(self, line: Array, *, closed: bool) -> None:
        count = len(line)
        self.index = np.arange(-count, 2 * count) if closed else np.arange(count)
        steps = np.linalg.norm(np.diff(line, axis=0, append=line[:1]), axis=1)
        whole = np.concatenate([[0.0], np.cumsum(steps)])
        self.length = float(whole[-1])
        turns, places = np.divmod(self.index, count)
        self.along = whole[places] + turns * self.length
        self.own = whole[:-1]

    def at(self, moved: Array, along: Array) -> Array:
        """(n, 2) places of the moved polyline at these lengths of the old one."""
        full = moved[np.mod(self.index, len(moved))]
        k = np.clip(np.searchsorted(self.along, along), 1, len(self.along) - 1)
        share = (along - self.along[k - 1]) / (self.along[k] - self.along[k - 1])
        return np.asarray(full[k - 1] + share[:, None] * (full[k] - full[k - 1]))


def _heights(line: Array, moved: Array, outward: Array, course: _Course) -> Array:
    """(n,) how far out along each normal the moved polyline lies."""
    side = np.column_stack([outward[:, 1], -outward[:, 0]])
    ahead = np.gradient(line, axis=0)
    side *= np.sign(np.einsum("nk,nk->n", side, ahead))[:, None]
    along = course.own
    for _ in range(_PASSES):
        gap = course.at(moved, along) - line
        along = along - np.einsum("nk,nk->n", gap, side)
    return np.asarray(np.einsum("nk,nk->n", course.at(moved, along) - line, outward))


def _vertex(heights: Array, best: NDArray[np.int64]) -> Array:
    """Lowest of each column, between its samples by a parabola."""
    columns = np.arange(heights.shape[1])
    lowest = heights[best, columns]
    inner = (best > 0) & (best < len(heights) - 1)
    k, c = best[inner], columns[inner]
    left, right = heights[k - 1, c], heights[k + 1, c]
    bend = left - 2.0 * lowest[inner] + right
    drop = np.where(bend > 0.0, (left - right) ** 2 / np.where(bend > 0.0, 8.0 * bend, 1.0), 0.0)
    lowest[inner] -= drop
    return np.asarray(lowest)
