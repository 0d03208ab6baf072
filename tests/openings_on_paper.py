"""Bodies with a door whose swing and glass are known on paper: a flat side, and a barrel.

The flat side lies at y = -600, outside to the left, stations 200 to 1300, levels 0 to 1100.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.model.lines import Line, LineNetwork
from buckwright.model.openings import GlassSpec, Hinge, HingePin, OpeningSpec
from buckwright.model.skin import Skin, SkinRegion

Array = NDArray[np.float64]

SIDE = -600.0
DOOR = ((500.0, 300.0), (1000.0, 900.0))
WINDOW = ((600.0, 650.0), (900.0, 800.0))
STEP = 25.0
BARREL = 2000.0


def corner_line(name: str, corners: Array, *, closed: bool = True) -> Line:
    """A line that runs straight from corner to corner."""
    points = np.vstack([corners, corners[:1]]) if closed else corners
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    knots = np.concatenate([[0.0], along / along[-1], [1.0]])
    return Line(name=name, degree=1, knots=knots, control=points, closed=closed, sigma=0.0)


def rectangle(box: tuple[tuple[float, float], tuple[float, float]]) -> Array:
    (x0, z0), (x1, z1) = box
    return np.array([[x0, z0], [x1, z0], [x1, z1], [x0, z1]])


def flat_side(flat: Array) -> Array:
    return np.column_stack([flat[:, 0], np.full(len(flat), SIDE), flat[:, 1]])


def barrel_side(flat: Array) -> Array:
    """Bent to `BARREL` about an axis fore and aft, upright at level 600, lengths kept."""
    turn = (flat[:, 1] - 600.0) / BARREL
    return np.column_stack(
        [flat[:, 0], SIDE + BARREL * (1.0 - np.cos(turn)), 600.0 + BARREL * np.sin(turn)]
    )


def dotted(corners: Array, step: float = 5.0) -> Array:
    """Points along a closed polygon, corners among them."""
    sides = []
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        count = max(1, round(float(np.linalg.norm(b - a)) / step))
        sides.append(a + np.outer(np.arange(count) / count, b - a))
    return np.vstack(sides)


@dataclass(frozen=True)
class Paper:
    """A skin of one region 'body' and the lines on it."""

    skin: Skin
    network: LineNetwork


def make_paper(place=flat_side, *, window: bool = True, move=lambda points: points) -> Paper:
    u, v = np.arange(200.0, 1300.1, STEP), np.arange(0.0, 1100.1, STEP)
    flat = np.stack(np.meshgrid(u, v, indexing="ij"), axis=-1).reshape(-1, 2)
    index = np.arange(len(flat)).reshape(len(u), len(v))
    a, b, c, d = index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]
    # Seen from the left, x runs to the left's right: (a, b, c) turns against the clock from there.
    triangles = np.vstack(
        [np.stack([a, b, c], -1).reshape(-1, 3), np.stack([a, c, d], -1).reshape(-1, 3)]
    )
    if window:
        middle = flat[triangles].mean(axis=1)
        (x0, z0), (x1, z1) = WINDOW
        hole = (middle[:, 0] > x0) & (middle[:, 0] < x1) & (middle[:, 1] > z0) & (middle[:, 1] < z1)
        triangles = triangles[~hole]
    vertices = move(place(flat))
    mirrored = np.linalg.det(move(np.eye(3)) - move(np.zeros((1, 3)))) < 0.0
    used, numbers = np.unique(triangles, return_inverse=True)
    triangles = numbers.reshape(-1, 3)
    region = SkinRegion(
        name="body",
        side="whole",
        vertices=vertices[used],
        triangles=triangles[:, ::-1] if mirrored else triangles,
        chart=flat[used] * ([-1.0, 1.0] if mirrored else [1.0, 1.0]),
        boundary=(),
        inner=(),
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )
    lines = tuple(
        corner_line(name, move(place(dotted(rectangle(box)))))
        for name, box in (("door", DOOR), ("window", WINDOW))
    )
    return Paper(Skin(regions=(region,)), LineNetwork(lines=lines, crossings=()))


def door_spec(
    *, hinge_x: float, hinge_y: float, move=lambda points: points, **changes
) -> OpeningSpec:
    pins = move(np.array([[hinge_x, hinge_y, 400.0], [hinge_x, hinge_y, 800.0]]))
    spec = OpeningSpec(
        name="left door",
        kind="door",
        outline=("door",),
        gap=5.0,
        drain=5.0,
        hinge=Hinge(pins=tuple(HingePin(point=tuple(pin)) for pin in pins), swing=np.radians(60.0)),
    )
    return spec.model_copy(update=changes)


def side_glass(**changes) -> GlassSpec:
    return GlassSpec(outline=("window",), drops=True).model_copy(update=changes)
