"""A panel whose surface is known on paper, and what a survey of it would read.

The panel is z = x^2 / 1800 + y^2 / 700 + x^3 / 2e6 over an oval, crown up (z counts down), with
one line along it and one across.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Delaunay

from buckwright.model.checking import Survey
from buckwright.model.skin import LineTrack, Skin, SkinRegion

__all__ = ["LENGTH", "WIDTH", "bumped", "height", "normal", "panel", "spread", "survey"]

Array = NDArray[np.float64]

LENGTH, WIDTH = 380.0, 160.0
"""Half axes of the oval, mm."""


def height(x: Array, y: Array) -> Array:
    """z of the panel."""
    return -(x**2 / 1800.0 + y**2 / 700.0 + x**3 / 2e6)


def normal(x: Array, y: Array) -> Array:
    """Unit normals (n, 3), upward."""
    up = np.column_stack([x / 900.0 + 3.0 * x**2 / 2e6, y / 350.0, np.ones(len(x))])
    return up / np.linalg.norm(up, axis=1, keepdims=True)


def panel(spacing: float = 16.0, side: str = "left") -> Skin:
    """The skin with this one region, of near-equilateral triangles."""
    rows = np.arange(-WIDTH, WIDTH + 1.0, spacing * np.sqrt(0.75))
    rows -= rows[np.argmin(np.abs(rows))]
    columns = np.arange(-LENGTH, LENGTH + 1.0, spacing)
    columns -= columns[np.argmin(np.abs(columns))]
    flat = np.vstack(
        [np.column_stack([columns + 0.5 * spacing * (k % 2), np.full(len(columns), y)])
         for k, y in enumerate(rows, start=int(np.argmin(np.abs(rows))) % 2)]
    )  # fmt: skip
    angle = np.linspace(0.0, 2.0 * np.pi, int(2.0 * np.pi * LENGTH / spacing * 0.75))[:-1]
    rim = np.column_stack([LENGTH * np.cos(angle), WIDTH * np.sin(angle)])
    inside = (flat[:, 0] / (LENGTH - 0.6 * spacing)) ** 2
    inside += (flat[:, 1] / (WIDTH - 0.6 * spacing)) ** 2
    flat = np.vstack([flat[inside < 1.0], rim])
    vertices = np.column_stack([flat, height(*flat.T)])
    triangles = Delaunay(flat).simplices.astype(np.int64)
    a, b, c = (flat[triangles[:, k]] for k in range(3))
    area = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    triangles = np.where((area < 0.0)[:, None], triangles[:, ::-1], triangles)
    triangles = triangles[np.abs(area) > 1e-6 * spacing**2]
    across = np.flatnonzero(np.abs(flat[:, 0]) < 0.51 * spacing)
    along = np.flatnonzero(np.abs(flat[:, 1]) < 1e-9)
    region = SkinRegion(
        name="lid",
        side=side,
        vertices=vertices,
        triangles=triangles,
        chart=flat,
        boundary=(),
        inner=(
            _track("lid centre line", along[np.argsort(flat[along, 0])]),
            _track("lid section", across[np.argsort(flat[across, 1])]),
        ),
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )
    return Skin(regions=(region,))


def _track(line: str, vertices: NDArray[np.int64]) -> LineTrack:
    return LineTrack(line=line, vertices=vertices, closed=False)


def spread(count: int, seed: int) -> tuple[Array, Array]:
    """x and y (count,) scattered evenly over the oval."""
    random = np.random.default_rng(seed)
    radius, angle = np.sqrt(random.uniform(0.0, 0.96, count)), random.uniform(0.0, 2 * np.pi, count)
    return LENGTH * radius * np.cos(angle), WIDTH * radius * np.sin(angle)


def bumped(x: Array, y: Array, at: tuple[float, float], peak: float, radius: float) -> Array:
    """Height (n,) of a smooth bump: peak * (1 - (r / radius)^2)^2 within the radius."""
    share = np.hypot(x - at[0], y - at[1]) / radius
    return peak * np.where(share < 1.0, (1.0 - np.minimum(share, 1.0) ** 2) ** 2, 0.0)


def survey(points: Array, sigma: float = 0.2, side: str = "left") -> Survey:
    """The points as a survey of the lid."""
    return Survey(name="lid as built", region="lid", points=points, sigma=sigma, side=side)
