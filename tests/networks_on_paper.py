"""Networks of lines on surfaces known in closed form, with their crossings worked out."""

from collections.abc import Callable, Mapping
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.spatial import cKDTree

from buckwright.model.lines import Crossing, Line, LineNetwork
from buckwright.model.skin import RegionSpec
from skins_on_paper import line_through

Array = NDArray[np.float64]
Curve = Callable[[Array], Array]

SAMPLES = 801


def network_of(
    curves: Mapping[str, Curve],
    *,
    closed: frozenset[str] = frozenset(),
    sigma: float = 0.0,
    tolerance: float = 0.5,
    points: int = 121,
) -> LineNetwork:
    """Lines through points of the curves over t from 0 to 1, met where they come close."""
    lines = []
    for name, curve in curves.items():
        line = line_through(name, curve(np.linspace(0.0, 1.0, points)), closed=name in closed)
        lines.append(line.model_copy(update={"sigma": sigma}))
    found = [c for a, b in combinations(lines, 2) for c in _crossings(a, b, tolerance)]
    return LineNetwork(lines=tuple(lines), crossings=tuple(found))


def _crossings(first: Line, second: Line, tolerance: float) -> list[Crossing]:
    a, b = first.points(SAMPLES), second.points(SAMPLES)
    step = max(np.linalg.norm(np.diff(p, axis=0), axis=1).max() for p in (a, b))
    gap, near = cKDTree(b).query(a)
    close = np.flatnonzero(gap < step + tolerance)
    if not len(close):
        return []
    runs = np.split(close, np.flatnonzero(np.diff(close) > 2) + 1)
    found: list[Crossing] = []
    for run in runs:
        k = run[int(np.argmin(gap[run]))]
        crossing = _met(first, second, k / (SAMPLES - 1), near[k] / (SAMPLES - 1))
        fresh = all(np.linalg.norm(crossing.point - c.point) > step for c in found)
        if crossing.gap < tolerance and fresh:
            found.append(crossing)
    return found


def _met(first: Line, second: Line, s: float, t: float) -> Crossing:
    def place(line: Line, at: float) -> Array:
        return line.curve()(at % 1.0 if line.closed else np.clip(at, 0.0, 1.0))

    met = least_squares(
        lambda at: place(first, at[0]) - place(second, at[1]), [s, t], x_scale=1e-3, xtol=1e-14
    )
    held = [
        float(at % 1.0 if line.closed else np.clip(at, 0.0, 1.0))
        for line, at in zip((first, second), met.x, strict=True)
    ]
    p, q = (place(line, at) for line, at in zip((first, second), held, strict=True))
    return Crossing(
        lines=(first.name, second.name),
        parameters=(held[0], held[1]),
        point=0.5 * (p + q),
        gap=float(np.linalg.norm(p - q)),
    )


def _on(surface: Callable[[Array, Array], Array], u: tuple, v: tuple) -> Curve:
    return lambda t: surface(u[0] + (u[1] - u[0]) * t, v[0] + (v[1] - v[0]) * t)


# A tunnel: a round vault of more than half a turn, tapering, with a hatch and a porthole.

TUNNEL_REACH = 1.75


def tunnel_surface(x: Array, angle: Array) -> Array:
    """Angle 0 on top, negative on the left; radius 500 at x = 0, 460 at x = 1600."""
    radius = 500.0 - 40.0 * (x / 1600.0) ** 2
    return np.stack([x, radius * np.sin(angle), 700.0 + radius * np.cos(angle)], axis=-1)


def _ring(x: float, angle: float, half_x: float, half_angle: float) -> Curve:
    def curve(t: Array) -> Array:
        turn = 2.0 * np.pi * t
        return tunnel_surface(x + half_x * np.cos(turn), angle + half_angle * np.sin(turn))

    return curve


def tunnel(sigma: float = 0.0) -> tuple[LineNetwork, RegionSpec]:
    reach = TUNNEL_REACH
    curves: dict[str, Curve] = {
        "front arch": _on(tunnel_surface, (0.0, 0.0), (-reach, reach)),
        "rear arch": _on(tunnel_surface, (1600.0, 1600.0), (-reach, reach)),
        "middle arch": _on(tunnel_surface, (800.0, 800.0), (-reach, reach)),
        "sill left": _on(tunnel_surface, (0.0, 1600.0), (-reach, -reach)),
        "sill right": _on(tunnel_surface, (1600.0, 0.0), (reach, reach)),
        "ridge": _on(tunnel_surface, (0.0, 1600.0), (0.0, 0.0)),
        "belt left": _on(tunnel_surface, (0.0, 1600.0), (-1.0, -1.0)),
        "belt right": _on(tunnel_surface, (0.0, 1600.0), (1.0, 1.0)),
        "hatch": _ring(1200.0, -1.0, 180.0, 0.3),
        "porthole": _ring(1200.0, -0.87, 80.0, 0.06),
    }
    network = network_of(curves, closed=frozenset({"hatch", "porthole"}), sigma=sigma)
    spec = RegionSpec(
        name="tunnel",
        boundary=("sill left", "rear arch", "sill right", "front arch"),
        inner=("middle arch", "ridge", "belt left", "belt right", "hatch"),
        holes=("porthole",),
    )
    return network, spec


# A cap of a ball: one closed line bounds it alone.


def cap(radius: float = 500.0, half_angle: float = 0.6) -> tuple[LineNetwork, RegionSpec]:
    def meridian(turn: float) -> Curve:
        def curve(t: Array) -> Array:
            polar = half_angle * (2.0 * t - 1.0)
            s = radius * np.sin(polar)
            return np.stack([s * np.cos(turn), s * np.sin(turn), radius * np.cos(polar)], axis=-1)

        return curve

    def rim(t: Array) -> Array:
        turn, s = 2.0 * np.pi * t, radius * np.sin(half_angle)
        z = np.full_like(t, radius * np.cos(half_angle))
        return np.stack([s * np.cos(turn), s * np.sin(turn), z], axis=-1)

    network = network_of(
        {"rim": rim, "along": meridian(0.0), "across": meridian(0.5 * np.pi)},
        closed=frozenset({"rim"}),
    )
    return network, RegionSpec(name="cap", boundary=("rim",), inner=("along", "across"))


# Two flat panels that share an edge, one with a round hole.


def two_panels() -> tuple[LineNetwork, tuple[RegionSpec, RegionSpec]]:
    def straight(start: tuple[float, float], end: tuple[float, float]) -> Curve:
        a, b = np.array([*start, 0.0]), np.array([*end, 0.0])
        return lambda t: a + (b - a) * t[:, None]

    def hole(t: Array) -> Array:
        turn = 2.0 * np.pi * t
        return np.stack([300.0 + 90.0 * np.cos(turn), 200.0 + 90.0 * np.sin(turn), 0.0 * t], -1)

    curves = {
        "bottom": straight((0.0, 0.0), (1000.0, 0.0)),
        "top": straight((1000.0, 400.0), (0.0, 400.0)),
        "left end": straight((0.0, 400.0), (0.0, 0.0)),
        "right end": straight((1000.0, 0.0), (1000.0, 400.0)),
        "seam": straight((600.0, 0.0), (600.0, 400.0)),
        "hole": hole,
    }
    network = network_of(curves, closed=frozenset({"hole"}))
    first = RegionSpec(
        name="near panel", boundary=("bottom", "seam", "top", "left end"), holes=("hole",)
    )
    second = RegionSpec(name="far panel", boundary=("bottom", "right end", "top", "seam"))
    return network, (first, second)


# A wing like a fender: a piece of a ring's outside, on the left.


def ring_surface(u: Array, v: Array) -> Array:
    """u along the crown (0 on top), v across it; tube 220 on a wheel of 440 mm to the crown."""
    out = 440.0 + 220.0 * (np.cos(v) - 1.0)
    return np.stack([out * np.sin(u), -700.0 + 220.0 * np.sin(v), 330.0 + out * np.cos(u)], -1)


def wing() -> tuple[LineNetwork, RegionSpec]:
    def edge(t: Array) -> Array:
        turn = 2.0 * np.pi * t
        return ring_surface(1.2 * np.cos(turn), 0.9 * np.sin(turn))

    network = network_of(
        {
            "wing edge left": edge,
            "wing crown left": _on(ring_surface, (-1.2, 1.2), (0.0, 0.0)),
            "wing section left": _on(ring_surface, (0.0, 0.0), (-0.9, 0.9)),
        },
        closed=frozenset({"wing edge left"}),
    )
    spec = RegionSpec(
        name="wing",
        boundary=("wing edge left",),
        inner=("wing crown left", "wing section left"),
        side="left",
        outward=(0.0, -0.2, 1.0),
    )
    return network, spec
