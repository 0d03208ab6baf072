"""The true shape of 'Wren': closed-form surfaces, and lines that lie on them exactly.

Millimetres at full size before any departure, in vehicle axes (x rearward from the front axle,
y to the right, z up from the ground); the model is this divided by `SCALE`. Arrays of any shape
go in; points come out with a last axis of three.

body         sections at stations x: above the belt a rounded square (y/B)^2 + f^2 - k (y/B)^2 f^2
             = 1 with z = belt + H f; below the belt y = B (1 - (1 - k) w^2 / 2 - q w^4) with
             w = (belt - z) / H. Both have the same curvature at the belt; B, H, belt and sill
             are polynomials in x.
scuttle      from belt to belt ahead of the screen: z = belt + h (1 - |e|^3)^(1/3) + c (1 - e^2)
             with e = y / B, upright at the belt as the body is.
rear panel   x = 2905 - a y^2 - b (z - 900)^2, trimmed by the body and its own lower edge.
wings        a tube of radius r bent round the axle: y = yc + r sin v, and from the axle
             R(u) + r (cos v - 1) in the direction of u, u = 0 rearward, pi / 2 up. Their edges
             are rounded rectangles in u and v.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "AXLE_HEIGHT",
    "FRONT_RIM_Y",
    "FRONT_WING",
    "MIDDLE_X",
    "REAR_RIM_Y",
    "REAR_WING",
    "RIM_RADIUS",
    "SCALE",
    "SCUTTLE_X",
    "WHEELBASE",
    "WINDOW",
    "Array",
    "Wing",
    "belt_height",
    "body_lower",
    "body_side",
    "body_upper",
    "half_breadth",
    "lower_at_rear",
    "rear_station",
    "rounded_square",
    "screen_station",
    "scuttle_at_screen",
    "scuttle_top",
    "sill_at_rear",
    "sill_height",
    "upper_at_rear",
    "upper_at_screen",
    "upper_height",
]

Array = NDArray[np.float64]

SCALE = 8.0
WHEELBASE = 2240.0
AXLE_HEIGHT = 330.0
RIM_RADIUS = 215.0
FRONT_RIM_Y, REAR_RIM_Y = -744.0, -820.0

SCUTTLE_X = 420.0
MIDDLE_X = 1470.0
SQUARENESS = 0.85
TURN_UNDER = 0.01

DOOR = ((1082.0, 872.0), (305.0, 462.0), 0.85)
WINDOW = ((1082.0, 1165.0), (222.0, 124.0), 0.7)
"""Rounded rectangles in side elevation: centre (x, z), half sizes, squareness."""


# Breadths and heights along the body


def half_breadth(x: Array) -> Array:
    """Half-breadth of the body at the belt."""
    u = x - 1600.0
    return 662.0 - 7.9e-5 * u**2 + 1.0e-8 * u**3


def belt_height(x: Array) -> Array:
    """Height of the belt."""
    return 1002.0 - 5.0e-5 * (x - 1700.0) ** 2


def upper_height(x: Array) -> Array:
    """Height of the roof's centre above the belt."""
    return 1620.0 - 3.6e-5 * (x - 1600.0) ** 2 - belt_height(x)


def sill_height(x: Array) -> Array:
    """Height of the sill."""
    return 330.0 + 1.2e-5 * (x - 1650.0) ** 2


def rounded_square(angle: Array, k: float) -> tuple[Array, Array]:
    """Point of the curve p^2 + q^2 - k p^2 q^2 = 1 in the direction of an angle.

    A circle for k = 0, a square for k = 1, smooth and without flat spots in between.
    """
    radius = np.sqrt(2.0 / (1.0 + np.sqrt(1.0 - k * np.sin(2.0 * angle) ** 2)))
    return radius * np.cos(angle), radius * np.sin(angle)


# Surfaces


def body_upper(x: Array, angle: Array) -> Array:
    """Body above the belt: angle 0 on the right belt, pi / 2 on the centre, pi on the left."""
    across, up = rounded_square(angle, SQUARENESS)
    return np.stack([x, half_breadth(x) * across, belt_height(x) + upper_height(x) * up], axis=-1)


def body_lower(x: Array, z: Array, side: float) -> Array:
    """Body below the belt; side is -1 on the left, 1 on the right."""
    w = (belt_height(x) - z) / upper_height(x)
    y = half_breadth(x) * (1.0 - 0.5 * (1.0 - SQUARENESS) * w**2 - TURN_UNDER * w**4)
    return np.stack([x, side * y, z], axis=-1)


def body_side(x: Array, z: Array, side: float) -> Array:
    """Body at a height above or below the belt, off the roof's centre."""
    f = np.clip((z - belt_height(x)) / upper_height(x), 0.0, 1.0)
    y = half_breadth(x) * np.sqrt((1.0 - f**2) / (1.0 - SQUARENESS * f**2))
    above = np.stack([x, side * y, z], axis=-1)
    return np.where((z >= belt_height(x))[..., None], above, body_lower(x, z, side))


def scuttle_height(x: Array) -> Array:
    """Height of the scuttle's centre above the belt."""
    return 232.0 - 8.0e-5 * (x - SCUTTLE_X) ** 2


def scuttle_top(x: Array, angle: Array) -> Array:
    """Scuttle: angle 0 on the right belt, pi / 2 on the centre, pi on the left."""
    cosine, sine = np.cos(angle), np.sin(angle)
    across = np.sign(cosine) * np.abs(cosine) ** (2.0 / 3.0)
    up = np.abs(sine) ** (2.0 / 3.0)
    crown = 35.0
    z = belt_height(x) + (scuttle_height(x) - crown) * up + crown * (1.0 - across**2)
    return np.stack([x, half_breadth(x) * across, z], axis=-1)


def screen_station(z: Array) -> Array:
    """Station of the screen's raked plane."""
    return 640.0 + 0.3 * (z - 1130.0)


def rear_station(y: Array, z: Array) -> Array:
    """Station of the rear panel."""
    return 2905.0 - 1.1e-4 * y**2 - 7.0e-5 * (z - 900.0) ** 2


@dataclass(frozen=True)
class Wing:
    """A wing on the left: see the module's docstring."""

    axle_x: float
    centre_y: float
    tube: float
    radius: float
    opening: float
    """mm by which the radius grows from the middle to each end, on the mean of both ends."""
    flare: float
    """mm more at the rear end, and less at the front end: no wing is its own image turned round."""
    middle: float
    """Angle u of the middle."""
    reach: float
    """From the middle to each end, in u."""
    half_width: float
    """From the crown to the edge, in v."""
    squareness: float = 0.8

    def point(self, u: Array, v: Array) -> Array:
        """Point of the skin's outside."""
        along = (u - self.middle) / self.reach
        radius = self.radius + self.opening * along**2 - self.flare * along
        out = radius + self.tube * (np.cos(v) - 1.0)
        y = self.centre_y + self.tube * np.sin(v)
        return np.stack(
            [self.axle_x + out * np.cos(u), y + 0.0 * u, AXLE_HEIGHT + out * np.sin(u)], axis=-1
        )

    def edge(self, angle: Array) -> Array:
        """Edge loop; angle 0 at the rear end of the crown, pi at the front end."""
        p, q = rounded_square(angle, self.squareness)
        return self.point(self.middle - self.reach * p, self.half_width * q)

    def covers(self, u: Array, v: Array) -> Array:
        """Whether (u, v) lies within the edge."""
        p, q = (u - self.middle) / self.reach, v / self.half_width
        inside = p**2 + q**2 - self.squareness * p**2 * q**2 <= 1.0
        return inside & (np.abs(p) <= 1.0) & (np.abs(q) <= 1.0)


FRONT_WING = Wing(
    axle_x=0.0,
    centre_y=-692.0,
    tube=230.0,
    radius=428.0,
    opening=22.0,
    flare=20.0,
    middle=np.pi / 2 + 0.06,
    reach=1.28,
    half_width=0.56,
)
REAR_WING = Wing(
    axle_x=WHEELBASE,
    centre_y=-772.0,
    tube=220.0,
    radius=432.0,
    opening=26.0,
    flare=16.0,
    middle=np.pi / 2 - 0.08,
    reach=1.26,
    half_width=0.56,
)


# Where surfaces meet


def _settled(station: Callable[[Array], Array], surface: Callable[[Array], Array]) -> Array:
    """The surface's point whose station is the wanted one: (..., 3).

    The surfaces change so little along the body that going back and forth settles.
    """
    x = station(surface(np.float64(1000.0)))
    for _ in range(14):
        x = station(surface(x))
    return surface(x)


def _screen_of(point: Array) -> Array:
    return screen_station(point[..., 2])


def _rear_of(point: Array) -> Array:
    return rear_station(point[..., 1], point[..., 2])


def upper_at_screen(angle: Array) -> Array:
    """Screen edge: where the body above the belt meets the screen's plane."""
    return _settled(_screen_of, lambda x: body_upper(x + 0.0 * angle, angle))


def scuttle_at_screen(angle: Array) -> Array:
    """Screen base: where the scuttle meets the screen's plane."""
    return _settled(_screen_of, lambda x: scuttle_top(x + 0.0 * angle, angle))


def upper_at_rear(angle: Array) -> Array:
    """Rear edge above the belt."""
    return _settled(_rear_of, lambda x: body_upper(x + 0.0 * angle, angle))


def lower_at_rear(z: Array, side: float) -> Array:
    """Rear edge below the belt, at heights z."""
    return _settled(_rear_of, lambda x: body_lower(x + 0.0 * z, z, side))


def sill_at_rear() -> Array:
    """Rear end of the left sill, (3,)."""
    return _settled(_rear_of, lambda x: body_lower(x, sill_height(x), -1.0))
