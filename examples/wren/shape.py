"""The true shape of 'Wren': closed-form surfaces, and lines that lie on them exactly.

Millimetres at full size before any departure, in vehicle axes (x rearward from the front axle,
y to the right, z up from the ground); the model is this divided by 8. Run as a script it
writes `truth.json`.

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

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "FRONT_WING",
    "REAR_WING",
    "WHEELBASE",
    "Wing",
    "belt_height",
    "body_lower",
    "body_upper",
    "half_breadth",
    "line_points",
    "lines",
    "rear_station",
    "rounded_square",
    "scuttle_top",
    "screen_station",
    "sill_height",
    "upper_height",
]

Array = NDArray[np.float64]
Curve = Callable[[Array], Array]
"""Points (n, 3) at parameters (n,) between 0 and 1."""

WHEELBASE = 2240.0
AXLE_HEIGHT = 330.0
RIM_RADIUS = 215.0
FRONT_RIM_Y, REAR_RIM_Y = -744.0, -820.0

SCUTTLE_X = 420.0
MIDDLE_X = 1470.0
SQUARENESS = 0.85
TURN_UNDER = 0.01


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
    """mm by which the radius grows from the middle to each end."""
    middle: float
    """Angle u of the middle."""
    reach: float
    """From the middle to each end, in u."""
    half_width: float
    """From the crown to the edge, in v."""
    squareness: float = 0.8

    def point(self, u: Array, v: Array) -> Array:
        """Point of the skin's outside."""
        radius = self.radius + self.opening * ((u - self.middle) / self.reach) ** 2
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
    middle=np.pi / 2 - 0.08,
    reach=1.26,
    half_width=0.56,
)


# Stations where surfaces meet


def _meeting(station: Callable[[Array], Array], surface: Callable[[Array], Array]) -> Array:
    """x with x = station(surface(x)); the surfaces change so little with x that this settles."""
    x = station(surface(np.float64(1000.0)))
    for _ in range(80):
        x = station(surface(x))
    return x


def _at_screen(surface: Callable[[Array, Array], Array], angle: Array) -> Array:
    x = _meeting(lambda p: screen_station(p[..., 2]), lambda x: surface(x + 0.0 * angle, angle))
    return surface(x, angle)


def _upper_at_rear(angle: Array) -> Array:
    x = _meeting(
        lambda p: rear_station(p[..., 1], p[..., 2]), lambda x: body_upper(x + 0.0 * angle, angle)
    )
    return body_upper(x, angle)


def _side_at_rear(height: Callable[[Array], Array]) -> Array:
    def surface(x: Array) -> Array:
        return body_lower(x, height(x), -1.0)

    return surface(_meeting(lambda p: rear_station(p[..., 1], p[..., 2]), surface))


def _lower_at_rear(z: Array, side: float) -> Array:
    x = _meeting(
        lambda p: rear_station(p[..., 1], p[..., 2]), lambda x: body_lower(x + 0.0 * z, z, side)
    )
    return body_lower(x, z, side)


BELT_SCREEN = _at_screen(body_upper, np.float64(np.pi))
BELT_REAR = _upper_at_rear(np.float64(np.pi))
SILL_REAR = _side_at_rear(sill_height)
SILL_FRONT_Z = float(sill_height(np.float64(SCUTTLE_X)))
ROOF_SCREEN_X = float(_at_screen(body_upper, np.float64(np.pi / 2))[0])
ROOF_REAR = _upper_at_rear(np.float64(np.pi / 2))
SCUTTLE_SCREEN_X = float(_at_screen(scuttle_top, np.float64(np.pi / 2))[0])
CANTRAIL_ANGLE = 0.69
"""Angle of the cantrail on the section; roof side of the corner's middle."""


# Lines


def _between(low: float, high: float) -> Curve:
    return lambda t: low + (high - low) * t


def _joined(*parts: Curve) -> Curve:
    """One curve through several that follow one another, each taking an equal share of t."""

    def curve(t: Array) -> Array:
        share = np.clip(np.floor(t * len(parts)), 0, len(parts) - 1)
        points = np.zeros((*t.shape, 3))
        for k, part in enumerate(parts):
            points[share == k] = part(t[share == k] * len(parts) - k)
        return points

    return curve


def _arch(low_left: Curve, over: Callable[[Array], Array], low_right: Curve) -> Curve:
    """From the left sill up to the belt, over, and down the right side."""
    return _joined(low_left, lambda t: over(np.pi * (1.0 - t)), low_right)


def _side_up(x: float, side: float) -> Curve:
    low, high = float(sill_height(np.float64(x))), float(belt_height(np.float64(x)))
    return lambda t: body_lower(x + 0.0 * t, low + (high - low) * t, side)


def _reverse(curve: Curve) -> Curve:
    return lambda t: curve(1.0 - t)


def _rear_up(side: float) -> Curve:
    low, high = float(SILL_REAR[2]), float(BELT_REAR[2])
    return lambda t: _lower_at_rear(low + (high - low) * t, side)


def _whole_lines() -> dict[str, Curve]:
    def rear_centre(t: Array) -> Array:
        z = float(ROOF_REAR[2]) + (float(SILL_REAR[2]) - float(ROOF_REAR[2])) * t
        return np.stack([rear_station(0.0 * z, z), 0.0 * z, z], axis=-1)

    def rear_sill(t: Array) -> Array:
        y = float(SILL_REAR[1]) * (1.0 - 2.0 * t)
        z = float(SILL_REAR[2]) + 0.0 * t
        return np.stack([rear_station(y, z), y, z], axis=-1)

    roof_x = _between(ROOF_SCREEN_X, float(ROOF_REAR[0]))
    scuttle_x = _between(SCUTTLE_X, SCUTTLE_SCREEN_X)
    middle, front = MIDDLE_X, SCUTTLE_X
    return {
        "roof centre line": lambda t: body_upper(roof_x(t), np.pi / 2 + 0.0 * t),
        "scuttle centre line": lambda t: scuttle_top(scuttle_x(t), np.pi / 2 + 0.0 * t),
        "rear centre line": rear_centre,
        "scuttle front": _arch(
            _side_up(front, -1.0),
            lambda angle: scuttle_top(front + 0.0 * angle, angle),
            _reverse(_side_up(front, 1.0)),
        ),
        "screen edge": lambda t: _at_screen(body_upper, np.pi * (1.0 - t)),
        "screen base": lambda t: _at_screen(scuttle_top, np.pi * (1.0 - t)),
        "rear edge": _arch(_rear_up(-1.0), _upper_at_rear, _reverse(_rear_up(1.0))),
        "rear sill": rear_sill,
        "middle section": _arch(
            _side_up(middle, -1.0),
            lambda angle: body_upper(middle + 0.0 * angle, angle),
            _reverse(_side_up(middle, 1.0)),
        ),
    }


def _paired_lines() -> dict[str, tuple[Curve, bool]]:
    """Lines of the left side, and whether they are closed."""
    belt_x = _between(SCUTTLE_X, float(BELT_REAR[0]))
    sill_x = _between(SCUTTLE_X, float(SILL_REAR[0]))
    angle = np.pi - CANTRAIL_ANGLE
    cantrail_x = _between(
        float(_at_screen(body_upper, np.float64(angle))[0]),
        float(_upper_at_rear(np.float64(angle))[0]),
    )
    return {
        "belt": (lambda t: body_upper(belt_x(t), np.pi + 0.0 * t), False),
        "sill": (lambda t: body_lower(sill_x(t), sill_height(sill_x(t)), -1.0), False),
        "cantrail": (lambda t: body_upper(cantrail_x(t), angle + 0.0 * t), False),
        "door": (lambda t: _loop_on_side(t, (1082.0, 872.0), (305.0, 462.0), 0.85), True),
        "window": (lambda t: _loop_on_side(t, (1082.0, 1165.0), (222.0, 124.0), 0.7), True),
    }


def _loop_on_side(
    t: Array, centre: tuple[float, float], half: tuple[float, float], k: float
) -> Array:
    p, q = rounded_square(2.0 * np.pi * t, k)
    return body_side(centre[0] + half[0] * p, centre[1] + half[1] * q, -1.0)


def _wing_lines(name: str, wing: Wing) -> dict[str, tuple[Curve, bool]]:
    return {
        f"{name} edge": (lambda t: wing.edge(2.0 * np.pi * t), True),
        f"{name} crown": (
            lambda t: wing.point(wing.middle + wing.reach * (1.0 - 2.0 * t), 0.0 * t),
            False,
        ),
        f"{name} section": (
            lambda t: wing.point(wing.middle + 0.0 * t, wing.half_width * (2.0 * t - 1.0)),
            False,
        ),
    }


def _rim(axle_x: float, y: float) -> tuple[Curve, bool]:
    def curve(t: Array) -> Array:
        angle = 2.0 * np.pi * t
        return np.stack(
            [
                axle_x + RIM_RADIUS * np.cos(angle),
                y + 0.0 * t,
                AXLE_HEIGHT + RIM_RADIUS * np.sin(angle),
            ],
            axis=-1,
        )

    return curve, True


def lines() -> dict[str, tuple[Curve, bool]]:
    """Every named line: the curve over t from 0 to 1, and whether it is closed."""
    found = {name: (curve, False) for name, curve in _whole_lines().items()}
    for name, (curve, closed) in _paired_lines().items():
        found[f"{name} left"] = (curve, closed)
        found[f"{name} right"] = (_mirrored(curve), closed)
    found |= _wing_lines("front wing", FRONT_WING) | _wing_lines("rear wing", REAR_WING)
    found["front rim left"] = _rim(0.0, FRONT_RIM_Y)
    found["rear rim left"] = _rim(WHEELBASE, REAR_RIM_Y)
    return found


def _mirrored(curve: Curve) -> Curve:
    return lambda t: curve(t) * np.array([1.0, -1.0, 1.0])


def line_points(curve: Curve, *, closed: bool, step: float) -> Array:
    """Points of the curve about `step` mm apart, each exactly on it, (n, 3).

    Both ends of an open line are included; a closed one does not repeat its first point.
    """
    fine = np.linspace(0.0, 1.0, 20_001)
    along = np.linalg.norm(np.diff(curve(fine), axis=0), axis=1).cumsum()
    along = np.concatenate([[0.0], along])
    count = max(int(np.ceil(along[-1] / step)), 2) + (0 if closed else 1)
    at = np.linspace(0.0, along[-1], count, endpoint=not closed)
    return curve(np.interp(at, along, fine))


def _main() -> None:
    content = {
        name: {
            "closed": closed,
            "points": np.round(line_points(curve, closed=closed, step=10.0), 4).tolist(),
        }
        for name, (curve, closed) in lines().items()
    }
    path = Path(__file__).with_name("truth.json")
    path.write_text(json.dumps({"lines": content}) + "\n", encoding="utf-8")


if __name__ == "__main__":
    _main()
