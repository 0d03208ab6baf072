"""Laying a panel flat: ours beside libigl's LSCM, ARAP and SLIM on one spherical cap."""

import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.flatten import flatten_least_greatest, flatten_least_work
from buckwright.geometry.strain import hencky_measure, map_matrices, shape_gradients, stretch_of

# The shapes and the peers are those of the tests.
sys.path.append(str(Path(__file__).parents[1] / "tests"))
import flat_peers
from discs_on_paper import cap

Array = NDArray[np.float64]

ANGLE, RADIUS = np.radians(30.0), 500.0
RINGS = 91
"""49,686 triangles."""


def main() -> None:
    vertices, triangles = cap(RINGS, ANGLE, RADIUS)
    start, conformal_time = timed(lambda: flat_peers.conformal(vertices, triangles))
    runs: list[tuple[str, Callable[[], Array], float]] = [
        ("libigl ARAP, 20 rounds", lambda: flat_peers.rigid(vertices, triangles, start, 20), 1.0),
        (
            "libigl SLIM log, 10 rounds",
            lambda: flat_peers.injective(vertices, triangles, start, 10),
            1.0,
        ),
        ("ours, least work", lambda: flatten_least_work(vertices, triangles).points, 0.0),
        ("ours, least greatest", lambda: flatten_least_greatest(vertices, triangles).points, 0.0),
    ]
    rows = [("libigl LSCM", start, conformal_time)]
    for name, run, after_start in runs:
        flat, seconds = timed(run)
        rows.append((name, flat, seconds + after_start * conformal_time))
    table(vertices, triangles, rows)


def timed(run: Callable[[], Array]) -> tuple[Array, float]:
    begin = perf_counter()
    return run(), perf_counter() - begin


def table(vertices: Array, triangles: Array, rows: list[tuple[str, Array, float]]) -> None:
    areas, gradients = shape_gradients(vertices, triangles)
    matrices = map_matrices(gradients)
    ours = next(row for row in rows if row[0] == "ours, least work")
    bound = np.log(ANGLE / np.sin(ANGLE))
    print(f"{len(triangles)} triangles; cap of 30 degrees; times include each one's own start.")
    print(f"Milnor's bound on the range of log strain: {bound:.6f}")
    head = (
        "",
        "seconds",
        "time/ours",
        "Hencky mean",
        "energy/ours",
        "greatest",
        "range",
        "flipped",
    )
    print("{:<28}{:>9}{:>11}{:>13}{:>13}{:>10}{:>10}{:>9}".format(*head))
    least = energy(ours[1], triangles, matrices, areas)
    for name, flat, seconds in rows:
        stretch = stretch_of(flat, triangles, matrices)
        flipped = int(np.count_nonzero(stretch.minor <= 0.0))
        if flipped:
            print(f"{name:<28}{seconds:>9.2f}{seconds / ours[2]:>11.2f}{'':>46}{flipped:>9}")
            continue
        e1, e2 = stretch.logs()
        mean = energy(flat, triangles, matrices, areas)
        print(
            f"{name:<28}{seconds:>9.2f}{seconds / ours[2]:>11.2f}{mean:>13.4e}{mean / least:>13.3f}"
            f"{max(np.abs(e1).max(), np.abs(e2).max()):>10.5f}{e1.max() - e2.min():>10.5f}"
            f"{flipped:>9}"
        )


def energy(flat: Array, triangles: Array, matrices: Array, areas: Array) -> float:
    logs = stretch_of(flat, triangles, matrices).logs()
    return float(areas @ hencky_measure(*logs)[0] / areas.sum())
