"""Skins whose surface and normals are known on paper, meshed finely, with lines on them."""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import make_interp_spline

from buckwright.geometry.mesh import triangle_normals
from buckwright.model.lines import Line, LineNetwork
from buckwright.model.skin import LineTrack, Skin, SkinRegion

Array = NDArray[np.float64]
Surface = Callable[[Array, Array], Array]


def line_through(name: str, points: Array, *, closed: bool = False) -> Line:
    """The cubic through points at even parameters; a closed one is given with its start again."""
    at = np.linspace(0.0, 1.0, len(points))
    if closed:
        points = np.vstack([points[:-1], points[:1]])
    curve = make_interp_spline(at, points, k=3, bc_type="periodic" if closed else None)
    return Line(name=name, degree=3, knots=curve.t, control=curve.c, closed=closed, sigma=0.0)


def grid_region(
    name: str,
    surface: Surface,
    u: Array,
    v: Array,
    *,
    outward: Callable[[Array], Array],
    tracks: Sequence[LineTrack] = (),
    boundary: Sequence[LineTrack] = (),
    side: str = "whole",
    open_cells: NDArray[np.bool_] | None = None,
) -> SkinRegion:
    """A region over a grid; vertex (i, j) has the index i * len(v) + j."""
    uu, vv = np.meshgrid(u, v, indexing="ij")
    vertices = surface(uu.ravel(), vv.ravel())
    index = np.arange(len(vertices)).reshape(uu.shape)
    a, b, c, d = index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]
    cells = np.ones(a.shape, dtype=bool) if open_cells is None else ~open_cells
    triangles = np.vstack(
        [
            np.column_stack([a[cells], b[cells], c[cells]]),
            np.column_stack([a[cells], c[cells], d[cells]]),
        ]
    )
    normals = triangle_normals(vertices, triangles)
    if (normals * outward(vertices[triangles].mean(axis=1))).sum() < 0.0:
        triangles = triangles[:, ::-1]
    used, triangles = np.unique(triangles, return_inverse=True)
    new = np.full(len(vertices), -1)
    new[used] = np.arange(len(used))

    def kept(found: Sequence[LineTrack]) -> tuple[LineTrack, ...]:
        return tuple(t.model_copy(update={"vertices": new[t.vertices]}) for t in found)

    return SkinRegion(
        name=name,
        side=side,
        vertices=vertices[used],
        triangles=triangles.reshape(-1, 3),
        chart=np.column_stack([uu.ravel(), vv.ravel()])[used],
        boundary=kept(boundary),
        inner=kept(tracks),
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )


def torus(ring: float, tube: float) -> Surface:
    """u round the ring, v round the tube, v = 0 outside."""
    return lambda u, v: np.column_stack(
        [
            (ring + tube * np.cos(v)) * np.cos(u),
            (ring + tube * np.cos(v)) * np.sin(u),
            tube * np.sin(v),
        ]
    )


def off_torus(points: Array, ring: float, tube: float) -> Array:
    """Signed distance from the torus, positive outside."""
    return np.hypot(np.hypot(points[:, 0], points[:, 1]) - ring, points[:, 2]) - tube


def sphere(radius: float) -> Surface:
    """u longitude, v latitude."""
    return lambda u, v: (
        radius * np.column_stack([np.cos(v) * np.cos(u), np.cos(v) * np.sin(u), np.sin(v)])
    )


def cylinder(radius: float) -> Surface:
    """Axis along x: u along it, v round it from the right over the top."""
    return lambda u, v: np.column_stack([u, radius * np.cos(v), radius * np.sin(v)])


def tunnel_section(x: Array, t: Array) -> Array:
    """A van-like tunnel: t from 0 (left sill) to 1 (right sill), round above, upright below."""
    across, up = -np.cos(np.pi * t), np.sin(np.pi * t)
    size = (across**4 + up**4) ** 0.25
    breadth = 650.0 - 8e-5 * (x - 1500.0) ** 2
    height = 1300.0 - 5e-5 * (x - 1600.0) ** 2
    return np.column_stack(
        [
            x,
            breadth * across / size,
            330.0 + height * up / size,
        ]
    )


def tunnel(spacing: float = 25.0) -> tuple[Skin, LineNetwork]:
    """A closed-sided body open at both ends and below, with a window in its left side."""

    def surface(x: Array, t: Array) -> Array:
        # Even steps of arc along the section, so that triangles are even.
        fine = np.linspace(0.0, 1.0, 2001)
        middle = tunnel_section(np.full(2001, 1500.0), fine)
        along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(middle, axis=0), axis=1))])
        return tunnel_section(x, np.interp(t, along / along[-1], fine))

    x = np.linspace(450.0, 2850.0, round(2400.0 / spacing) + 1)
    t = np.linspace(0.0, 1.0, 2 * round(1750.0 / spacing) + 1)
    rows = np.arange(len(x) * len(t)).reshape(len(x), len(t))
    middle, roof = len(x) // 2, len(t) // 2
    belt, cant = round(0.2 * (len(t) - 1)), round(0.36 * (len(t) - 1))
    along = {
        "sill left": 0,
        "belt left": belt,
        "cantrail left": cant,
        "roof centre line": roof,
        "cantrail right": len(t) - 1 - cant,
        "belt right": len(t) - 1 - belt,
        "sill right": len(t) - 1,
    }
    across = {"front arch": 0, "middle section": middle, "rear arch": len(x) - 1}
    tracks = [LineTrack(line=n, vertices=rows[:, j], closed=False) for n, j in along.items()]
    tracks += [LineTrack(line=n, vertices=rows[i], closed=False) for n, i in across.items()]
    fine = np.linspace(0.0, 1.0, 401)
    lines = [
        line_through(n, surface(450.0 + 2400.0 * fine, np.full(401, t[j])))
        for n, j in along.items()
    ]
    lines += [line_through(n, surface(np.full(401, x[i]), fine)) for n, i in across.items()]
    hole = np.zeros((len(x) - 1, len(t) - 1), dtype=bool)
    hole[middle + 12 : middle + 30, belt + 3 : cant - 3] = True
    body = grid_region(
        "body",
        surface,
        x,
        t,
        outward=lambda p: p * [0.0, 1.0, 1.0] - [0.0, 0.0, 700.0],
        tracks=tracks,
        open_cells=hole,
    )
    return Skin(regions=(body,)), LineNetwork(lines=tuple(lines), crossings=())


def mirrored_region(region: SkinRegion) -> SkinRegion:
    """The right region of a left one."""
    return region.model_copy(
        update={
            "side": "right",
            "vertices": region.vertices * [1.0, -1.0, 1.0],
            "triangles": region.triangles[:, ::-1].copy(),
        }
    )
