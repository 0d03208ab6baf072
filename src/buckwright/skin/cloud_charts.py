"""Flat charts of a cloud over which it is single-valued: its best plane, or a cylinder unrolled."""

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from buckwright.errors import JobError

__all__ = ["chart_of"]

Array = NDArray[np.float64]

STEEP = 0.17
"""Sine of ten degrees: a sheet that is nearer to standing on its chart is not laid on it."""
FEW = 0.005
"""Share of points that may be steeper: rims of scans are rough."""
GAP = np.radians(25.0)
"""Opening that a cylinder must have to be unrolled."""


def chart_of(name: str, points: Array, normals: Array) -> Array:
    """(n, 2) mm of the points (n, 3) on a flat chart; normals (n, 3) of either sense.

    Raises JobError where neither plane nor cylinder will do.
    """
    middle = points.mean(axis=0)
    _, _, frame = np.linalg.svd(points - middle, full_matrices=False)
    if np.mean(np.abs(normals @ frame[2]) < STEEP) <= FEW:
        return np.asarray((points - middle) @ frame[:2].T)
    unrolled = _unrolled(points - middle, normals)
    if unrolled is None:
        raise JobError(
            f"The cloud '{name}' turns under itself, so it is no sheet over a plane or cylinder.",
            "Mesh it in the scanner's program first, and take the mesh.",
        )
    return unrolled


def _unrolled(points: Array, normals: Array) -> Array | None:
    """The chart of a cylinder along the direction that the normals have least of."""
    _, frame = np.linalg.eigh(normals.T @ normals)
    across, along = frame[:, 1:], points @ frame[:, 0]
    flat = points @ across
    start = np.concatenate([flat.mean(axis=0), [float(np.std(flat)) * np.sqrt(2.0)]])

    def gaps(unknown: Array) -> Array:
        return np.asarray(np.hypot(*(flat - unknown[:2]).T) - unknown[2])

    centre = least_squares(gaps, start, loss="soft_l1", f_scale=0.1 * start[2]).x
    arm = flat - centre[:2]
    radius = np.hypot(*arm.T)
    outward = arm / np.maximum(radius, 1e-12)[:, None]
    facing = np.abs(np.einsum("ni,ni->n", normals @ across, outward))
    if np.mean(facing < STEEP) > FEW:
        return None
    angle = np.arctan2(arm[:, 1], arm[:, 0])
    order = np.sort(angle)
    steps = np.diff(np.append(order, order[0] + 2.0 * np.pi))
    widest = int(np.argmax(steps))
    if steps[widest] < GAP:
        return None
    cut = order[widest] + 0.5 * steps[widest]
    turned = np.mod(angle - cut, 2.0 * np.pi)
    return np.column_stack([turned * float(np.median(radius)), along])
