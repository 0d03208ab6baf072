"""Round tubes swept along polylines, with frames that do not twist."""

import numpy as np
from numpy.typing import NDArray

__all__ = ["minimising_frames", "sweep_tube"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def _unit(vectors: Array) -> Array:
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))


def _tangents(axis: Array, *, closed: bool) -> Array:
    """(n, 3) unit tangents: halfway between the sides that meet at each point."""
    before = _unit(axis - np.roll(axis, 1, axis=0))
    after = np.roll(before, -1, axis=0)
    if not closed:
        before[0], after[-1] = after[0], before[-1]
    return _unit(before + after)


def minimising_frames(axis: Array, *, closed: bool) -> tuple[Array, Array]:
    """Tangents (n, 3) and, across them, unit vectors (n, 3) that turn no more than they must.

    Round a closed axis the turn that is left over is shared out evenly. Raises ValueError for
    fewer than two points (three if closed), points that coincide with the next, or an axis that
    doubles back on itself. Reference: Wang, Juttler, Zheng and Liu, 'Computation of rotation
    minimizing frames', ACM Trans. Graph. 27 (2008), doi:10.1145/1330511.1330513.
    """
    steps = np.linalg.norm(np.roll(axis, -1, axis=0) - axis, axis=1)
    steps = steps if closed else steps[:-1]
    if len(steps) < (3 if closed else 1) or not np.all(steps > 0.0):
        message = "an axis needs points that differ from the next, two at least, three if closed"
        raise ValueError(message)
    with np.errstate(invalid="ignore"):
        tangents = _tangents(axis, closed=closed)
    if not np.all(np.isfinite(tangents)):
        message = "the axis doubles back on itself"
        raise ValueError(message)
    across = np.empty_like(axis)
    first = np.eye(3)[int(np.argmin(np.abs(tangents[0])))]
    across[0] = _unit(first - (first @ tangents[0]) * tangents[0])
    count = len(axis)
    for k in range(count if closed else count - 1):
        following = (k + 1) % count
        turned = _carried(axis[[k, following]], tangents[[k, following]], across[k])
        if following:
            across[following] = turned
    if closed:
        across = _untwisted(tangents, across, turned)
    return tangents, across


def _carried(points: Array, tangents: Array, vector: Array) -> Array:
    """A vector across the first tangent carried to the second by two reflections."""
    side = points[1] - points[0]
    scale = 2.0 / (side @ side)
    vector = vector - scale * (side @ vector) * side
    mirrored = tangents[0] - scale * (side @ tangents[0]) * side
    between = tangents[1] - mirrored
    square = between @ between
    if square > 0.0:
        vector = vector - 2.0 / square * (between @ vector) * between
    return _unit(vector - (vector @ tangents[1]) * tangents[1])


def _untwisted(tangents: Array, across: Array, last: Array) -> Array:
    """Frames of a closed axis turned evenly so that the last one meets the first."""
    other = np.cross(tangents[0], across[0])
    left_over = np.arctan2(last @ other, last @ across[0])
    angle = -left_over * np.arange(len(across)) / len(across)
    sideways = np.cross(tangents, across)
    return np.asarray(np.cos(angle)[:, None] * across + np.sin(angle)[:, None] * sideways)


def sweep_tube(
    axis: Array, diameter: float, *, closed: bool = False, sides: int = 10
) -> tuple[Array, Index]:
    """A watertight tube round an axis (n, 3): vertices and triangles, outside counter-clockwise.

    Its section is a polygon of `sides` corners that has the circle's area; the ends of an open
    tube are closed flat.
    """
    tangents, across = minimising_frames(axis, closed=closed)
    turn = 2.0 * np.pi * np.arange(sides) / sides
    radius = 0.5 * diameter * np.sqrt(2.0 * np.pi / (sides * np.sin(2.0 * np.pi / sides)))
    up = np.cross(tangents, across)
    ring = np.cos(turn)[None, :, None] * across[:, None] + np.sin(turn)[None, :, None] * up[:, None]
    vertices = (axis[:, None] + radius * ring).reshape(-1, 3)
    count = len(axis)
    number = np.arange(count * sides).reshape(count, sides)
    a = number if closed else number[:-1]
    c = np.roll(number, -1, axis=0) if closed else number[1:]
    b, d = np.roll(a, -1, axis=1), np.roll(c, -1, axis=1)
    triangles = [
        np.stack([a, b, d], axis=-1).reshape(-1, 3),
        np.stack([a, d, c], axis=-1).reshape(-1, 3),
    ]
    if not closed:
        fan = np.arange(1, sides - 1)
        triangles.append(np.column_stack([0 * fan, fan + 1, fan]))
        triangles.append((count - 1) * sides + np.column_stack([0 * fan, fan, fan + 1]))
    return vertices, np.vstack(triangles).astype(np.int64)
