"""The room a wheel takes while it steers and springs.

The tyre is a plain cylinder. It turns about an upright axis inboard of it and moves straight up
and down; every place between the stops counts.
"""

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.ops import unary_union

from buckwright.model.package import SweptWheel

__all__ = ["clearance_to_swept", "make_swept", "swept_plan", "tyre_mesh"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

ANGLES = 65
"""Steered places looked at before the nearest is refined; odd, so that straight ahead is one."""
PLAN_STEP = 0.02
"""rad between the places whose union is the plan: arcs are 0.02 mm off at most."""


def make_swept(
    name: str,
    centre: Array,
    *,
    radius: float,
    width: float,
    lock: float,
    kingpin: float,
    bump: float,
    rebound: float,
) -> SweptWheel:
    """The swept wheel with its volume; `lock` 0 for an axle that does not steer."""
    wheel = SweptWheel(
        name=name,
        centre=(float(centre[0]), float(centre[1]), float(centre[2])),
        radius=radius,
        width=width,
        lock=lock,
        kingpin=kingpin,
        bump=bump,
        rebound=rebound,
        volume=0.0,
    )
    return wheel.model_copy(update={"volume": _volume(wheel)})


def swept_plan(wheel: SweptWheel, z: float) -> Array:
    """(n, 2) outline in plan (x, y) of the swept room at height z; empty above and below it."""
    half = _half_chord(wheel, z)
    return np.zeros((0, 2)) if half <= 0.0 else _turned(wheel, half)


def clearance_to_swept(wheel: SweptWheel, points: Array) -> Array:
    """Distances (n,) from points (n, 3) to the swept room, mm; negative inside it.

    The height is exact; the steered angle is found to 1e-4 of the lock. Inside, the figure is
    how deep the point is in the tyre at the worst place between the stops.
    """
    angles = np.linspace(-wheel.lock, wheel.lock, ANGLES if wheel.lock > 0.0 else 1)
    distance = _distances(wheel, points, np.broadcast_to(angles, (len(points), len(angles))))
    best = angles[np.argmin(distance, axis=1)]
    step = angles[1] - angles[0] if len(angles) > 1 else 0.0
    for _ in range(3 if step else 0):
        tried = np.clip(best[:, None] + step * np.linspace(-1.0, 1.0, 17), -wheel.lock, wheel.lock)
        distance = _distances(wheel, points, tried)
        best = tried[np.arange(len(points)), np.argmin(distance, axis=1)]
        step /= 8.0
    return np.asarray(distance.min(axis=1))


def tyre_mesh(wheel: SweptWheel, *, angle: float, lift: float) -> tuple[Array, Index]:
    """The tyre at one place: vertices (n, 3) and triangles (m, 3), outside counter-clockwise."""
    turn = np.linspace(0.0, 2.0 * np.pi, 33)[:-1]
    ring = np.column_stack(
        [wheel.radius * np.cos(turn), np.zeros_like(turn), wheel.radius * np.sin(turn)]
    )
    across = np.array([0.0, 0.5 * wheel.width, 0.0])
    local = np.vstack([ring - across, ring + across, [-across], [across]])
    n = len(turn)
    k, after = np.arange(n), np.roll(np.arange(n), -1)
    first, last = np.full(n, 2 * n), np.full(n, 2 * n + 1)
    triangles = np.vstack(
        [
            np.column_stack([k, after, k + n]),
            np.column_stack([after, after + n, k + n]),
            np.column_stack([first, after, k]),
            np.column_stack([last, k + n, after + n]),
        ]
    )
    return _placed(wheel, local, angle, lift), triangles[:, ::-1].astype(np.int64)


def _placed(wheel: SweptWheel, local: Array, angle: float, lift: float) -> Array:
    """Points about the tyre's centre, steered and lifted, in vehicle axes."""
    out = _outward(wheel)
    cos, sin = np.cos(angle), np.sin(angle)
    x, y = local[:, 0], local[:, 1] + out * wheel.kingpin
    turned = np.column_stack([cos * x - sin * y, sin * x + cos * y, local[:, 2] + lift])
    return np.asarray(turned + np.array(wheel.centre) - [0.0, out * wheel.kingpin, 0.0])


def _outward(wheel: SweptWheel) -> float:
    return -1.0 if wheel.centre[1] < 0.0 else 1.0


def _distances(wheel: SweptWheel, points: Array, angles: Array) -> Array:
    """(n, k) signed distances of points (n, 3) to the tyre steered by angles (n, k)."""
    out = _outward(wheel)
    x, y, z = (points - np.array(wheel.centre)).T
    y = y + out * wheel.kingpin
    up = z - np.clip(z, -wheel.rebound, wheel.bump)
    cos, sin = np.cos(angles), np.sin(angles)
    along = cos * x[:, None] + sin * y[:, None]
    across = -sin * x[:, None] + cos * y[:, None] - out * wheel.kingpin
    radial = np.hypot(along, up[:, None]) - wheel.radius
    axial = np.abs(across) - 0.5 * wheel.width
    outside = np.hypot(np.maximum(radial, 0.0), np.maximum(axial, 0.0))
    return np.asarray(outside + np.minimum(np.maximum(radial, axial), 0.0))


def _half_chord(wheel: SweptWheel, z: float) -> float:
    up = z - wheel.centre[2]
    up -= float(np.clip(up, -wheel.rebound, wheel.bump))
    return float(np.sqrt(max(wheel.radius**2 - up**2, 0.0)))


def _turned(wheel: SweptWheel, half: float) -> Array:
    """Union in plan of a rectangle 2 `half` long in all its steered places."""
    corners = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    local = np.column_stack(
        [corners * [half, 0.5 * wheel.width], np.zeros(4)],
    )
    count = 1 + 2 * int(np.ceil(wheel.lock / PLAN_STEP))
    places = [
        Polygon(_placed(wheel, local, angle, 0.0)[:, :2])
        for angle in np.linspace(-wheel.lock, wheel.lock, count)
    ]
    return np.asarray(unary_union(places).exterior.coords)[:-1]


def _volume(wheel: SweptWheel) -> float:
    """Areas in plan summed over the height: Gauss's rule over each half of the tyre."""
    nodes, weights = np.polynomial.legendre.leggauss(10)
    turn = 0.25 * np.pi * (nodes + 1.0)
    areas = [_area(wheel, wheel.radius * float(np.cos(t))) for t in turn]
    caps = 0.25 * np.pi * weights @ (np.array(areas) * wheel.radius * np.cos(turn))
    travel = wheel.bump + wheel.rebound
    return float(2.0 * caps + travel * _area(wheel, wheel.radius))


def _area(wheel: SweptWheel, half: float) -> float:
    return float(Polygon(_turned(wheel, half)).area)
