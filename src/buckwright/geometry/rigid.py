"""The turn and shift that bring points upon others best.

Least squares by the singular values of the covariance: W. Kabsch, 'A solution for the best rotation
to relate two sets of vectors', Acta Crystallographica A32 (1976), doi:10.1107/S0567739476001873.
"""

import numpy as np
from numpy.typing import NDArray

__all__ = ["fit_rigid"]

Array = NDArray[np.float64]


def fit_rigid(source: Array, target: Array) -> tuple[Array, Array]:
    """Rotation (3, 3) and translation (3,): source @ rotation.T + translation lies on the target.

    Parameters: source and target (n, 3), n of three at least and not on one line.
    Raises ValueError for others.
    """
    if source.shape != target.shape or source.ndim != 2 or len(source) < 3:
        message = "three points at least in both frames"
        raise ValueError(message)
    middle, goal = source.mean(axis=0), target.mean(axis=0)
    left, size, right = np.linalg.svd((target - goal).T @ (source - middle))
    if size[1] <= 1e-9 * max(float(size[0]), 1e-300):
        message = "points on one line determine no turn"
        raise ValueError(message)
    sense = np.array([1.0, 1.0, np.sign(np.linalg.det(left @ right))])
    rotation = (left * sense) @ right
    return rotation, goal - rotation @ middle
