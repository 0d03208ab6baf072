"""Clouds of points on surfaces that are known exactly."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

RADIUS = 500.0


def ball_cloud(count: int, *, reach: float = 0.6, noise: float = 0.0, seed: int = 0) -> Array:
    """Random points of a ball about the origin within `reach` rad of its top."""
    rng = np.random.default_rng(seed)
    z = 1.0 - (1.0 - np.cos(reach)) * rng.random(count)
    turn, s = 2.0 * np.pi * rng.random(count), np.sqrt(1.0 - z * z)
    way = np.column_stack([s * np.cos(turn), s * np.sin(turn), z])
    return np.asarray(way * (RADIUS + noise * rng.normal(size=count))[:, None])


def pipe_cloud(count: int, *, reach: float, noise: float = 0.0, seed: int = 0) -> Array:
    """Random points of a pipe of radius 300 along x over `reach` rad."""
    rng = np.random.default_rng(seed)
    turn, x = reach * rng.random(count), 800.0 * rng.random(count)
    out = 300.0 + noise * rng.normal(size=count)
    return np.column_stack([x, out * np.cos(turn), out * np.sin(turn)])
