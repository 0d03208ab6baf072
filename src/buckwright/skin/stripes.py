"""Stripes: lights mirrored in the skin, and shades, as lines on its mesh."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.mesh import level_lines
from buckwright.model.crowns import StripeLine

__all__ = ["isophotes", "mirror_angles", "reflection_stripes"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def mirror_angles(normals: Array, *, look: Array, tubes: Array) -> Array:
    """(n,) radians round the tubes' direction at which the mirrored line of sight meets them.

    `normals` (n, 3) of the skin, `look` (3,) the way in which the viewer looks, from far away,
    `tubes` (3,) the direction of a row of straight parallel lights, far away too. Nothing where
    the viewer sees what hangs beside himself; with the right hand round the tubes it grows.
    Raises ValueError if the viewer looks along the tubes.
    """
    across, back = _mirrored(normals, look, tubes)
    return np.asarray(np.arctan2(across, back))


def reflection_stripes(
    vertices: Array, triangles: Index, normals: Array, *, look: Array, tubes: Array, edges: int
) -> tuple[StripeLine, ...]:
    """Edges of mirrored light tubes, so many evenly round the skin.

    A fair skin bends them smoothly; they break at a crease, and kink where the curvature jumps.
    What the viewer cannot see is drawn too. `normals` must be those of the smooth surface. Raises
    ValueError for fewer than two edges, or if the viewer looks along the tubes.
    """
    if edges < 2:
        message = "stripes need two edges at least"
        raise ValueError(message)
    across, back = _mirrored(normals, look, tubes)
    found: list[StripeLine] = []
    for level in np.arange(edges) * (2.0 * np.pi / edges) - np.pi:
        # Not the angle is followed, which jumps, but by how much the ray misses the plane of the
        # light: that stays smooth even where the ray runs along the lights.
        miss = across * np.cos(level) - back * np.sin(level)
        towards = across * np.sin(level) + back * np.cos(level)
        facing = triangles[towards[triangles].sum(axis=1) > 0.0]
        found += _lines(vertices, facing, miss, float(level))
    return tuple(found)


def _mirrored(normals: Array, look: Array, tubes: Array) -> tuple[Array, Array]:
    """Components (n,) of the mirrored ray across the tubes: to the side, and to the viewer."""
    axis, sight = _unit(tubes), _unit(look)
    back = -(sight - (sight @ axis) * axis)
    if np.linalg.norm(back) < 1e-9:
        message = "the viewer must not look along the lights"
        raise ValueError(message)
    back = _unit(back)
    ray = sight - 2.0 * (normals @ sight)[:, None] * normals
    return np.asarray(ray @ np.cross(axis, back)), np.asarray(ray @ back)


def isophotes(
    vertices: Array, triangles: Index, normals: Array, *, light: Array, count: int
) -> tuple[StripeLine, ...]:
    """Lines of even shade under light from far away: so many, evenly in angle over half a turn.

    `light` (3,) points to the light. Raises ValueError for less than one line.
    """
    if count < 1:
        message = "there must be one shade at least"
        raise ValueError(message)
    shade = normals @ _unit(light)
    found: list[StripeLine] = []
    for level in (np.arange(count) + 1.0) * np.pi / (count + 1.0):
        found += _lines(vertices, triangles, shade - np.cos(level), float(level))
    return tuple(found)


def _lines(vertices: Array, triangles: Index, heights: Array, level: float) -> list[StripeLine]:
    if not len(triangles):
        return []
    lines = []
    for ends, part, closed in level_lines(triangles, heights):
        low, high = vertices[ends[:, 0]], vertices[ends[:, 1]]
        points = low + part[:, None] * (high - low)
        lines.append(StripeLine(level=level, points=points, closed=closed))
    return lines


def _unit(vector: Array) -> Array:
    vector = np.asarray(vector, dtype=np.float64)
    return np.asarray(vector / np.linalg.norm(vector))
