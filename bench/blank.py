"""Laying a panel flat: ours beside libigl's LSCM, ARAP and SLIM on a spherical cap and a wing.

Peers run first; the time of a peer that starts from LSCM holds LSCM's own. CPU seconds are those
of the whole process, all threads. Then ours alone on 200,000 triangles.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter, process_time

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.flatten import (
    flatten_least_greatest,
    flatten_least_work,
    flatten_one_way,
)
from buckwright.geometry.strain import hencky_measure, map_matrices, shape_gradients, stretch_of

# The shapes and the peers are those of the tests.
sys.path.append(str(Path(__file__).parents[1] / "tests"))
import flat_peers
from discs_on_paper import cap, wing

Array = NDArray[np.float64]
Index = NDArray[np.int64]

ANGLE, RADIUS = np.radians(30.0), 500.0
RINGS, FINE = 91, 183
"""49,686 and 200,934 triangles."""
SLACK = 0.002


@dataclass(frozen=True, eq=False, slots=True)
class Run:
    """What one way of laying flat gave: wall and CPU seconds, and the flat shape."""

    name: str
    flat: Array
    wall: float
    cpu: float


def main() -> None:
    bound = np.log(ANGLE / np.sin(ANGLE))
    print(f"Cap of 30 degrees, R 500 mm; Milnor's bound on the range of log strain: {bound:.6f}")
    table(*cap(RINGS, ANGLE, RADIUS))
    print("\nWing: part of a torus, tube 230, outer radius 430 mm")
    table(*wing(RINGS))
    print("\nOurs alone, the same shapes finer")
    for mesh in (cap(FINE, ANGLE, RADIUS), wing(FINE)):
        rows(*mesh, [timed("least work", lambda mesh=mesh: flatten_least_work(*mesh).points)])


def timed(name: str, run: Callable[[], Array], before: Run | None = None) -> Run:
    wall, cpu = perf_counter(), process_time()
    flat = run()
    more = (before.wall, before.cpu) if before else (0.0, 0.0)
    return Run(name, flat, perf_counter() - wall + more[0], process_time() - cpu + more[1])


def table(vertices: Array, triangles: Index) -> None:
    mesh = vertices, triangles
    start = timed("libigl LSCM", lambda: flat_peers.conformal(*mesh))
    rows(
        *mesh,
        [
            start,
            timed("libigl ARAP, 20 rounds", lambda: flat_peers.rigid(*mesh, start.flat, 20), start),
            timed(
                "libigl SLIM log, 10 rounds",
                lambda: flat_peers.injective(*mesh, start.flat, 10),
                start,
            ),
            timed("ours, least work", lambda: flatten_least_work(*mesh).points),
            timed("ours, least greatest", lambda: flatten_least_greatest(*mesh).points),
            timed("ours, stretch only", lambda: one_way(mesh, 1.0)),
            timed("ours, shrink only", lambda: one_way(mesh, -1.0)),
        ],
    )


def one_way(mesh: tuple[Array, Index], sense: float) -> Array:
    return flatten_one_way(*mesh, sense=sense, slack=SLACK).points


def rows(vertices: Array, triangles: Index, runs: list[Run]) -> None:
    areas, gradients = shape_gradients(vertices, triangles)
    matrices = map_matrices(gradients)
    ours = next(run for run in runs if run.name.endswith("least work"))
    least = work(ours.flat, triangles, matrices, areas)
    head = ("", "wall s", "CPU s", "CPU/ours", "Hencky mean", "work/ours", "greatest", "range")
    print(f"{len(triangles)} triangles")
    print("{:<28}{:>8}{:>8}{:>10}{:>13}{:>11}{:>10}{:>10}{:>9}".format(*head, "flipped"))
    for run in runs:
        stretch = stretch_of(run.flat, triangles, matrices)
        flipped = int(np.count_nonzero(stretch.minor <= 0.0))
        times = f"{run.name:<28}{run.wall:>8.2f}{run.cpu:>8.2f}{run.cpu / ours.cpu:>10.2f}"
        if flipped:
            print(f"{times}{'':>44}{flipped:>9}")
            continue
        e1, e2 = stretch.logs()
        mean = work(run.flat, triangles, matrices, areas)
        greatest = max(np.abs(e1).max(), np.abs(e2).max())
        print(
            f"{times}{mean:>13.4e}{mean / least:>11.3f}{greatest:>10.5f}"
            f"{e1.max() - e2.min():>10.5f}{flipped:>9}"
        )


def work(flat: Array, triangles: Index, matrices: Array, areas: Array) -> float:
    """Area mean of e1^2 + e2^2 + e1 e2: plastic work but for the metal's own factor."""
    logs = stretch_of(flat, triangles, matrices).logs()
    return float(areas @ hencky_measure(*logs)[0] / areas.sum())


if __name__ == "__main__":
    main()
