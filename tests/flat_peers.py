"""Flat shapes by libigl (MPL 2), to hold ours against; all from one conformal start."""

import igl
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def conformal(vertices: Array, triangles: Index) -> Array:
    """Least squares conformal map, scaled to the mesh's area."""
    rim = igl.boundary_loop(triangles)
    held = np.array([rim[0], rim[len(rim) // 2]])
    size = float(np.ptp(vertices, axis=0).max())
    flat = igl.lscm(vertices, triangles, held, np.array([[0.0, 0.0], [size, 0.0]]))[0]
    a, b, c = (flat[triangles[:, k]] for k in range(3))
    u, v = b - a, c - a
    flat_area = 0.5 * float((u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]).sum())
    area = 0.5 * float(igl.doublearea(vertices, triangles).sum())
    return np.asarray(flat * np.sqrt(area / flat_area))


def rigid(vertices: Array, triangles: Index, start: Array, rounds: int) -> Array:
    """As rigid as possible, `rounds` local and global steps; one vertex is held."""
    data = igl.ARAPData()
    data.max_iter = rounds
    igl.arap_precomputation(vertices, triangles, 2, np.array([0], dtype=np.int32), data)
    return np.asarray(igl.arap_solve(start[:1], data, start))


def injective(vertices: Array, triangles: Index, start: Array, rounds: int) -> Array:
    """Scalable locally injective mapping with its logarithmic energy, nothing held."""
    data = igl.slim_precompute(
        np.asfortranarray(vertices),
        np.asfortranarray(triangles.astype(np.int32)),
        np.asfortranarray(start),
        igl.MappingEnergyType.LOG_ARAP,
        np.zeros(0, dtype=np.int32),
        np.asfortranarray(np.zeros((0, 2))),
        0.0,
    )
    return np.asarray(igl.slim_solve(data, rounds)[:, :2])
