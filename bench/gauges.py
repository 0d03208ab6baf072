"""Gauges: cards chosen by a tolerance, and sweeps, beside SciPy, trimesh and OR-Tools CP-SAT."""

import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter, process_time

import numpy as np
import trimesh
from numpy.typing import NDArray
from ortools.sat.python import cp_model
from scipy.interpolate import make_interp_spline

from buckwright.gauges import choose_sweeps, make_gauges
from buckwright.geometry.interval_cover import fewest_points
from buckwright.model.gauges import Gauges, GaugeSpec, SweepSet, SweepSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion

# The shapes are those of the tests.
sys.path.append(str(Path(__file__).parents[1] / "tests"))
from skins_on_paper import grid_region, tunnel

Array = NDArray[np.float64]

NONE = LineNetwork(lines=(), crossings=())
RING, TUBE, HALF = 430.0, 230.0, 0.55


def main() -> None:
    wing, (body, _) = arch(), tunnel()
    print("Cards by tolerance, with stand; errors along the exact normal, by SciPy's battens.")
    head = ("", "mm", "cards", "told", "exact", "seconds", "CPU", "sections by trimesh CPU")
    print("{:<22}{:>7}{:>7}{:>8}{:>8}{:>9}{:>7}{:>25}".format(*head))
    for tolerance in (2.0, 1.0, 0.5, 0.25):
        cards("wing, 1,152 triangles", wing, tolerance, off_arch)
    for tolerance in (2.0, 1.0):
        cards(f"van, {len(body.regions[0].triangles):,} triangles", body, tolerance, None)
    print("\nSweeps, chord 150 mm.")
    print("The cover is run again on depths to 0.05 mm, so that CP-SAT comes to an end.")
    head = ("", "mm", "sweeps", "CPU", "cover", "CPU", "least by CP-SAT", "CPU")
    print("{:<22}{:>7}{:>8}{:>8}{:>8}{:>8}{:>17}{:>8}".format(*head))
    for name, skin in (("wing", wing), ("van", body)):
        for tolerance in (1.0, 0.5):
            sweeps(name, skin.regions[0], tolerance)


def arch() -> Skin:
    """A torus over a wheel, cut square at both ends."""
    region = grid_region(
        "wing",
        arch_point,
        480.0 * np.sin(np.linspace(-1.3, 1.3, 49)) / np.sin(1.3),
        np.linspace(-HALF, HALF, 13),
        outward=lambda p: p - [0.0, -690.0, 100.0],
        side="left",
    )
    return Skin(regions=(region,))


def arch_point(x: Array, tube_angle: Array) -> Array:
    away = RING + TUBE * np.cos(tube_angle)
    y = -690.0 - TUBE * np.sin(tube_angle)
    return np.column_stack([x, y, 100.0 + np.sqrt(away**2 - x**2)])


def off_arch(points: Array) -> Array:
    ring = np.hypot(points[..., 0], points[..., 2] - 100.0) - RING
    return np.asarray(np.hypot(ring, points[..., 1] + 690.0) - TUBE)


def timed(run: Callable[[], object]) -> tuple[object, float, float]:
    wall, cpu = perf_counter(), process_time()
    return run(), perf_counter() - wall, process_time() - cpu


def cards(name: str, skin: Skin, tolerance: float, off: Callable[[Array], Array] | None) -> None:
    region = skin.regions[0]
    spec = GaugeSpec(region=region.name, tolerance=tolerance, stand=True)
    made, wall, cpu = timed(lambda: make_gauges((spec,), skin, NONE))
    assert isinstance(made, Gauges)
    told = made.sets[0]
    exact = "" if off is None else f"{battens_off(made, off):.3f}"
    mesh = trimesh.Trimesh(region.vertices, region.triangles, process=False)
    places = np.linspace(*region.vertices[:, 0][[0, -1]], 82)[1:-1]
    _, _, peer = timed(
        lambda: [mesh.section(plane_origin=[x, 0, 0], plane_normal=[1, 0, 0]) for x in places]
    )
    print(
        f"{name:<22}{tolerance:>7}{len(told.at):>7}{told.error:>8.3f}{exact:>8}{wall:>9.2f}"
        f"{cpu:>7.2f}{peer:>25.2f}"
    )


def battens_off(made: Gauges, off: Callable[[Array], Array]) -> float:
    """Greatest distance from the exact shape of SciPy's B-splines through the cut profiles."""
    even = []
    for gauge in made.gauges[::2]:
        along = np.linalg.norm(np.diff(gauge.section, axis=0), axis=1).cumsum()
        along = np.concatenate([[0.0], along])
        at = np.linspace(0.0, along[-1], 201)
        even.append(make_interp_spline(along, gauge.section, k=3)(at))
    steps = np.linalg.norm(np.diff(np.stack(even), axis=0), axis=2).mean(axis=1)
    length = np.concatenate([[0.0], np.cumsum(steps)])
    battens = make_interp_spline(length, np.stack(even), k=3, bc_type="natural")
    return float(np.abs(off(battens(np.linspace(0.0, length[-1], 800)))).max())


def sweeps(name: str, region: SkinRegion, tolerance: float) -> None:
    spec = SweepSpec(chord=150.0, tolerance=tolerance)
    found, _, cpu = timed(lambda: choose_sweeps(region, spec))
    assert isinstance(found, SweepSet)
    fits = np.concatenate([found.greater_sweep, found.lesser_sweep])
    measured = np.concatenate([found.greater, found.lesser])[fits >= 0]
    depths = np.unique(np.round(measured / 0.05)) * 0.05
    cover, _, own = timed(lambda: len(fewest_points(depths - tolerance, depths + tolerance)[0]))
    least, _, peer = timed(lambda: least_cover(depths, tolerance))
    print(
        f"{name:<22}{tolerance:>7}{len(found.sweeps):>8}{cpu:>8.2f}{cover:>8}{own:>8.4f}"
        f"{least:>17}{peer:>8.2f}"
    )


def least_cover(depths: Array, tolerance: float) -> str:
    """The least number of sweeps, by an integer programme over all ends of intervals."""
    offered = np.unique((depths + tolerance).round(6))
    serves = np.abs(depths[:, None] - offered[None]) <= tolerance + 1e-6
    model = cp_model.CpModel()
    taken = [model.new_bool_var(str(k)) for k in range(len(offered))]
    for row in np.unique(serves, axis=0):
        model.add_bool_or([taken[k] for k in np.flatnonzero(row)])
    model.minimize(sum(taken))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 30.0
    proven = solver.solve(model) == cp_model.OPTIMAL
    return f"{'' if proven else 'at least '}{round(solver.best_objective_bound)}"


if __name__ == "__main__":
    main()
