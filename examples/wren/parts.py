"""The scale model as triangle meshes: the true surfaces, and plain blocks that make it a van.

Full-size millimetres, outside seen counter-clockwise. The blocks (bonnet, chassis, wheels,
lamps) only make the pictures look like a model on a bench; nothing is measured on them except
the wheel rims.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shape import (
    AXLE_HEIGHT,
    FRONT_RIM_Y,
    FRONT_WING,
    REAR_RIM_Y,
    REAR_WING,
    RIM_RADIUS,
    SCUTTLE_X,
    WHEELBASE,
    Array,
    Wing,
    belt_height,
    body_lower,
    body_upper,
    lower_at_rear,
    rear_station,
    rounded_square,
    scuttle_at_screen,
    scuttle_top,
    sill_at_rear,
    sill_height,
    upper_at_rear,
    upper_at_screen,
)

__all__ = ["Part", "parts"]

Index = NDArray[np.int64]
Sheet = tuple[Array, Index]
"""Vertices (n, 3) and triangles (m, 3)."""

CREAM = (0.80, 0.74, 0.60)
GREEN = (0.060, 0.105, 0.080)
GLASS = (0.030, 0.036, 0.042)
BLACK = (0.022, 0.022, 0.024)
RUBBER = (0.035, 0.034, 0.033)
RIM = (0.52, 0.10, 0.055)
METAL = (0.42, 0.42, 0.40)


@dataclass(frozen=True)
class Part:
    """A mesh with its paint (linear reflectance of red, green, blue) and gloss."""

    name: str
    vertices: Array
    triangles: Index
    paint: tuple[float, float, float]
    gloss: float = 0.05


def parts() -> tuple[Part, ...]:
    """Every part of the model, left and right."""
    both = [*_wings(), *_wheels(), *_apron_blocks(), *_lamps()]
    return (*_body(), *_blocks(), *both, *(_mirrored(part) for part in both))


def _sheet(rows: int, columns: int, place: Callable[[Array, Array], Array]) -> Sheet:
    """A grid over s, t in [0, 1]; counter-clockwise when s x t points outward."""
    s, t = np.meshgrid(np.linspace(0, 1, rows), np.linspace(0, 1, columns), indexing="ij")
    at = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]
    halves = [np.stack([a, b, c], axis=-1), np.stack([a, c, d], axis=-1)]
    return place(s.ravel(), t.ravel()), np.concatenate([h.reshape(-1, 3) for h in halves])


def _outward(vertices: Array, triangles: Index, towards: Array) -> Index:
    """The triangles, turned over if on the whole they face away from `towards` (3,)."""
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    facing = np.cross(b - a, c - a).sum(axis=0) @ towards
    return triangles if facing > 0.0 else triangles[:, ::-1]


def _part(
    name: str,
    sheet: Sheet,
    towards: tuple[float, float, float],
    paint: tuple[float, float, float],
    gloss: float = 0.05,
) -> Part:
    vertices, triangles = sheet
    return Part(name, vertices, _outward(vertices, triangles, np.array(towards)), paint, gloss)


def _mirrored(part: Part) -> Part:
    name = part.name.replace("left", "right")
    flipped = part.vertices * np.array([1.0, -1.0, 1.0])
    return Part(name, flipped, part.triangles[:, ::-1], part.paint, part.gloss)


# The body


def _lerp(low: Array, high: Array, share: Array) -> Array:
    return low + (high - low) * share


def _body() -> tuple[Part, ...]:
    def upper(s: Array, t: Array) -> Array:
        angle = np.pi * t
        x = _lerp(upper_at_screen(angle)[:, 0], upper_at_rear(angle)[:, 0], s)
        return body_upper(x, angle)

    def scuttle(s: Array, t: Array) -> Array:
        angle = np.pi * t
        return scuttle_top(_lerp(SCUTTLE_X, scuttle_at_screen(angle)[:, 0], s), angle)

    def screen(s: Array, t: Array) -> Array:
        angle = np.pi * t
        return _lerp(scuttle_at_screen(angle), upper_at_screen(angle), s[:, None])

    return (
        _part("body", _sheet(180, 300, upper), (0, 0, 1), CREAM),
        _part("body", _lower_side(-1.0), (0, -1, 0), CREAM),
        _part("body", _lower_side(1.0), (0, 1, 0), CREAM),
        _part("scuttle", _sheet(24, 300, scuttle), (0, 0, 1), CREAM),
        _part("screen", _sheet(40, 200, screen), (-1, 0, 0.3), GLASS, 0.25),
        _part("rear panel", _rear_sheet(), (1, 0, 0), CREAM),
    )


def _lower_side(side: float) -> Sheet:
    sill, belt = sill_at_rear()[2], upper_at_rear(np.float64(np.pi))[2]

    def place(s: Array, t: Array) -> Array:
        # Rows of s run from the scuttle front to the rear edge, at both ends exactly on them.
        rear = lower_at_rear(_lerp(sill, belt, t), side)[:, 0]
        x = _lerp(SCUTTLE_X, rear, s)
        straight = _lerp(sill_height(x), belt_height(x), t)
        at_rear = _lerp(sill_height(rear), belt_height(rear), t)
        z = straight + (_lerp(sill, belt, t) - at_rear) * s**8
        return body_lower(x, z, side)

    return _sheet(210, 52, place)


def _fan_sheet(left: Array, over: Array, station: Callable[[Array, Array], Array]) -> Sheet:
    """A sheet inside the outline that goes up the left side and over the top, with its mirror.

    left (n, 3) from the sill to the belt, over (m, 3) from the right belt to the left.
    """
    right = left * np.array([1.0, -1.0, 1.0])
    low = np.linspace(left[0], right[0], 60)
    rim = np.vstack([right[:-1], over[:-1], left[::-1][:-1], low])[:, 1:]
    hub = np.array([0.0, 880.0])

    def place(s: Array, t: Array) -> Array:
        at = np.round(t * (len(rim) - 1)).astype(int)
        flat = hub + (rim[at] - hub) * s[:, None]
        return np.column_stack([station(flat[:, 0], flat[:, 1]), flat])

    return _sheet(60, len(rim), place)


def _rear_sheet() -> Sheet:
    height = np.linspace(sill_at_rear()[2], upper_at_rear(np.float64(np.pi))[2], 60)
    over = upper_at_rear(np.linspace(0.0, np.pi, 200))
    return _fan_sheet(lower_at_rear(height, -1.0), over, rear_station)


def _bulkhead_sheet() -> Sheet:
    """Closes the body behind the scuttle front, so that one cannot look inside."""
    x = np.full(60, SCUTTLE_X)
    left = body_lower(x, np.linspace(sill_height(x[0]), belt_height(x[0]), 60), -1.0)
    over = scuttle_top(np.full(200, SCUTTLE_X), np.linspace(0.0, np.pi, 200))
    return _fan_sheet(left, over, lambda y, z: SCUTTLE_X + 6.0 + 0.0 * y)


def _blocks() -> tuple[Part, ...]:
    """Bonnet, radiator and chassis: plain shapes on the centre plane."""
    nose = -352.0

    def bonnet(s: Array, t: Array) -> Array:
        x = _lerp(nose, SCUTTLE_X + 4.0, s)
        half = _lerp(230.0, 492.0, s**1.5)
        top = _lerp(965.0, 1122.0, s**0.8)
        p, q = rounded_square(np.pi * t, 0.55)
        low = _lerp(600.0, 890.0, s)
        return np.column_stack([x, half * p, low + (top - low) * q])

    def cheek(side: float) -> Callable[[Array, Array], Array]:
        def place(s: Array, t: Array) -> Array:
            x = _lerp(nose, SCUTTLE_X + 4.0, s)
            half = _lerp(230.0, 492.0, s**1.5)
            low = _lerp(600.0, 890.0, s)
            return np.column_stack([x, side * half * _lerp(0.86, 1.0, t), _lerp(400.0, low, t)])

        return place

    def radiator(s: Array, t: Array) -> Array:
        p, q = rounded_square(2.0 * np.pi * t, 0.75)
        bow = 14.0 * (1.0 - s**2)
        return np.column_stack([nose - bow + 0.0 * s, 222.0 * s * p, 685.0 + 276.0 * s * q])

    return (
        _part("bonnet", _sheet(150, 160, bonnet), (0, 0, 1), GREEN, 0.12),
        _part("bonnet", _sheet(150, 60, cheek(-1.0)), (0, -1, 0), GREEN, 0.12),
        _part("bonnet", _sheet(150, 60, cheek(1.0)), (0, 1, 0), GREEN, 0.12),
        _part("radiator", _sheet(16, 120, radiator), (-1, 0, 0), METAL, 0.2),
        *_box("chassis", (440.0, -470.0, 225.0), (2800.0, 470.0, 344.0)),
        *_box("chassis", (-330.0, -210.0, 225.0), (440.0, 210.0, 420.0)),
        _part("bulkhead", _bulkhead_sheet(), (-1, 0, 0), BLACK, 0.02),
        *_box("axle", (-28.0, -640.0, 302.0), (28.0, 640.0, 358.0)),
        *_box("axle", (WHEELBASE - 32.0, -540.0, 298.0), (WHEELBASE + 32.0, 540.0, 362.0)),
    )


def _box(
    name: str, low: tuple[float, float, float], high: tuple[float, float, float]
) -> tuple[Part, ...]:
    a, b = np.array(low), np.array(high)
    found = []
    for axis in range(3):
        for end in (0, 1):

            def place(s: Array, t: Array, axis: int = axis, end: int = end) -> Array:
                share = np.zeros((len(s), 3))
                share[:, (axis + 1) % 3], share[:, (axis + 2) % 3] = s, t
                share[:, axis] = end
                return a + (b - a) * share

            towards = np.zeros(3)
            towards[axis] = 2.0 * end - 1.0
            side = (b - a)[(axis + 1) % 3], (b - a)[(axis + 2) % 3]
            counts = [max(int(length / 40.0), 1) + 1 for length in side]
            found.append(
                _part(name, _sheet(counts[0], counts[1], place), tuple(towards), BLACK, 0.02)
            )
    return tuple(found)


# Wings, wheels and lamps of the left side


def _wings() -> tuple[Part, ...]:
    return (
        _part("front wing left", _wing_sheet(FRONT_WING), (0, 0, 1), CREAM),
        _part("rear wing left", _wing_sheet(REAR_WING), (0, 0, 1), CREAM),
    )


def _wing_sheet(wing: Wing) -> Sheet:
    def place(s: Array, t: Array) -> Array:
        p, q = rounded_square(2.0 * np.pi * t, wing.squareness)
        return wing.point(wing.middle - wing.reach * s * p, wing.half_width * s * q)

    return _sheet(40, 260, place)


def _apron_blocks() -> tuple[Part, ...]:
    """Dark sheets under the wings, and a running board between them."""

    def under(axle: float, inner: float, wing: Wing, low: float, high: float) -> Part:
        def place(s: Array, t: Array) -> Array:
            u, y = _lerp(low, high, s), _lerp(wing.centre_y - 60.0, inner, t)
            return np.column_stack([axle + 372.0 * np.cos(u), y, AXLE_HEIGHT + 372.0 * np.sin(u)])

        return _part("apron left", _sheet(60, 12, place), (0, 0, 1), BLACK, 0.02)

    return (
        under(0.0, -215.0, FRONT_WING, 0.7, 2.75),
        under(WHEELBASE, -700.0, REAR_WING, 0.5, 2.6),
        *_box("bracket left", (WHEELBASE - 14.0, -700.0, 668.0), (WHEELBASE + 14.0, -590.0, 690.0)),
        *_box("board left", (455.0, -800.0, 262.0), (1800.0, -470.0, 286.0)),
    )


def _turned(profile: Array, axle: float) -> Sheet:
    """A body of revolution about the axle; profile (k, 2) of radius and y."""

    def place(s: Array, t: Array) -> Array:
        at = np.round(s * (len(profile) - 1)).astype(int)
        radius, y = profile[at, 0], profile[at, 1]
        angle = 2.0 * np.pi * t
        x, z = axle + radius * np.cos(angle), AXLE_HEIGHT + radius * np.sin(angle)
        return np.column_stack([x, y, z])

    return _sheet(len(profile), 241, place)


def _arc(centre: tuple[float, float], radius: float, low: float, high: float) -> Array:
    angle = np.linspace(low, high, 24)
    return np.array(centre) + radius * np.column_stack([np.cos(angle), np.sin(angle)])


def _wheels() -> tuple[Part, ...]:
    found = []
    for axle, y in ((0.0, FRONT_RIM_Y), (WHEELBASE, REAR_RIM_Y)):
        dish = [(RIM_RADIUS, y), (196.0, y + 3.0), (188.0, y + 16.0), (110.0, y + 30.0)]
        disc = np.array([*dish, (86.0, y + 26.0), (80.0, y + 8.0)])
        fine = np.linspace(0, len(disc) - 1, 60)
        disc = np.column_stack([np.interp(fine, np.arange(len(disc)), disc[:, k]) for k in (0, 1)])
        # From the rim round the tread to the inner side; it just touches the ground.
        tread = _arc((287.5, y + 38.0), 42.5, -0.5 * np.pi, 0.5 * np.pi)
        side = np.linspace([RIM_RADIUS, y], tread[0], 12)
        profile = np.vstack([side, tread[1:], [[RIM_RADIUS, y + 82.0], [20.0, y + 82.0]]])
        cap = np.array([(80.0, y + 8.0), (72.0, y - 6.0), (45.0, y - 14.0), (0.0, y - 17.0)])
        found += [
            _part("tyre left", _turned(profile, axle), (0, -1, 0), RUBBER, 0.03),
            _part("rim left", _turned(disc, axle), (0, -1, 0), RIM, 0.1),
            _part("cap left", _turned(cap, axle), (0, -1, 0), METAL, 0.3),
        ]
    return tuple(found)


def _lamps() -> tuple[Part, ...]:
    centre, radius = np.array([-262.0, -318.0, 800.0]), 82.0

    def bowl(s: Array, t: Array) -> Array:
        a, b = 0.5 * np.pi * s, 2.0 * np.pi * t
        x = 1.25 * radius * np.cos(a)
        return centre + np.column_stack(
            [x, radius * np.sin(a) * np.cos(b), radius * np.sin(a) * np.sin(b)]
        )

    def glass(s: Array, t: Array) -> Array:
        b = 2.0 * np.pi * t
        flat = np.column_stack([-14.0 * (1 - s**2), radius * s * np.cos(b), radius * s * np.sin(b)])
        return centre + flat

    return (
        _part("lamp left", _sheet(24, 61, bowl), (1, 0, 0), GREEN, 0.2),
        _part("lamp left", _sheet(12, 61, glass), (-1, 0, 0), (0.55, 0.56, 0.55), 0.3),
    )
