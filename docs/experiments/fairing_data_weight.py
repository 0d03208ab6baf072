"""How stiff should a batten be? Many noisy lines, several ways to choose its stiffness.

Run: python docs/experiments/fairing_data_weight.py [draws]. Prints the tables of
fairing_data_weight.md. Lines are full-size shapes of a body; errors are square to the line, 1.2 mm
rms in each direction, either independent from point to point or alike over 60 mm.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from scipy.special import fresnel

from buckwright.geometry.polyline import arc_lengths, resample_polyline
from buckwright.geometry.spline import curvature_extrema
from buckwright.lines import drafting, fairing, turns
from buckwright.lines.band import hold_in_band
from buckwright.lines.batten import MOST_STIFF, Batten, choose_stiffness
from buckwright.model.lines import PlacedLine

Array = NDArray[np.float64]
Rule = Callable[[Batten], Array]

SIGMA = 1.2


@dataclass(frozen=True)
class Shape:
    points: Array
    closed: bool
    extrema: int


def belt() -> Shape:
    u = np.linspace(0.0, 1.0, 20001)
    side = -480.0 - 180.0 * np.sin(np.pi * (0.15 + 0.7 * u))
    return Shape(np.column_stack([420 + 2480 * u, side, 1000 + 30 * u]), False, 1)


def ellipse() -> Shape:
    t = np.linspace(0.0, np.pi / 2.0, 20001)
    return Shape(np.column_stack([1000 * np.cos(t), 0 * t, 500 * np.sin(t)]), False, 0)


def clothoid() -> Shape:
    s, c = fresnel(np.linspace(0.0, 1.3, 20001))
    return Shape(np.column_stack([1500 * c, 0 * s - 600, 1500 * s]), False, 0)


def wing() -> Shape:
    t = np.linspace(-0.2, 1.0, 20001)
    crown = 600 * np.exp(-(((t - 0.3) / 0.35) ** 2))
    return Shape(np.column_stack([1400 * t, 0 * t - 720, crown]), False, 3)


def arch() -> Shape:
    t = np.linspace(0.0, np.pi, 40001)
    c, s = np.cos(t), np.sin(t)
    power = 2 / 3.5
    side = -660 * np.sign(c) * np.abs(c) ** power
    return Shape(np.column_stack([0 * t, side, 330 + 1290 * np.abs(s) ** power]), False, 3)


def door() -> Shape:
    t = np.linspace(0.0, 2.0 * np.pi, 40001)[:-1]
    c, s = np.cos(t), np.sin(t)
    power = 2 / 6
    x, z = 300 * np.sign(c) * np.abs(c) ** power, 450 * np.sign(s) * np.abs(s) ** power
    return Shape(np.column_stack([x, -640 + 20 * (z / 450) ** 2, z]), True, 8)


SHAPES = {f.__name__: f() for f in (belt, ellipse, clothoid, wing, arch, door)}


def noisy(points: Array, closed: bool, alike: float, rng: np.random.Generator) -> Array:
    """Points moved square to the line, errors alike over `alike` mm (0: independent)."""
    count = len(points)
    error = rng.normal(size=(count, 3))
    if alike > 0.0:
        along = arc_lengths(points, closed=closed)
        apart = np.abs(along[:count, None] - along[:count])
        if closed:
            apart = np.minimum(apart, along[-1] - apart)
        size, ways = np.linalg.eigh(np.exp(-0.5 * (apart / alike) ** 2))
        error = (ways * np.sqrt(np.maximum(size, 0.0))) @ error
    if closed:
        run = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    else:
        run = np.gradient(points, axis=0)
    run = run / np.linalg.norm(run, axis=1, keepdims=True)
    return points + SIGMA * (error - np.einsum("ij,ij->i", error, run)[:, None] * run)


def tried(batten: Batten) -> tuple[Array, Array, Array]:
    tries = batten.floor * 10.0 ** np.arange(1.0, MOST_STIFF + 0.25, 0.25)
    both = tries[:, None] * np.ones(2)
    misfit = np.array([batten.misfit(batten.bend(stiff)) for stiff in both])
    return tries, misfit, np.array([batten.freedom(stiff)[0] for stiff in both])


def cross_validated(batten: Batten) -> Array:
    tries, misfit, freedom = tried(batten)
    count = len(batten.points)
    best = np.argmin(misfit / (1.0 - np.minimum(freedom / count, 0.999)) ** 2)
    return np.full(2, tries[best])


def discrepancy(share: float) -> Rule:
    def rule(batten: Batten) -> Array:
        tries, misfit, _ = tried(batten)
        fits = np.flatnonzero(misfit <= 2.0 * len(batten.points) * share**2)
        return np.full(2, tries[fits[-1]] if len(fits) else tries[0])

    return rule


def hugging(draft: drafting.Draft) -> drafting.Draft:
    """The draft with the data's weight taken away step by step, the band alone holding it."""
    stiff, control = draft.stiffness, draft.control
    width = fairing.BAND_SIGMAS * draft.sigma
    while stiff[0] < draft.batten.floor * 10.0**MOST_STIFF:
        stiff = 3.0 * stiff
        rest = draft.batten.bend(stiff, draft.batten.along(control))
        control, _ = hold_in_band(
            draft.batten, rest, stiff, half_width=width, pins=np.empty(0), shape=control
        )
    return replace(draft, stiffness=stiff, control=control)


def mallows(alike: float) -> Rule:
    return lambda batten: choose_stiffness(batten, alike=alike)


BAND_ONLY = "band only, no data weight"

RULES: dict[str, tuple[Rule, bool]] = {
    BAND_ONLY: (choose_stiffness, True),
    "residual 0.9 sigma": (discrepancy(0.9), True),
    "cross-validation": (cross_validated, True),
    "Mallows x 1": (mallows(1.0), True),
    "Mallows x 4": (mallows(4.0), True),
    "Mallows, learned, evenly limber": (choose_stiffness, False),
    "Mallows, learned, one stiffness": (
        lambda batten: np.full(2, choose_stiffness(batten)[0]),
        True,
    ),
    "Mallows, learned (used)": (choose_stiffness, True),
    "the same, false turns left in": (choose_stiffness, True),
}


def outcome(shape: Shape, count: int, alike: float, draw: int, stated: float) -> list[Array]:
    rng = np.random.default_rng(draw)
    base = resample_polyline(shape.points, count, closed=shape.closed)
    points = noisy(base, shape.closed, alike, rng)
    placed = PlacedLine(
        name="line", points=points, sigma=np.full(count, stated * SIGMA), closed=shape.closed
    )
    tree = cKDTree(resample_polyline(shape.points, 8000, closed=shape.closed))
    before = np.sqrt(np.mean(np.sum((points - base) ** 2, axis=1)))
    found = []
    for name, (rule, locally) in RULES.items():
        drafting.choose_stiffness = rule
        turns.TRIES = 3 if name == "Mallows, learned (used)" else 0
        drafting.LIMBER_FLOOR = 0.03 if locally else 1e9
        draft = drafting.draft_line(placed)
        if name == BAND_ONLY:
            draft = hugging(draft)
        line, _ = fairing.finish_line(draft, placed, tolerance=0.0, pins=np.empty(0))
        error = tree.query(line.points(600))[0]
        surplus = max(0, curvature_extrema(line.curve(), closed=line.closed) - shape.extrema)
        found.append(np.array([np.sqrt(np.mean(error**2)) / before, error.max(), surplus]))
    return found


def table(title: str, runs: list[list[Array]]) -> None:
    print(f"\n{title}\n")
    print("| rule | error after / before | worst in twenty | greatest mm | extrema too many |")
    print("|---|---|---|---|---|")
    values = np.array(runs)
    for k, name in enumerate(RULES):
        ratio, most, surplus = values[:, k].T
        print(
            f"| {name} | {ratio.mean():.2f} | {np.percentile(ratio, 95):.2f} | "
            f"{most.mean():.1f} | {surplus.mean():.1f} |"
        )


def main(draws: int) -> None:
    for alike in (0.0, 60.0):
        for count in (30, 60, 120):
            runs = [
                outcome(shape, count, alike, draw, 1.0)
                for shape in SHAPES.values()
                for draw in range(draws)
            ]
            table(f"{count} points, errors alike over {alike:.0f} mm, {len(runs)} lines", runs)
    for stated in (0.7, 1.4):
        runs = [
            outcome(shape, 60, 60.0, draw, stated)
            for shape in SHAPES.values()
            for draw in range(draws)
        ]
        table(f"60 points, alike over 60 mm, sigma stated as {stated} of the truth", runs)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 30)
