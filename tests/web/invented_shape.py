"""The shape of the invented van: closed forms, its lines, and its skin."""

import numpy as np
from scipy.interpolate import make_interp_spline

from buckwright.model.finding import Finding
from buckwright.model.job import Reference
from buckwright.model.lines import Crossing, Line, LineNetwork, Placement
from buckwright.model.skin import LineTrack, Skin, SkinRegion

SCALE = 8.0


def half_breadth(x):
    return 640.0 - 6.0e-5 * (x - 1600.0) ** 2


def body_point(x, angle):
    """The body at station x: angle -1 at the left sill, 0 on the roof's centre, 1 at the right."""
    turn = 0.5 * np.pi * np.clip(np.abs(angle) * 1.55, 0.0, 1.0)
    down = np.clip((np.abs(angle) - 1.0 / 1.55) / (1.0 - 1.0 / 1.55), 0.0, 1.0)
    y = np.sign(angle) * half_breadth(x) * np.sin(turn) ** 0.55 * (1.0 - 0.08 * down**2)
    z = 1000.0 + (610.0 - 4.0e-5 * (x - 1700.0) ** 2) * np.cos(turn) ** 0.62 - 660.0 * down
    return np.stack(np.broadcast_arrays(x, y, z), axis=-1)


def wing_point(u, v):
    """A wing round an axle at x = 0: u along it (0 to 1), v across it (-1 to 1)."""
    turn = np.pi * (1.02 - 0.98 * u)
    radius = 400.0 - 60.0 * v**2
    x, z = radius * np.cos(turn), 330.0 + radius * np.sin(turn)
    return np.stack(np.broadcast_arrays(x, -690.0 + 125.0 * v, z), axis=-1)


def grid(rows, columns):
    """Triangles of a rows x columns grid of vertices, and the vertices round its edge."""
    at = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]
    triangles = np.concatenate([np.stack([a, b, c], -1), np.stack([a, c, d], -1)])
    edge = np.concatenate([at[0, :-1], at[:-1, -1], at[-1, :0:-1], at[:0:-1, 0]])
    return triangles.reshape(-1, 3), edge


def spline(name, points, *, closed=False, moved=0.4):
    """A Line through points."""
    curve = make_interp_spline(np.linspace(0.0, 1.0, len(points)), points, k=3)
    return Line(
        name=name,
        degree=3,
        knots=curve.t,
        control=curve.c,
        closed=closed,
        sigma=0.55 + 0.01 * len(name),
        moved_most=moved,
        moved_rms=moved / 3.0,
        curvature_extrema=len(name) % 4,
    )


def true_lines():
    """Points of each line before the departure, by name."""
    x = np.linspace(760.0, 2860.0, 60)
    low = np.linspace(430.0, 2860.0, 60)
    arch = np.linspace(-1.0, 1.0, 80)
    lines = {
        "roof centre line": body_point(x, np.zeros_like(x)),
        "middle section": body_point(np.full_like(arch, 1470.0), arch),
        "rear edge": body_point(np.full_like(arch, 2860.0), arch),
    }
    for side, sign in (("left", -1.0), ("right", 1.0)):
        lines[f"belt {side}"] = body_point(low, np.full_like(low, sign / 1.55))
        lines[f"sill {side}"] = body_point(low, np.full_like(low, sign))
        lines[f"cantrail {side}"] = body_point(x, np.full_like(x, sign * 0.42))
    u = np.linspace(0.0, 1.0, 50)
    lines["front wing crown"] = wing_point(u, np.zeros_like(u))
    return lines


def departed(points):
    """Moved as the stretch zone of the job moves them."""
    part = np.clip((points[:, 0] - 1500.0) / 400.0, 0.0, 1.0)
    shift = 60.0 * part**3 * (10.0 + part * (6.0 * part - 15.0))
    return points + np.column_stack([shift, np.zeros((len(points), 2))])


def make_lines():
    before = {name: spline(name, points) for name, points in true_lines().items()}
    after = {name: spline(name, departed(points)) for name, points in true_lines().items()}
    crossing = Crossing(
        lines=("roof centre line", "middle section"),
        parameters=(0.34, 0.5),
        point=body_point(np.array(1470.0), np.array(0.0)),
        gap=0.8,
    )
    finding = Finding(
        code="one-sided-line",
        where="sill left",
        message="The sill left was seen in 4 pictures only, and is good to 1.42 mm there.",
        remedy="Take two more pictures from below on the left.",
    )
    return Reference(
        placement=Placement(
            scale=SCALE,
            rotation=np.eye(3),
            origin=np.array([120.0, 150.0, 0.0]),
            wheelbase=2240.4,
            asymmetry_rms=0.9,
        ),
        placed=(),
        reference=LineNetwork(lines=tuple(before.values()), crossings=()),
        network=LineNetwork(
            lines=tuple(after.values()), crossings=(crossing,), findings=(finding,)
        ),
        wheelbase=2300.4,
    )


def _region(name, side, points, shape):
    triangles, edge = grid(*shape)
    flat = points.reshape(-1, 3)
    chart = np.stack(np.meshgrid(*(np.arange(n) * 25.0 for n in shape), indexing="ij"), axis=-1)
    return SkinRegion(
        name=name,
        side=side,
        vertices=flat,
        triangles=triangles,
        chart=chart.reshape(-1, 2),
        boundary=(LineTrack(line=f"{name} edge", vertices=edge, closed=True),),
        inner=(),
        holes=(),
        line_error_most=0.9,
        line_error_rms=0.3,
    )


def make_skin():
    x, angle = np.meshgrid(
        np.linspace(430.0, 2860.0, 60), np.linspace(-1.0, 1.0, 50), indexing="ij"
    )
    body = body_point(x, angle)
    u, v = np.meshgrid(np.linspace(0.0, 1.0, 40), np.linspace(-1.0, 1.0, 16), indexing="ij")
    left = wing_point(u, v)
    right = wing_point(u, -v) * np.array([1.0, -1.0, 1.0])
    return Skin(
        regions=(
            _region("body", "whole", departed(body.reshape(-1, 3)), x.shape),
            _region("front wing", "left", left, u.shape),
            _region("front wing", "right", right, u.shape),
        )
    )
