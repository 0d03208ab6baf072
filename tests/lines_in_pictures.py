"""Grey pictures of tapes and edges whose true place is known, with the faults of a camera."""

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Away = Callable[[Array, Array], Array]
"""Signed px from the line, of x and y."""

DARK, LIGHT = 0.1, 0.6
FINE = 6
"""Samples along each side of a pixel."""


def straight(through: tuple[float, float], angle: float) -> Away:
    """A line through a point; angle in rad, y down."""
    across = (-np.sin(angle), np.cos(angle))
    return lambda x, y: (x - through[0]) * across[0] + (y - through[1]) * across[1]


def circle(centre: tuple[float, float], radius: float) -> Away:
    return lambda x, y: np.hypot(x - centre[0], y - centre[1]) - radius


def photographed(
    away: Away,
    *,
    size: tuple[int, int],
    tape: float | None = None,
    noise: float = 2.0,
    seed: int = 0,
    contrast: float = 1.0,
) -> NDArray[np.uint8]:
    """A picture (columns, rows) of the line, a tape that many px wide or an edge.

    Light is averaged over each pixel, blurred by 0.7 px, stored as its 1 / 2.2th power, with
    noise in grey values.
    """
    offset = (np.arange(FINE) + 0.5) / FINE - 0.5
    x = (np.arange(size[0])[:, None] + offset).ravel()
    y = (np.arange(size[1])[:, None] + offset).ravel()
    gap = away(*np.meshgrid(x, y))
    dark = gap < 0.0 if tape is None else np.abs(gap) < 0.5 * tape
    light = np.where(dark, LIGHT + contrast * (DARK - LIGHT), LIGHT)
    light = light.reshape(size[1], FINE, size[0], FINE).mean(axis=(1, 3))
    light = cv2.GaussianBlur(light, (0, 0), 0.7)
    grey = 255.0 * light ** (1.0 / 2.2)
    grey += np.random.default_rng(seed).normal(0.0, noise, grey.shape)
    return np.clip(np.round(grey), 0, 255).astype(np.uint8)


def clicks_near(points: Array, *, by: float, seed: int) -> Array:
    """The points (n, 2) moved across their course by up to `by` px, as a hand would set them."""
    along = np.gradient(points, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    across = np.column_stack([-along[:, 1], along[:, 0]])
    random = np.random.default_rng(seed)
    return points + random.uniform(-by, by, len(points))[:, None] * across
