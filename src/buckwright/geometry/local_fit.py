"""Points against the smooth patch that their neighbours make.

Through the neighbours of each point goes a plane (their main directions), over it a quadric by
least squares. The gap of a point from the quadric without the point itself is what tells strays
from noise: residual / (1 - leverage), the 'deleted residual' of regression.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

__all__ = ["LocalFit", "fit_locally"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

CHUNK = 20_000
RIDGE = 1e-9


@dataclass(frozen=True, eq=False, slots=True)
class LocalFit:
    """What a point's surroundings say."""

    normal: Array
    """(n, 3) unit, of either sense."""
    residual: Array
    """(n,) along the normal, of the point from the patch that it takes part in."""
    leverage: Array
    """(n,) of the point in its own patch."""
    near: Index
    """(n, k) its neighbours, itself first."""
    apart: Array
    """(n,) mean distance of its neighbours."""

    @property
    def deleted(self) -> Array:
        """(n,) gap from the patch that the others alone make."""
        return np.asarray(self.residual / np.maximum(1.0 - self.leverage, 0.05))


def fit_locally(points: Array, neighbours: int = 24) -> LocalFit:
    """The patch round each of the points (n, 3). Raises ValueError for fewer than `neighbours`."""
    if len(points) <= neighbours:
        message = "a patch needs more points than it has neighbours"
        raise ValueError(message)
    far, near = cKDTree(points).query(points, k=neighbours + 1)
    parts = [_patches(points[near[a : a + CHUNK]]) for a in range(0, len(points), CHUNK)]
    normal, residual, leverage = (np.concatenate(part) for part in zip(*parts, strict=True))
    return LocalFit(normal, residual, leverage, near, far[:, 1:].mean(axis=1))


def _patches(group: Array) -> tuple[Array, Array, Array]:
    """Normals, residuals and leverages of the first point of each group (m, k, 3)."""
    arm = group - group[:, 1:].mean(axis=1, keepdims=True)
    spread = np.einsum("mki,mkj->mij", arm[:, 1:], arm[:, 1:])
    _, frame = np.linalg.eigh(spread)
    local = np.einsum("mki,mij->mkj", arm, frame)
    size = np.sqrt(np.mean(local[..., 1:] ** 2, axis=(1, 2)))[:, None] + 1e-300
    u, v, w = local[..., 2] / size, local[..., 1] / size, local[..., 0]
    basis = np.stack([np.ones_like(u), u, v, u * u, u * v, v * v], axis=-1)
    # Neighbours count less the farther they are, so that a patch is about its own point.
    reach = np.hypot(u - u[:, :1], v - v[:, :1])
    weight = (1.0 - (reach / (1.05 * reach.max(axis=1, keepdims=True) + 1e-300)) ** 2) ** 2
    square = np.einsum("mk,mki,mkj->mij", weight, basis, basis)
    square += RIDGE * np.trace(square, axis1=1, axis2=2)[:, None, None] * np.eye(6)
    right = np.einsum("mk,mki,mk->mi", weight, basis, w)
    own = basis[:, 0]
    coefficients = np.linalg.solve(square, right[..., None])[..., 0]
    leverage = np.einsum("mi,mi->m", own, np.linalg.solve(square, own[..., None])[..., 0])
    residual = w[:, 0] - np.einsum("mi,mi->m", own, coefficients)
    return frame[..., 0], residual, leverage * weight[:, 0]
