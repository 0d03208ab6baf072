"""Disc-like meshes of known shapes: caps, wings, saddles, and random panels."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from buckwright.model.panels import Panel
from buckwright.model.skin import LineTrack, Skin, SkinRegion

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def ring_disc(rings: int) -> tuple[Array, Index]:
    """The unit disc in `rings` rings of 6 k even vertices, 6 rings^2 triangles, rim last."""
    points = [np.zeros((1, 2))]
    for k in range(1, rings + 1):
        turn = np.arange(6 * k) * np.pi / (3 * k)
        points.append(k / rings * np.column_stack([np.cos(turn), np.sin(turn)]))
    start = [0, *(1 + 3 * k * (k - 1) for k in range(1, rings + 1))]
    triangles = []
    for k in range(1, rings + 1):
        for sixth in range(6):
            for j in range(k):
                here = start[k] + sixth * k + j
                after = start[k] + (sixth * k + j + 1) % (6 * k)
                inner = 0 if k == 1 else start[k - 1] + (sixth * (k - 1) + j) % (6 * (k - 1))
                triangles.append((inner, here, after))
                if j < k - 1:
                    beyond = start[k - 1] + (sixth * (k - 1) + j + 1) % (6 * (k - 1))
                    triangles.append((inner, after, beyond))
    return np.vstack(points), np.array(triangles)


def cap(rings: int, angle: float, radius: float = 500.0) -> tuple[Array, Index]:
    """A spherical cap of half-angle `angle`, its top up, even along its meridians."""
    disc, triangles = ring_disc(rings)
    away, turn = np.hypot(*disc.T) * angle, np.arctan2(disc[:, 1], disc[:, 0])
    across = radius * np.sin(away)
    height = radius * np.cos(away)
    return np.column_stack([across * np.cos(turn), across * np.sin(turn), height]), triangles


def grid(
    surface: Callable[[Array, Array], Array],
    u: Array,
    v: Array,
) -> tuple[Array, Index]:
    """Over a grid, outside where d/du x d/dv points; vertex (i, j) has index i len(v) + j."""
    uu, vv = np.meshgrid(u, v, indexing="ij")
    index = np.arange(uu.size).reshape(uu.shape)
    a, b, c, d = index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]
    one = np.stack([a, b, c], axis=-1).reshape(-1, 3)
    two = np.stack([a, c, d], axis=-1).reshape(-1, 3)
    return surface(uu.ravel(), vv.ravel()), np.vstack([one, two])


def cylinder(radius: float, turn: float, length: float, steps: int) -> tuple[Array, Index]:
    """Part of a cylinder round x; its sides run along the rulings."""
    return grid(
        lambda u, v: np.column_stack([u, radius * np.sin(v), radius * np.cos(v)]),
        np.linspace(0.0, length, steps),
        np.linspace(turn, 0.0, steps),
    )


def cone(
    half_angle: float, near: float, far: float, turn: float, steps: int
) -> tuple[Array, Index]:
    """Part of a cone about z between slant distances from its tip."""
    return grid(
        lambda s, v: np.column_stack(
            [
                s * np.sin(half_angle) * np.cos(v),
                s * np.sin(half_angle) * np.sin(v),
                -s * np.cos(half_angle),
            ]
        ),
        np.linspace(near, far, steps),
        np.linspace(0.0, turn, steps),
    )


def tube(radius: float, length: float, round_way: int, along: int) -> tuple[Array, Index]:
    """A closed round tube about z, open at both ends."""
    turn, up = np.meshgrid(
        np.linspace(0.0, 2.0 * np.pi, round_way, endpoint=False), np.linspace(0.0, length, along)
    )
    index = np.arange(turn.size).reshape(turn.shape)
    right = np.roll(index, -1, axis=1)
    a, b, c, d = index[:-1], right[:-1], right[1:], index[1:]
    triangles = np.vstack([np.stack(t, axis=-1).reshape(-1, 3) for t in ((a, b, c), (a, c, d))])
    ring = np.column_stack(
        [radius * np.cos(turn.ravel()), radius * np.sin(turn.ravel()), up.ravel()]
    )
    return ring, triangles


def torus_with_a_window(steps: int) -> tuple[Array, Index]:
    """A ring doughnut with one triangle missing: one edge, one handle."""
    i, j = np.meshgrid(np.arange(steps), np.arange(steps), indexing="ij")
    u, v = 2.0 * np.pi * i.ravel() / steps, 2.0 * np.pi * j.ravel() / steps
    out = 300.0 + 100.0 * np.cos(v)
    points = np.column_stack([out * np.cos(u), out * np.sin(u), 100.0 * np.sin(v)])
    a = i * steps + j
    b, d = (i + 1) % steps * steps + j, i * steps + (j + 1) % steps
    c = (i + 1) % steps * steps + (j + 1) % steps
    triangles = np.vstack([np.stack(t, axis=-1).reshape(-1, 3) for t in ((a, b, c), (a, c, d))])
    return points, triangles[1:]


def wing(rings: int) -> tuple[Array, Index]:
    """A wing over a wheel: part of a torus, tube 230, outer radius 430, without corners."""
    disc, triangles = ring_disc(rings)
    square = np.sqrt(np.hypot(*disc.T))[:, None] * disc
    size = np.maximum(np.hypot(*square.T), 1e-12)
    stretch = np.hypot(*disc.T) / size * (1.0 + 0.15 * np.abs(np.sin(2 * np.arctan2(*disc.T))) ** 2)
    p, q = (square * stretch[:, None]).T
    u, v = np.pi / 2 + 1.2 * p, 0.56 * q
    out = 430.0 + 230.0 * (np.cos(v) - 1.0)
    points = np.column_stack([out * np.cos(u), -692.0 - 230.0 * np.sin(v), 330.0 + out * np.sin(u)])
    return points, triangles


def bumpy(seed: int, rings: int = 14) -> tuple[Array, Index]:
    """A random panel: an uneven disc bent over a random smooth height, up to deeply dished."""
    rng = np.random.default_rng(seed)
    disc, triangles = ring_disc(rings)
    turn = np.arctan2(disc[:, 1], disc[:, 0])
    rim = 1.0 + sum(
        rng.uniform(-0.25, 0.25) / k * np.cos(k * turn + rng.uniform(0, 6.3)) for k in (2, 3, 4)
    )
    inside = np.hypot(*disc.T) < 0.99
    jitter = rng.uniform(-0.3, 0.3, disc.shape) / rings * inside[:, None]
    plan = (disc + jitter) * rim[:, None] * rng.uniform([150.0, 150.0], [700.0, 400.0])
    height = np.zeros(len(plan))
    for _ in range(4):
        wave = rng.normal(size=2) * rng.uniform(0.5, 3.0) / 300.0
        height += rng.uniform(10.0, 120.0) * np.cos(plan @ wave + rng.uniform(0, 6.3))
    return np.column_stack([plan, height]), triangles


def opened(mesh: tuple[Array, Index], *holes: tuple[float, float, float]) -> tuple[Array, Index]:
    """The mesh without the triangles that lie within circles (x, y, radius) seen from above."""
    vertices, triangles = mesh
    middle = vertices[triangles].mean(axis=1)
    keep = np.ones(len(triangles), dtype=np.bool_)
    for x, y, radius in holes:
        keep &= np.hypot(middle[:, 0] - x, middle[:, 1] - y) > radius
    used, packed = np.unique(triangles[keep], return_inverse=True)
    return vertices[used], packed.reshape(-1, 3)


def as_panel(mesh: tuple[Array, Index], name: str = "panel") -> Panel:
    return Panel(name=name, region="", vertices=mesh[0], triangles=mesh[1])


def as_skin(mesh: tuple[Array, Index], name: str, side: str = "left") -> Skin:
    """A skin of one region, its rim the last vertices of a `ring_disc`."""
    vertices, triangles = mesh
    rings = round((len(triangles) / 6) ** 0.5)
    rim = np.arange(len(vertices) - 6 * rings, len(vertices))
    region = SkinRegion(
        name=name,
        side=side,
        vertices=vertices,
        triangles=triangles,
        chart=vertices[:, :2],
        boundary=(LineTrack(line=f"{name} edge", vertices=rim, closed=True),),
        inner=(),
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )
    return Skin(regions=(region,))
