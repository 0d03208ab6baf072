"""Regions of exact bodies, with dips planted in them."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from buckwright.geometry.mesh import boundary_loops, triangle_normals, vertex_normals
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, SkinRegion
from meshes_on_paper import over_rectangle

Array = NDArray[np.float64]
Surface = Callable[[Array, Array], Array]

NO_LINES = LineNetwork(lines=(), crossings=())


def ellipsoid(a: float, b: float, c: float) -> Surface:
    return lambda u, v: np.column_stack([u, v, c * np.sqrt(1.0 - (u / a) ** 2 - (v / b) ** 2)])


def ring(out: float, tube: float) -> Surface:
    """The outside of a torus: u along the crown of radius `out`, v across it."""

    def surface(u: Array, v: Array) -> Array:
        away = out + tube * (np.cos(v / tube) - 1.0)
        return np.column_stack(
            [away * np.sin(u / out), tube * np.sin(v / tube), away * np.cos(u / out)]
        )

    return surface


def vault(radius: float) -> Surface:
    return lambda u, v: np.column_stack(
        [u, radius * np.sin(v / radius), radius * np.cos(v / radius)]
    )


def board(u: Array, v: Array) -> Array:
    return np.column_stack([u, v, 0.0 * u])


def cab(u: Array, v: Array) -> Array:
    """A van's body: |y / 640|^4 + |z / 700|^4 = 1, narrower to its ends; v round the section."""
    turn = np.linspace(-0.45 * np.pi, 0.45 * np.pi, 4001)
    size = (np.sin(turn) ** 4 + np.cos(turn) ** 4) ** 0.25
    y, z = 640.0 * np.sin(turn) / size, 700.0 * np.cos(turn) / size
    steps = np.hypot(np.diff(y), np.diff(z))
    along = np.concatenate([[0.0], np.cumsum(steps)])
    at = v + 0.5 * along[-1]
    less = 1.0 - (u / 4000.0) ** 2
    return np.column_stack([u, CubicSpline(along, y)(at) * less, CubicSpline(along, z)(at) * less])


BODIES: dict[str, tuple[Surface, float, float]] = {
    "ellipsoid": (ellipsoid(1500.0, 900.0, 700.0), 1300.0, 800.0),
    "small ellipsoid": (ellipsoid(900.0, 500.0, 350.0), 600.0, 360.0),
    "wing": (ring(480.0, 235.0), 900.0, 500.0),
    "vault": (vault(300.0), 800.0, 600.0),
    "board": (board, 800.0, 600.0),
    "cab": (cab, 900.0, 1900.0),
}
"""Surface, length and width of each."""


def region_of(surface: Surface, length: float, width: float, step: float) -> SkinRegion:
    points, triangles, flat = over_rectangle(surface, length, width, step)
    if triangle_normals(points, triangles)[:, 2].sum() < 0.0:
        triangles = triangles[:, ::-1]
    (rim,) = boundary_loops(triangles)
    return SkinRegion(
        name="body",
        side="whole",
        vertices=points,
        triangles=triangles,
        chart=flat,
        boundary=(LineTrack(line="rim", vertices=rim, closed=True),),
        inner=(),
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )


def dip(away: Array, depth: float, width: float) -> Array:
    """A raised cosine upside down: `width` across, smooth at its edge."""
    return np.where(
        away < 0.5 * width, -0.5 * depth * (1.0 + np.cos(2.0 * np.pi * away / width)), 0.0
    )


def dipped(region: SkinRegion, middle: Array, depth: float, width: float) -> SkinRegion:
    """The region pushed in round a point, along its normals."""
    away = np.linalg.norm(region.vertices - middle, axis=1)
    normals = vertex_normals(region.vertices, region.triangles)
    moved = region.vertices + dip(away, depth, width)[:, None] * normals
    return region.model_copy(update={"vertices": moved})


def nearest(region: SkinRegion, u: float, v: float) -> Array:
    """The vertex of the region nearest to a place of its chart."""
    gap = np.linalg.norm(region.chart - [u, v], axis=1)
    return np.array(region.vertices[int(np.argmin(gap))])
