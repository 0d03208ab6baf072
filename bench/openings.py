"""Openings: the example's doors swung and their glass dropped, beside trimesh and libigl.

Clearance: least distance of a part's points to the body at nine angles. The touch: the swing of
a door whose hinges stand 30 mm too deep: ours from circles, and by steps as long as the least gap
of libigl allows, until 0.05 mm are left. CPU seconds of the whole process. Needs a solved job:
BUCKWRIGHT_JOB, else `demo/wren.buck`. trimesh's distances need `rtree`, which the tests do not.
"""

import os
from collections.abc import Callable
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

import igl
import numpy as np
import trimesh
from numpy.typing import NDArray

from buckwright.geometry.turning import first_meetings, turn_about
from buckwright.model.openings import OpeningSpec
from buckwright.openings import OpeningMaker, make_openings
from buckwright.openings.hinges import axis_of, hinge_axis, turning_sense
from buckwright.openings.near import Near
from buckwright.openings.outline import join_outline
from buckwright.openings.part import Body, Part, cut_part
from buckwright.store import JobFile

Array = NDArray[np.float64]

ANGLES = np.radians([0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 48.0, 64.0])
TOUCHING = 0.05
"""mm."""


def main() -> None:
    path = Path(os.environ.get("BUCKWRIGHT_JOB", "demo/wren.buck"))
    if not path.exists():
        print(f"There is no solved job at {path}: run `make demo` first.")
        return
    with JobFile.open(path) as file:
        job, products = file.job(), file.products(("lines", "skin"))
    assert products.skin is not None
    assert products.lines is not None
    network = products.lines.network
    made, wall, cpu = timed(lambda: make_openings(job.openings, products.skin, network))
    print(f"all {len(made.openings)} openings: {wall:.2f} s wall, {cpu:.2f} s CPU")
    spec = next(spec for spec in job.openings if spec.hinge is not None)
    maker = OpeningMaker(products.skin, network)
    part, body = cut(spec, maker)
    print(f"{spec.name}: {len(part.vertices)} points, body of {len(body.triangles)} triangles")
    clearance(spec, part, body)
    touch(spec, part, body)


def timed(run: Callable[[], Any]) -> tuple[Any, float, float]:
    wall, cpu = perf_counter(), process_time()
    found = run()
    return found, perf_counter() - wall, process_time() - cpu


def cut(spec: OpeningSpec, maker: OpeningMaker) -> tuple[Part, Body]:
    loop = join_outline(spec.outline, maker.network, of=spec.name)
    region = maker.skin.region(spec.region)
    depth = spec.metal + spec.thickness
    return cut_part(
        loop, maker.skin, region, of=spec.name, gap=spec.gap, drain=spec.drain, depth=depth
    )


def least_by_igl(points: Array, vertices: Array, triangles: NDArray[np.int64]) -> float:
    return float(np.sqrt(igl.point_mesh_squared_distance(points, vertices, triangles)[0].min()))


def clearance(spec: OpeningSpec, part: Part, body: Body) -> None:
    assert spec.hinge is not None
    found = hinge_axis(spec.hinge, of=spec.name)
    axis, sense = axis_of(found), turning_sense(found, part, of=spec.name)
    moved = [turn_about(part.vertices, axis, sense * float(angle)) for angle in ANGLES]
    mesh = trimesh.Trimesh(body.vertices, body.triangles, process=False)

    def ours() -> Array:
        near = Near(body.vertices, body.triangles)
        return np.array([near.least(points)[0] for points in moved])

    def by_igl() -> Array:
        return np.array([least_by_igl(points, body.vertices, body.triangles) for points in moved])

    def by_trimesh() -> Array:
        return np.array([trimesh.proximity.closest_point(mesh, p)[1].min() for p in moved])

    least, wall, base = timed(ours)
    print(f"\n{'clearance at 9 angles':<34}{'wall s':>8}{'CPU s':>8}{'CPU/ours':>10}{'off mm':>11}")
    print(f"{'ours, only what may be nearest':<34}{wall:>8.2f}{base:>8.2f}{1.0:>10.2f}{'':>11}")
    for name, run in (("libigl, every point", by_igl), ("trimesh, every point", by_trimesh)):
        try:
            other, wall, cpu = timed(run)
        except ModuleNotFoundError as missing:
            print(f"{name:<34} left out: {missing}")
            continue
        off = float(np.abs(other - least).max())
        print(f"{name:<34}{wall:>8.2f}{cpu:>8.2f}{cpu / base:>10.2f}{off:>11.1e}")


def touch(spec: OpeningSpec, part: Part, body: Body) -> None:
    assert spec.hinge is not None
    pins = tuple(
        pin.model_copy(
            update={
                "point": (
                    pin.point[0],
                    pin.point[1] * (1.0 - 30.0 / abs(pin.point[1])),
                    pin.point[2],
                )
            }
        )
        for pin in spec.hinge.pins
    )
    found = hinge_axis(spec.hinge.model_copy(update={"pins": pins}), of=spec.name)
    axis, sense = axis_of(found), turning_sense(found, part, of=spec.name)
    corners = body.vertices[body.triangles]

    def ours() -> float:
        on, _ = first_meetings(part.vertices, corners, axis, sense=sense, most=1.0)
        back, _ = first_meetings(
            body.vertices, part.vertices[part.triangles], axis, sense=-sense, most=1.0
        )
        return float(min(on.min(), back.min()))

    exact, wall, base = timed(ours)
    print(f"\n{'first touch':<34}{'wall s':>8}{'CPU s':>8}{'CPU/ours':>10}{'degrees':>11}")
    degrees = np.degrees(exact)
    print(f"{'ours, exact circles':<34}{wall:>8.2f}{base:>8.2f}{1.0:>10.2f}{degrees:>11.3f}")

    def by_steps() -> float:
        """As far as the least gap allows at each step, until nothing is left of it."""
        reach = float(np.linalg.norm(axis.arms(part.vertices), axis=1).max())
        angle = 0.0
        while angle < 1.0:
            there = turn_about(part.vertices, axis, sense * angle)
            here = turn_about(body.vertices, axis, -sense * angle)
            gap = min(
                least_by_igl(there, body.vertices, body.triangles),
                least_by_igl(here, part.vertices, part.triangles),
            )
            if gap < TOUCHING:
                return angle
            angle += gap / reach
        return angle

    other, wall, cpu = timed(by_steps)
    degrees = np.degrees(other)
    name = "libigl, safe steps to 0.05 mm"
    print(f"{name:<34}{wall:>8.2f}{cpu:>8.2f}{cpu / base:>10.2f}{degrees:>11.3f}")


if __name__ == "__main__":
    main()
