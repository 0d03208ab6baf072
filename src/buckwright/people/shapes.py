"""People, seats, steering, pedals, wheels and engine as plain bodies for every view."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from buckwright.model.package import Box, PackageShape, PackageSpec, ShapeKind, SweptWheel
from buckwright.people.rooms import HEAD_HALF
from buckwright.people.seating import LEG_HALF, Seated
from buckwright.people.steering import SteeringWheel
from buckwright.people.swept import swept_plan, tyre_mesh

__all__ = ["engine_shape", "person_shapes", "seat_shapes", "steering_shapes", "wheel_shapes"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
VIEWS = {"side": (0, 2), "plan": (0, 1), "rear": (1, 2)}


def person_shapes(seated: Seated) -> tuple[PackageShape, ...]:
    """Trunk, head, thighs, lower legs and forearms, one convex body each."""
    body, y, seat = seated.body, seated.y, seated.seat
    chest, hips = body["chest_depth"], body["hip_breadth"]
    shoulders, elbows = body["shoulder_breadth"], body["elbow_breadth"]
    (sx, sz), knee, (heel, floor) = seated.shoulder, seated.knee[0], seated.heel
    elbow = seat + body["elbow_height"]
    lean = (sx + 0.5 * chest - seated.back) / max(sz - seat, 1.0)
    at = seated.back + lean * body["elbow_height"] - 0.5 * chest
    trunk = np.vstack(
        [
            _slab((seated.back - chest, seated.back), (y, hips), seat),
            _slab((at - 0.5 * chest, at + 0.5 * chest), (y, max(hips, shoulders - 60.0)), elbow),
            _slab((sx - 0.5 * chest, sx + 0.5 * chest), (y, shoulders), sz - 60.0),
            _slab((sx - 0.35 * chest, sx + 0.35 * chest), (y, 0.7 * shoulders), sz),
        ]
    )
    thigh = body["thigh_clearance"]
    thighs = np.vstack([_slab((knee, seated.back), (y, hips), z) for z in (seat, seat + thigh)])
    legs = np.vstack(
        [
            _slab((knee, knee + 2.0 * LEG_HALF), (y, 0.8 * hips), seat),
            _slab((heel - LEG_HALF, heel + LEG_HALF), (y, 0.8 * hips), floor),
            _slab((seated.toe, heel), (y, 0.8 * hips), floor),
            _slab((seated.toe, seated.toe + 40.0), (y, 0.8 * hips), floor + 90.0),
        ]
    )
    back_arm = at + 60.0
    arms = np.vstack(
        [
            _slab((back_arm - body["forearm_length"], back_arm), (y, elbows), z)
            for z in (elbow, elbow + 90.0)
        ]
    )
    who = seated.name
    parts = (("trunk", trunk), ("head", _head(seated)), ("thighs", thighs), ("legs", legs))
    return tuple(_hull(f"{who}'s {part}", "person", p) for part, p in (*parts, ("forearms", arms)))


def seat_shapes(seated: Seated, spec: PackageSpec, clothing: float) -> tuple[PackageShape, ...]:
    """Cushion and back of one seat."""
    body, y, seat = seated.body, seated.y, seated.seat
    wide = max(body["hip_breadth"] + clothing, 330.0)
    long = body["buttock_popliteal"] - 50.0
    cushion = np.vstack(
        [
            _slab((seated.back - long, seated.back), (y, wide), z)
            for z in (seat - spec.seat_thickness, seat)
        ]
    )
    top = 0.95 * body["shoulder_height"]
    behind = seated.back + float(np.tan(spec.lean)) * top
    thick = 0.7 * spec.seat_thickness
    back = np.vstack(
        [
            _slab((seated.back, seated.back + thick), (y, wide), seat - spec.seat_thickness),
            _slab((behind, behind + thick), (y, wide), seat + top),
        ]
    )
    who = seated.name
    return _hull(f"{who}'s seat", "seat", cushion), _hull(f"{who}'s seat back", "seat", back)


def steering_shapes(driver: Seated, steering: SteeringWheel) -> tuple[PackageShape, ...]:
    """The steering wheel as a thick disc, and the pedals as a box before the toes."""
    square = np.cross(steering.up, [0.0, 1.0, 0.0])
    disc = np.vstack([steering.ring() + d * square for d in (-14.0, 14.0)])
    toe, floor = driver.toe, driver.heel[1]
    pedals = np.vstack(
        [
            _slab((toe - 30.0, toe), (driver.y, 260.0), floor + 60.0),
            _slab((toe + 10.0, toe + 40.0), (driver.y, 260.0), floor + 170.0),
        ]
    )
    return _hull("steering wheel", "steering", disc), _hull("pedals", "pedals", pedals)


def wheel_shapes(wheel: SweptWheel) -> tuple[PackageShape, ...]:
    """The tyre straight ahead, and the room it sweeps; in space its places at full lock."""
    straight, triangles = tyre_mesh(wheel, angle=0.0, lift=0.0)
    tyre = _shape(wheel.name, "wheel", straight, triangles, {})
    angles = (-wheel.lock, wheel.lock) if wheel.lock > 0.0 else (0.0,)
    places = [tyre_mesh(wheel, angle=a, lift=wheel.bump)[0] for a in angles]
    count = len(places[0])
    joined = np.vstack([triangles + k * count for k in range(len(places))])
    lifts, turns = (-wheel.rebound, wheel.bump), np.linspace(-wheel.lock, wheel.lock, 33)
    every = np.vstack([tyre_mesh(wheel, angle=a, lift=lift)[0] for a in turns for lift in lifts])
    views = {"plan": swept_plan(wheel, wheel.centre[2])}
    views |= {view: _outline(every[:, axes]) for view, axes in VIEWS.items() if view != "plan"}
    swept = _shape(f"{wheel.name}, swept", "swept", np.vstack(places), joined, views)
    return tyre, swept


def engine_shape(box: Box) -> PackageShape:
    """The engine's box."""
    low, high = np.array(box.low), np.array(box.high)
    corners = np.array(np.meshgrid(*np.stack([low, high], axis=1), indexing="ij"))
    return _hull("engine box", "engine", corners.reshape(3, -1).T)


def _head(seated: Seated) -> Array:
    half = (0.5 * seated.body["head_length"], 0.5 * seated.body["head_breadth"], HEAD_HALF)
    up, turn = np.meshgrid(
        np.linspace(-0.5, 0.5, 9) * np.pi, np.linspace(0.0, 2.0 * np.pi, 17)[:-1]
    )
    ball = np.stack([np.cos(up) * np.cos(turn), np.cos(up) * np.sin(turn), np.sin(up)], axis=-1)
    centre = np.array([seated.shoulder[0], seated.y, seated.crown - HEAD_HALF])
    return np.asarray(centre + ball.reshape(-1, 3) * half)


def _slab(along: tuple[float, float], across: tuple[float, float], z: float) -> Array:
    """(4, 3) corners at a height: from x to x, centred at y with a breadth."""
    middle, half = across[0], 0.5 * across[1]
    return np.array([[x, middle + s * half, z] for x in along for s in (-1.0, 1.0)])


def _hull(name: str, kind: ShapeKind, points: Array) -> PackageShape:
    """The convex body round points (n, 3)."""
    hull = ConvexHull(points)
    used, triangles = np.unique(hull.simplices, return_inverse=True)
    vertices, triangles = points[used], triangles.reshape(-1, 3)
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    inward = np.einsum("ij,ij->i", np.cross(b - a, c - a), a - points.mean(axis=0)) < 0.0
    triangles[inward] = triangles[inward][:, ::-1]
    return _shape(name, kind, vertices, triangles, {})


def _shape(
    name: str, kind: ShapeKind, vertices: Array, triangles: Index, views: dict[str, Array]
) -> PackageShape:
    drawn = {view: _outline(vertices[:, axes]) for view, axes in VIEWS.items()} | views
    return PackageShape(name=name, kind=kind, vertices=vertices, triangles=triangles, **drawn)


def _outline(flat: Array) -> Array:
    return np.asarray(flat[ConvexHull(flat).vertices])
