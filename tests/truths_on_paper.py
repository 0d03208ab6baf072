"""Four bodies known in closed form, seven by seven lines on each, clean or traced with noise."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.curvature import angle_defects
from buckwright.geometry.mesh import MeshLocator, boundary_loops, vertex_areas
from buckwright.lines import fair_network
from buckwright.model.lines import LineNetwork, LineSpec, PlacedLine
from buckwright.model.skin import RegionSpec
from networks_on_paper import network_of

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Surface = Callable[[Array, Array], Array]

ASIDE = np.array([0.0, 5000.0, 0.0])
"""mm: away from the centre plane, so that no line is taken for its own mirror image."""
SPREAD = 100.0
"""mm over which Gauss curvature is averaged before its sign is read."""
NOTHING = 1.0 / 5000.0**2
"""1/mm2: a Gauss curvature below this is none."""


def _shifted(surface: Surface) -> Surface:
    return lambda s, t: surface(s, t) + ASIDE


def superellipsoid(s: Array, t: Array) -> Array:
    """A cab: exponents 2.5, 1800 x 1300 x 900 mm, cut before its poles and above its sill."""
    along, turn = -0.95 + 1.9 * s, np.pi * (0.06 + 0.88 * t)
    c, sn, a = np.cos(turn), np.sin(turn), np.sin(along)

    def power(v: Array) -> Array:
        return np.sign(v) * np.abs(v) ** (2.0 / 2.5)

    wide = power(np.cos(along))
    return np.stack([900.0 * power(a), -650.0 * wide * power(c), 900.0 * wide * power(sn)], axis=-1)


def wigley(s: Array, t: Array) -> Array:
    """A roof in Wigley's form, parabolas both ways, on a crown: saddles at its corners."""
    x, y = 0.8 * (2.0 * s - 1.0), 0.8 * (2.0 * t - 1.0)
    z = 450.0 * (1.0 - x * x) * (1.0 - y * y) + 120.0 * (1.0 - y * y)
    return np.stack([1000.0 * x, 700.0 * y, z], axis=-1)


def torus_wing(s: Array, t: Array) -> Array:
    """A wing round a wheel: over the crown and down inside, where it turns into a saddle."""
    u, v = -1.2 + 2.4 * s, -1.1 + 3.1 * t
    out = 440.0 + 220.0 * (np.cos(v) - 1.0)
    return np.stack([out * np.sin(u), 220.0 * np.sin(v), out * np.cos(u)], axis=-1)


def bonnet(s: Array, t: Array) -> Array:
    """Half a cone that goes over into half a cylinder at s = 1/2, with a break of 6.8 degrees."""
    x, turn = 1500.0 * s, np.pi * (0.05 + 0.9 * t)
    radius = 520.0 - 0.12 * np.maximum(750.0 - x, 0.0)
    return np.stack([x, -radius * np.cos(turn), radius * np.sin(turn)], axis=-1)


TRUTHS: dict[str, Surface] = {
    "superellipsoid cab": _shifted(superellipsoid),
    "Wigley form with crowned roof": _shifted(wigley),
    "torus wing": _shifted(torus_wing),
    "cone-cylinder bonnet": _shifted(bonnet),
}


def parts_of(name: str) -> tuple[Surface, ...]:
    """The smooth pieces of a truth: the bonnet breaks in its middle, the others are one."""
    surface = TRUTHS[name]
    if "bonnet" not in name:
        return (surface,)
    return (
        lambda s, t: surface(0.5 * s, t),
        lambda s, t: surface(0.5 + 0.5 * s, t),
    )


def grid_lines(surface: Surface, count: int = 7) -> dict[str, Callable[[Array], Array]]:
    """Lines `arch k` at even s and `long k` at even t."""
    places = np.linspace(0.0, 1.0, count)
    curves = {f"arch {k}": (lambda t, c=c: surface(c + 0.0 * t, t)) for k, c in enumerate(places)}
    curves |= {f"long {k}": (lambda t, c=c: surface(t, c + 0.0 * t)) for k, c in enumerate(places)}
    return curves


def grid_spec(first: int = 0, last: int = 6, count: int = 7) -> RegionSpec:
    """The region between two arches, all lines between them on it."""
    top = count - 1
    inner = [f"arch {k}" for k in range(first + 1, last)] + [f"long {k}" for k in range(1, top)]
    return RegionSpec(
        name=f"arches {first} to {last}",
        boundary=(f"arch {first}", f"long {top}", f"arch {last}", "long 0"),
        inner=tuple(inner),
    )


def clean_lines(surface: Surface) -> LineNetwork:
    """The lines without error."""
    return network_of(grid_lines(surface))


def traced_lines(surface: Surface, noise: float, seed: int) -> LineNetwork:
    """Points 10 mm apart with so many mm of noise in each coordinate, faired as a job's lines."""
    rng = np.random.default_rng(seed)
    placed = []
    for name, curve in grid_lines(surface).items():
        fine = curve(np.linspace(0.0, 1.0, 4001))
        along = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(fine, axis=0), axis=1))])
        at = np.linspace(0.0, along[-1], int(along[-1] / 10.0) + 1)
        points = np.column_stack([np.interp(at, along, fine[:, k]) for k in range(3)])
        points = points + rng.normal(0.0, noise, points.shape)
        sigma = np.full(len(points), noise)
        placed.append(PlacedLine(name=name, points=points, sigma=sigma, closed=False))
    return fair_network(tuple(placed), tuple(LineSpec(name=line.name) for line in placed))


def missing_lines(surface: Surface) -> LineNetwork:
    """Lines of which every other lengthwise one is 2 mm too low, and no crossing of it told."""

    def low(curve: Callable[[Array], Array]) -> Callable[[Array], Array]:
        return lambda t: curve(t) - np.array([0.0, 0.0, 1.98])

    curves = grid_lines(surface)
    curves |= {name: low(curves[name]) for name in ("long 1", "long 3", "long 5")}
    return network_of(curves, tolerance=1e-3)


def five_sided(surface: Surface) -> tuple[LineNetwork, RegionSpec]:
    """Five lines round a piece of the surface, and five from its corners to its middle."""
    corners = np.array([[0.1, 0.2], [0.5, 0.02], [0.95, 0.3], [0.8, 0.95], [0.2, 0.85]])
    middle = corners.mean(axis=0)

    def side(a: Array, b: Array) -> Callable[[Array], Array]:
        def curve(t: Array) -> Array:
            at = a + (b - a) * t[:, None]
            return surface(at[:, 0], at[:, 1])

        return curve

    curves = {f"side {k}": side(corners[k], corners[(k + 1) % 5]) for k in range(5)}
    curves |= {f"spoke {k}": side(corners[k], middle) for k in range(5)}
    spec = RegionSpec(
        name="five sides",
        boundary=tuple(f"side {k}" for k in range(5)),
        inner=tuple(f"spoke {k}" for k in range(5)),
    )
    return network_of(curves), spec


@dataclass(frozen=True, eq=False)
class Truth:
    """The true surface on a fine grid, with its Gauss curvature."""

    mesh: MeshLocator
    tree: cKDTree
    gauss: Array

    @classmethod
    def of(cls, surface: Surface, fine: int = 301) -> "Truth":
        ends = np.linspace(0.0, 1.0, fine)
        points, triangles = grid_mesh(surface, ends, ends)
        inside = np.linspace(0.004, 0.996, fine)
        s, t = (g.ravel() for g in np.meshgrid(inside, inside, indexing="ij"))
        return cls(MeshLocator(points, triangles), cKDTree(surface(s, t)), gauss_of(surface, s, t))


def gauss_of(surface: Surface, s: Array, t: Array, step: float = 1e-3) -> Array:
    """Gauss curvature by central differences of the closed form."""
    h = step
    p = surface(s, t)
    su, sv = (
        (surface(s + h, t) - surface(s - h, t)) / 2 / h,
        (surface(s, t + h) - surface(s, t - h)) / 2 / h,
    )
    uu = (surface(s + h, t) - 2 * p + surface(s - h, t)) / h**2
    vv = (surface(s, t + h) - 2 * p + surface(s, t - h)) / h**2
    uv = surface(s + h, t + h) - surface(s + h, t - h)
    uv = (uv - surface(s - h, t + h) + surface(s - h, t - h)) / 4 / h**2
    n = np.cross(su, sv)
    n /= np.linalg.norm(n, axis=-1, keepdims=True)
    e, f, g = ((a * b).sum(-1) for a, b in ((su, su), (su, sv), (sv, sv)))
    a, b, c = ((d * n).sum(-1) for d in (uu, uv, vv))
    return np.asarray((a * c - b * b) / (e * g - f * f))


def grid_mesh(surface: Surface, u: Array, v: Array) -> tuple[Array, Index]:
    uu, vv = np.meshgrid(u, v, indexing="ij")
    number = np.arange(uu.size).reshape(uu.shape)
    a, b, c, d = number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]
    triangles = [np.stack(q, axis=-1).reshape(-1, 3) for q in ((a, b, c), (a, c, d))]
    return surface(uu.ravel(), vv.ravel()), np.vstack(triangles)


def judged(vertices: Array, triangles: Index, truth: Truth) -> Array:
    """Greatest and rms distance, mm; share of the area with the wrong sign of Gauss curvature, %.

    Curvature is the sum of angle defects within `SPREAD` over the area there, for every engine
    alike. Wrong is the other sign where the truth bends two ways, and any bend two ways where it
    does not.
    """
    off = truth.mesh.closest(vertices)[0]
    rim = np.unique(np.concatenate(boundary_loops(triangles)))
    inside = np.setdiff1d(np.arange(len(vertices)), rim)
    areas, defects = vertex_areas(vertices, triangles), angle_defects(vertices, triangles)
    near = cKDTree(vertices[inside]).query_ball_point(vertices[inside], SPREAD)
    found = np.array([defects[inside[k]].sum() / areas[inside[k]].sum() for k in near])
    true = truth.gauss[truth.tree.query(vertices[inside])[1]]
    none = np.abs(true) < NOTHING
    wrong = np.where(none, np.abs(found) > NOTHING, found * true < 0.0)
    share = 100.0 * areas[inside][wrong].sum() / areas[inside].sum()
    return np.array([np.abs(off).max(), np.sqrt(np.mean(off**2)), share])
