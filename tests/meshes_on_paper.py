"""Even meshes of surfaces whose shape is known in closed form."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from buckwright.geometry.mesh import boundary_loops
from buckwright.geometry.triangulation import triangulate_region

Array = NDArray[np.float64]
Index = NDArray[np.int64]

NO_SIDES = np.zeros((0, 2), dtype=np.int64)

MOVES: dict[str, Callable[[Array], Array]] = {
    "turn": lambda p: p @ Rotation.from_rotvec([0.4, -0.7, 1.1]).as_matrix().T,
    "shift": lambda p: p + np.array([310.0, -52.0, 17.0]),
    "mirror": lambda p: p * np.array([1.0, -1.0, 1.0]),
    "scale": lambda p: 2.5 * p,
}


def evenly(length: float) -> Callable[[Array], Array]:
    return lambda at: np.full(len(at), length)


def plane_disc(radius: float, step: float) -> tuple[Array, Index]:
    count = round(2.0 * np.pi * radius / step)
    turn = 2.0 * np.pi * np.arange(count) / count
    rim = radius * np.column_stack([np.cos(turn), np.sin(turn)])
    return triangulate_region(rim, np.arange(count), NO_SIDES, evenly(step))


def plane_rectangle(length: float, width: float, step: float) -> tuple[Array, Index]:
    """Corner at the origin."""
    u = np.linspace(0.0, length, round(length / step) + 1)
    v = np.linspace(0.0, width, round(width / step) + 1)
    rim = np.vstack(
        [
            np.column_stack([u[:-1], np.zeros(len(u) - 1)]),
            np.column_stack([np.full(len(v) - 1, length), v[:-1]]),
            np.column_stack([u[:0:-1], np.full(len(u) - 1, width)]),
            np.column_stack([np.zeros(len(v) - 1), v[:0:-1]]),
        ]
    )
    return triangulate_region(rim, np.arange(len(rim)), NO_SIDES, evenly(step))


def sphere_cap(radius: float, half_angle: float, step: float) -> tuple[Array, Index]:
    """Round the north pole, by the map that keeps lengths along meridians."""
    flat, triangles = plane_disc(radius * half_angle, step)
    polar = np.linalg.norm(flat, axis=1) / radius
    turn = np.arctan2(flat[:, 1], flat[:, 0])
    s = np.sin(polar)
    points = radius * np.column_stack([s * np.cos(turn), s * np.sin(turn), np.cos(polar)])
    return points, triangles


def over_rectangle(
    surface: Callable[[Array, Array], Array], length: float, width: float, step: float
) -> tuple[Array, Index, Array]:
    """Vertices, triangles, and the chart (k, 2), centred: surface(u, v) of it."""
    flat, triangles = plane_rectangle(length, width, step)
    flat = flat - np.array([0.5 * length, 0.5 * width])
    return surface(flat[:, 0], flat[:, 1]), triangles, flat


def inner_vertices(triangles: Index, count: int, rings: int = 1) -> NDArray[np.bool_]:
    """Vertices more than `rings` edges away from the rim."""
    rim = np.zeros(count, dtype=bool)
    for loop in boundary_loops(triangles):
        rim[loop] = True
    for _ in range(rings - 1):
        touched = rim[triangles].any(axis=1)
        rim[triangles[touched].ravel()] = True
    return ~rim
