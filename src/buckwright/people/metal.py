"""How near the metal comes to a wheel on its lock and springs."""

import numpy as np
from numpy.typing import NDArray

from buckwright.model.package import Clearance, SweptWheel
from buckwright.model.skin import Skin
from buckwright.people.swept import clearance_to_swept

__all__ = ["wheel_clearance"]

Array = NDArray[np.float64]
NEAR = 200.0
"""mm within which triangles are looked at finely."""
FINE = 6
"""Parts into which a near triangle's sides are cut: 25 mm become 4 mm."""


def wheel_clearance(wheel: SweptWheel, skin: Skin, *, wanted: float) -> Clearance:
    """The least distance from the skin, wings included, to all the room that the wheel sweeps.

    A region of one side stands for its mirror image. The skin is taken at points 4 mm apart, so
    that over a flat of metal the figure may be too large by d - sqrt(d^2 - 8), d the distance.
    """
    best, place, name = np.inf, np.zeros(3), ""
    for region in skin.regions:
        vertices = np.asarray(region.vertices, dtype=np.float64)
        if region.side != "whole" and (vertices[:, 1].mean() < 0.0) != (wheel.centre[1] < 0.0):
            vertices = vertices * np.array([1.0, -1.0, 1.0])
        points = _near_points(wheel, vertices, np.asarray(region.triangles))
        away = clearance_to_swept(wheel, points)
        k = int(np.argmin(away))
        if away[k] < best:
            best, place, name = float(away[k]), points[k], region.name
    return Clearance(
        name=wheel.name,
        value=best,
        wanted=wanted,
        at=(float(place[0]), float(place[1]), float(place[2])),
        words=f"from the tyre, {'on its lock and springs' if wheel.lock else 'on its springs'}, "
        f"to the {name}",
    )


def _near_points(wheel: SweptWheel, vertices: Array, triangles: NDArray[np.int64]) -> Array:
    """Points all over the triangles near the wheel; the bare vertices if none is near."""
    reach = np.hypot(wheel.radius + wheel.kingpin, 0.5 * wheel.width) + NEAR
    off = vertices - np.array(wheel.centre)
    over = np.maximum(np.maximum(off[:, 2] - wheel.bump, -wheel.rebound - off[:, 2]), 0.0)
    near = (np.hypot(off[:, 0], off[:, 1]) < reach) & (over < wheel.radius + NEAR)
    corners = vertices[triangles[near[triangles].any(axis=1)]]
    weights = np.array([(i, j, FINE - i - j) for i in range(FINE + 1) for j in range(FINE + 1 - i)])
    inside = np.einsum("kc,mcd->mkd", weights / FINE, corners).reshape(-1, 3)
    return inside if len(inside) else vertices
