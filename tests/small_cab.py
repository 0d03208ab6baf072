"""A small body whose lines are exact: a barrel with arches, belt, sills, a hatch and two wheels.

Its section is a superellipse that swells towards the middle; y < 0 is the left.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from buckwright.model.lines import Datum, LineSpec, PlacedLine
from buckwright.model.pictures import MeasuredLine

Array = NDArray[np.float64]

FRONT, REAR, WHEELBASE, WHEEL = -400.0, 1900.0, 1500.0, 250.0
BELT = 0.5
HATCH_MIDDLE, HATCH_HALF = (900.0, BELT), (300.0, 0.3)

DATUM = Datum(
    front_axle=("front rim",), rear_axle=("rear rim",), forward_of=("front arch", "rear arch")
)

SPECS = (
    LineSpec(name="front arch", mark="edge"),
    LineSpec(name="rear arch", mark="edge"),
    LineSpec(name="roof centre"),
    LineSpec(name="sill left", mirror="sill right"),
    LineSpec(name="sill right", mirror="sill left"),
    LineSpec(name="belt left", mirror="belt right"),
    LineSpec(name="belt right", mirror="belt left"),
    LineSpec(name="hatch left", mirror="hatch right", closed=True),
    LineSpec(name="hatch right", mirror="hatch left", closed=True),
    LineSpec(name="front rim", closed=True, use="datum"),
    LineSpec(name="rear rim", closed=True, use="datum"),
)

CROSSINGS = {
    ("front arch", "sill left"): 1,
    ("front arch", "sill right"): 1,
    ("rear arch", "sill left"): 1,
    ("rear arch", "sill right"): 1,
    ("belt left", "front arch"): 1,
    ("belt right", "front arch"): 1,
    ("belt left", "rear arch"): 1,
    ("belt right", "rear arch"): 1,
    ("belt left", "hatch left"): 2,
    ("belt right", "hatch right"): 2,
    ("front arch", "roof centre"): 1,
    ("rear arch", "roof centre"): 1,
}
"""How often each two lines meet."""


def surface(x: Array, turn: Array) -> Array:
    """Points (n, 3) of the barrel: turn 0 is the left sill, pi / 2 the roof, pi the right sill."""
    swell = np.sin(np.pi * (x - FRONT) / (REAR - FRONT))
    c, s = np.cos(turn), np.sin(turn)
    power = 2.0 / 3.0
    side = -(600.0 + 50.0 * swell) * np.sign(c) * np.abs(c) ** power
    height = 330.0 + (1150.0 + 80.0 * swell) * np.abs(s) ** power
    return np.column_stack([x, side, height])


def exact_lines(count: int = 4000) -> dict[str, tuple[Array, bool]]:
    """Every line's dense points and whether it is closed."""
    t = np.linspace(0.0, 1.0, count)
    along = FRONT + (REAR - FRONT) * t
    round_ = 2.0 * np.pi * np.arange(count) / count
    lines: dict[str, tuple[Array, bool]] = {}
    for name, x in (("front arch", FRONT), ("rear arch", REAR)):
        # Even in the superellipse's own angle crowds points at its corners: good for both.
        lines[name] = (surface(np.full(count, x), np.pi * t), False)
    lines["roof centre"] = (surface(along, np.full(count, np.pi / 2.0)) * [1.0, 0.0, 1.0], False)
    left = {
        "sill": (surface(along, np.zeros(count)), False),
        "belt": (surface(along, np.full(count, BELT)), False),
        "hatch": (
            surface(
                HATCH_MIDDLE[0] + HATCH_HALF[0] * np.cos(round_),
                HATCH_MIDDLE[1] + HATCH_HALF[1] * np.sin(round_),
            ),
            True,
        ),
    }
    for name, (points, closed) in left.items():
        lines[f"{name} left"] = (points, closed)
        lines[f"{name} right"] = (points * [1.0, -1.0, 1.0], closed)
    for name, x in (("front rim", 0.0), ("rear rim", WHEELBASE)):
        rim = [x + WHEEL * np.cos(round_), np.full(count, -640.0), WHEEL + WHEEL * np.sin(round_)]
        lines[name] = (np.column_stack(rim), True)
    return lines


def _thinned(points: Array, closed: bool, spacing: float) -> Array:
    looped = np.vstack([points, points[:1]]) if closed else points
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(looped, axis=0), axis=1))])
    count = int(along[-1] / spacing) + 1
    at = np.linspace(0.0, along[-1], count, endpoint=not closed)
    return np.column_stack([np.interp(at, along, looped[:, k]) for k in range(3)])


def _wobble(points: Array, closed: bool, alike: float, rng: np.random.Generator) -> Array:
    """Errors of one mm rms in each coordinate, alike over `alike` mm along the line."""
    count = len(points)
    step = np.linalg.norm(points[1] - points[0])
    apart = np.abs(np.subtract.outer(np.arange(count), np.arange(count))) * step
    if closed:
        apart = np.minimum(apart, count * step - apart)
    size, ways = np.linalg.eigh(np.exp(-0.5 * (apart / alike) ** 2))
    return (ways * np.sqrt(np.maximum(size, 0.0))) @ rng.normal(size=(count, 3))


def placed_lines(
    *, sigma: float = 0.0, alike: float = 80.0, spacing: float = 20.0, draw: int = 0
) -> tuple[PlacedLine, ...]:
    """The lines as if measured with correlated errors of `sigma` mm, in vehicle axes."""
    rng = np.random.default_rng(draw)
    found = []
    for name, (dense, closed) in exact_lines().items():
        points = _thinned(dense, closed, spacing)
        if sigma > 0.0:
            points = points + sigma * _wobble(points, closed, alike, rng)
        doubt = np.full(len(points), max(sigma, 0.02))
        found.append(PlacedLine(name=name, points=points, sigma=doubt, closed=closed))
    return tuple(found)


def measured_lines(
    *, sigma: float = 0.0, scale: float = 8.0, angle: float = 0.7, draw: int = 0
) -> tuple[MeasuredLine, ...]:
    """The same on a model that stands on the mat, turned by `angle` and moved."""
    turn = Rotation.from_euler("z", angle).as_matrix()
    return tuple(
        MeasuredLine(
            name=line.name,
            points=np.asarray(line.points) @ turn.T / scale + [150.0, 90.0, 0.0],
            sigma=np.asarray(line.sigma) / scale,
            closed=line.closed,
            pictures=("one", "two"),
            residual_px=1.0,
            conditioning=np.ones(len(line.points)),
        )
        for line in placed_lines(sigma=sigma, draw=draw)
    )
