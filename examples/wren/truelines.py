"""The named lines of 'Wren', each exactly on the surfaces of `shape`.

Lines that meet share their points because they come from the same formula. Run as a script it
writes `truth.json`: points about 10 mm apart, at full size.
"""

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
from shape import (
    AXLE_HEIGHT,
    DOOR,
    FRONT_RIM_Y,
    FRONT_WING,
    MIDDLE_X,
    REAR_RIM_Y,
    REAR_WING,
    RIM_RADIUS,
    SCUTTLE_X,
    WHEELBASE,
    WINDOW,
    Array,
    Wing,
    belt_height,
    body_lower,
    body_side,
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

__all__ = ["Curve", "line_points", "lines"]

Curve = Callable[[Array], Array]
"""Points (n, 3) at parameters (n,) between 0 and 1."""

CANTRAIL_ANGLE = 0.69
"""On the body's section, from the belt: on the roof's side of the corner."""


def lines() -> dict[str, tuple[Curve, bool]]:
    """Every named line: its curve, and whether that is closed."""
    found = {name: (curve, False) for name, curve in {**_arches(), **_centres()}.items()}
    for name, (curve, closed) in _paired().items():
        found[f"{name} left"] = (curve, closed)
        found[f"{name} right"] = (_mirrored(curve), closed)
    found |= _wing_lines("front wing", FRONT_WING) | _wing_lines("rear wing", REAR_WING)
    found["front rim left"] = _rim(0.0, FRONT_RIM_Y)
    found["rear rim left"] = _rim(WHEELBASE, REAR_RIM_Y)
    return found


def line_points(curve: Curve, *, closed: bool, step: float) -> Array:
    """Points of the curve about `step` mm apart, each exactly on it, (n, 3).

    Both ends of an open line are included; a closed one does not repeat its first point.
    """
    fine = np.linspace(0.0, 1.0, 20_001)
    steps = np.linalg.norm(np.diff(curve(fine), axis=0), axis=1)
    along = np.concatenate([[0.0], steps.cumsum()])
    count = max(int(np.ceil(along[-1] / step)), 2) + (0 if closed else 1)
    at = np.linspace(0.0, along[-1], count, endpoint=not closed)
    return curve(np.interp(at, along, fine))


def _range(low: float, high: float) -> Callable[[Array], Array]:
    return lambda t: low + (high - low) * t


def _mirrored(curve: Curve) -> Curve:
    return lambda t: curve(t) * np.array([1.0, -1.0, 1.0])


def _arch(low_left: Curve, over: Callable[[Array], Array]) -> Curve:
    """From the left sill up to the belt, over, and down the right side; a third of t for each."""

    def curve(t: Array) -> Array:
        points = over(np.pi * (2.0 - 3.0 * np.clip(t, 1.0 / 3.0, 2.0 / 3.0)))
        left, right = t < 1.0 / 3.0, t > 2.0 / 3.0
        points[left] = low_left(3.0 * t[left])
        points[right] = _mirrored(low_left)(3.0 - 3.0 * t[right])
        return points

    return curve


def _arches() -> dict[str, Curve]:
    def side_at(x: float) -> Curve:
        height = _range(float(sill_height(np.float64(x))), float(belt_height(np.float64(x))))
        return lambda t: body_lower(x + 0.0 * t, height(t), -1.0)

    height = _range(sill_at_rear()[2], upper_at_rear(np.float64(np.pi))[2])
    return {
        "scuttle front": _arch(
            side_at(SCUTTLE_X), lambda angle: scuttle_top(SCUTTLE_X + 0.0 * angle, angle)
        ),
        "middle section": _arch(
            side_at(MIDDLE_X), lambda angle: body_upper(MIDDLE_X + 0.0 * angle, angle)
        ),
        "rear edge": _arch(lambda t: lower_at_rear(height(t), -1.0), upper_at_rear),
        "screen edge": lambda t: upper_at_screen(np.pi * (1.0 - t)),
        "screen base": lambda t: scuttle_at_screen(np.pi * (1.0 - t)),
    }


def _centres() -> dict[str, Curve]:
    top = np.float64(np.pi / 2.0)
    roof = _range(upper_at_screen(top)[0], upper_at_rear(top)[0])
    scuttle = _range(SCUTTLE_X, scuttle_at_screen(top)[0])
    sill = sill_at_rear()
    rear = _range(upper_at_rear(top)[2], sill[2])

    def on_rear(y: Array, z: Array) -> Array:
        return np.stack([rear_station(y, z), y, z], axis=-1)

    return {
        "roof centre line": lambda t: body_upper(roof(t), top + 0.0 * t),
        "scuttle centre line": lambda t: scuttle_top(scuttle(t), top + 0.0 * t),
        "rear centre line": lambda t: on_rear(0.0 * t, rear(t)),
        "rear sill": lambda t: on_rear(sill[1] * (1.0 - 2.0 * t), sill[2] + 0.0 * t),
    }


def _paired() -> dict[str, tuple[Curve, bool]]:
    """Lines of the left side, and whether they are closed."""
    belt = _range(SCUTTLE_X, upper_at_rear(np.float64(np.pi))[0])
    sill = _range(SCUTTLE_X, sill_at_rear()[0])
    angle = np.float64(np.pi - CANTRAIL_ANGLE)
    cantrail = _range(upper_at_screen(angle)[0], upper_at_rear(angle)[0])
    return {
        "belt": (lambda t: body_upper(belt(t), np.pi + 0.0 * t), False),
        "sill": (lambda t: body_lower(sill(t), sill_height(sill(t)), -1.0), False),
        "cantrail": (lambda t: body_upper(cantrail(t), angle + 0.0 * t), False),
        "door": (_loop_on_side(*DOOR), True),
        "window": (_loop_on_side(*WINDOW), True),
    }


def _loop_on_side(centre: tuple[float, float], half: tuple[float, float], k: float) -> Curve:
    def curve(t: Array) -> Array:
        p, q = rounded_square(2.0 * np.pi * t, k)
        return body_side(centre[0] + half[0] * p, centre[1] + half[1] * q, -1.0)

    return curve


def _wing_lines(name: str, wing: Wing) -> dict[str, tuple[Curve, bool]]:
    along = _range(wing.middle + wing.reach, wing.middle - wing.reach)
    across = _range(-wing.half_width, wing.half_width)
    return {
        f"{name} edge": (lambda t: wing.edge(2.0 * np.pi * t), True),
        f"{name} crown": (lambda t: wing.point(along(t), 0.0 * t), False),
        f"{name} section": (lambda t: wing.point(wing.middle + 0.0 * t, across(t)), False),
    }


def _rim(axle_x: float, y: float) -> tuple[Curve, bool]:
    def curve(t: Array) -> Array:
        c, s = np.cos(2.0 * np.pi * t), np.sin(2.0 * np.pi * t)
        x, z = axle_x + RIM_RADIUS * c, AXLE_HEIGHT + RIM_RADIUS * s
        return np.stack([x, y + 0.0 * t, z], axis=-1)

    return curve, True


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
