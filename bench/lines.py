"""Fairing: error and turns of curvature left, beside scipy's smoothing splines at their best.

Two hundred lines: five shapes of a body, 30 to 200 points, errors of 3 mm square to the line in
each of two directions. scipy's splines are given what a shop has not: of fourteen smoothings the
one that is nearest to the true line.
"""

import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from time import process_time

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_smoothing_spline, splprep
from scipy.spatial import cKDTree
from scipy.special import fresnel

from buckwright.geometry.polyline import arc_lengths, resample_polyline
from buckwright.geometry.spline import curvature_extrema
from buckwright.lines import fair_line
from buckwright.model.lines import PlacedLine

Array = NDArray[np.float64]

SIGMA = 3.0
COUNTS = (30, 60, 120, 200)
SEEDS = 10
FINE = 600


@dataclass(frozen=True, eq=False, slots=True)
class Shape:
    """A true line: dense points, and how many turns of curvature it has."""

    name: str
    points: Array
    turns: int


def shapes() -> tuple[Shape, ...]:
    """Five full-size lines, exact."""
    u = np.linspace(0.0, 1.0, 20001)
    belt = np.column_stack(
        [420 + 2480 * u, -480 - 180 * np.sin(np.pi * (0.15 + 0.7 * u)), 1000 + 30 * u]
    )
    quarter = 0.5 * np.pi * u
    ellipse = np.column_stack([1000 * np.cos(quarter), 0 * u, 500 * np.sin(quarter)])
    s, c = fresnel(1.3 * u)
    clothoid = np.column_stack([1500 * c, 0 * u - 600, 1500 * s])
    t = 1.2 * u - 0.2
    crown = np.column_stack([1400 * t, 0 * t - 720, 600 * np.exp(-(((t - 0.3) / 0.35) ** 2))])
    half = np.pi * np.linspace(0.0, 1.0, 40001)
    c, s = np.cos(half), np.sin(half)
    power = 2 / 3.5
    arch = np.column_stack(
        [0 * half, -660 * np.sign(c) * np.abs(c) ** power, 330 + 1290 * np.abs(s) ** power]
    )
    return (
        Shape("belt", belt, 1),
        Shape("quarter ellipse", ellipse, 0),
        Shape("clothoid", clothoid, 0),
        Shape("wing crown", crown, 3),
        Shape("roof arch", arch, 3),
    )


def noisy(points: Array, seed: int) -> Array:
    """The points moved square to the line."""
    error = np.random.default_rng(seed).normal(scale=SIGMA, size=points.shape)
    run = np.gradient(points, axis=0)
    run = run / np.linalg.norm(run, axis=1, keepdims=True)
    return points + error - np.einsum("ij,ij->i", error, run)[:, None] * run


def cases(draws: int = SEEDS) -> Iterator[tuple[Shape, int, Array, Array]]:
    """Shape, number of points, true points, noisy points: two hundred with all draws."""
    for shape in shapes():
        for count in COUNTS:
            exact = resample_polyline(shape.points, count, closed=False)
            for seed in range(draws):
                yield shape, count, exact, noisy(exact, seed)


def outcome(curve: BSpline, ends: tuple[float, float], shape: Shape) -> tuple[float, int]:
    """Error rms in mm, and turns of curvature more than the shape has."""
    at = np.linspace(*ends, FINE)
    tree = cKDTree(resample_polyline(shape.points, 8000, closed=False))
    error = tree.query(np.asarray(curve(at)))[0]
    return float(np.sqrt(np.mean(error**2))), curvature_extrema(curve, closed=False) - shape.turns


def faired(points: Array) -> BSpline:
    """Ours."""
    sigma = np.full(len(points), SIGMA)
    return fair_line(PlacedLine(name="line", points=points, sigma=sigma, closed=False)).curve()


def smoothing_splines(points: Array) -> list[BSpline]:
    """scipy's penalised splines over arc length, stiff and limber."""
    at = arc_lengths(points, closed=False)
    length = float(at[-1])
    found = []
    for power in np.linspace(-7.0, 0.0, 14):
        parts = [make_smoothing_spline(at, points[:, k], lam=10.0**power * length**3)
                 for k in range(3)]  # fmt: skip
        found.append(BSpline(parts[0].t, np.column_stack([p.c for p in parts]), 3))
    return found


def knot_splines(points: Array) -> list[BSpline]:
    """FITPACK's smoothing splines (`splprep`), stiff and limber."""
    found = []
    for share in np.geomspace(0.25, 4.0, 14):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            (t, c, k), _ = splprep(points.T, s=share * 2.0 * len(points) * SIGMA**2)
        found.append(BSpline(t, np.column_stack(c), k))
    return found


def best_of(curves: list[BSpline], shape: Shape) -> tuple[float, int]:
    """The outcome of the curve nearest to the true line."""
    return min(
        outcome(curve, (float(curve.t[curve.k]), float(curve.t[-curve.k - 1])), shape)
        for curve in curves
    )


def compare(draws: int = SEEDS) -> dict[str, Array]:
    """For each way (20 x draws, 4): points, error, error before, turns too many."""
    ways: dict[str, Callable[[Array, Shape], tuple[float, int]]] = {
        "buckwright": lambda points, shape: outcome(faired(points), (0.0, 1.0), shape),
        "make_smoothing_spline, best": lambda points, shape: best_of(
            smoothing_splines(points), shape
        ),
        "splprep, best": lambda points, shape: best_of(knot_splines(points), shape),
    }
    rows: dict[str, list[list[float]]] = {name: [] for name in ways}
    for shape, count, exact, points in cases(draws):
        before = float(np.sqrt(np.mean(np.sum((points - exact) ** 2, axis=1))))
        for name, way in ways.items():
            error, surplus = way(points, shape)
            rows[name].append([count, error, before, surplus])
    return {name: np.array(found) for name, found in rows.items()}


def main() -> None:
    """Print the comparison, and what a line costs."""
    found = compare()
    print("fairing: 5 shapes x 30, 60, 120, 200 points x 10 draws, 3 mm in two directions")
    for name, rows in found.items():
        kept = 100.0 * np.mean(rows[:, 3] <= 0)
        ratios = [
            f"{count}: {np.mean(rows[rows[:, 0] == count, 1] / rows[rows[:, 0] == count, 2]):.2f}"
            for count in COUNTS
        ]
        print(
            f"  {name:28} error after / before  {', '.join(ratios)}; no turn too many {kept:.0f} %"
        )
    shape = shapes()[1]
    points = noisy(resample_polyline(shape.points, 100, closed=False), 0)
    faired(points)
    start = process_time()
    for _ in range(10):
        faired(points)
    print(f"  a line of 100 points: {100.0 * (process_time() - start):.1f} ms of CPU")
