"""The whole buck of the demo van: seconds of a core, and how true wires and tack marks are."""

import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter, process_time
from typing import TypeVar

import igl
import numpy as np
from numpy.typing import NDArray
from scipy.special import ellipe, fresnel

from buckwright.buck import changes_of, make_buck, mark_built, propose_wires
from buckwright.model.buck import Buck, BuckSpec, WireSpec
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, Skin
from buckwright.skin import span_skin

# The shapes are those of the tests, the van's lines those of its example.
sys.path.append(str(Path(__file__).parents[1] / "tests"))
sys.path.append(str(Path(__file__).parents[1] / "examples" / "wren"))
import truelines

from networks_on_paper import network_of
from skins_on_paper import grid_region, line_through
from tubes_in_space import deepest_clash, fine_axis, worst_tack_mark

HERE = Path(__file__).parents[1]
Array = NDArray[np.float64]
Answer = TypeVar("Answer")


def main() -> None:
    job, network, skin = van()
    spec = job.buck
    assert spec is not None
    bare = spec.model_copy(update={"frame_x": (0.0, 0.0)})
    buck = timed("whole buck", lambda: make_buck(spec, network, skin))
    wires = timed("the same without frame and posts", lambda: make_buck(bare, network, skin))
    timed("wires proposed from nothing", lambda: propose_wires(network, skin, no_wires(spec)))
    built = mark_built(job, buck, [wire.name for wire in buck.wires], "2026-03-14").built
    timed("changes against all wires built", lambda: changes_of(built, buck.wires, tolerance=1.0))
    print(f"{len(buck.wires)} wires, {len(buck.tacks)} tacks, {len(buck.bays)} bays")
    depth, which = deepest_clash(wires.wires)
    print(f"deepest that two tubes run into each other  {depth:.3f} mm  {which}")
    print(f"farthest tack mark off                      {worst_tack_mark(wires):.3f} mm")
    print(f"farthest wire off, against libigl           {off_by_libigl(wires, skin):.3f} mm")
    print("  (flat triangles of 25 mm lie up to 0.55 mm inside the skin that they stand for)")
    for name, found, exact in lengths():
        print(f"length of {name:<34}{found:.3f} mm, {100.0 * (found / exact - 1.0):+.5f} %")


def timed(name: str, work: Callable[[], Answer]) -> Answer:
    wall, own = perf_counter(), process_time()
    answer = work()
    print(f"{name:<36}{process_time() - own:>8.2f} s of a core{perf_counter() - wall:>8.2f} s")
    return answer


def van() -> tuple[Job, LineNetwork, Skin]:
    job = Job.model_validate_json((HERE / "examples/wren/job.json").read_text(encoding="utf-8"))
    used = {n for r in job.regions for n in (*r.boundary, *r.inner, *r.holes)}
    lines = {name: line for name, line in truelines.lines().items() if name in used}
    closed = frozenset(name for name, (_, ring) in lines.items() if ring)
    curves = {name: curve for name, (curve, _) in lines.items()}
    network = network_of(curves, closed=closed, points=241)
    return job, network, span_skin(network, job.regions, edge_length=job.edge_length)


def no_wires(spec: BuckSpec) -> BuckSpec:
    return spec.model_copy(update={"wires": ()})


def off_by_libigl(buck: Buck, skin: Skin) -> float:
    """Farthest that an axis lies from its depth under the flat triangles, by libigl's search."""
    worst = 0.0
    for wire in buck.wires:
        axis = fine_axis(wire.axis, closed=wire.closed, step=25.0)
        own = skin.region(wire.region, wire.side)
        # A line may run on over a neighbouring region.
        others = [r for r in skin.regions if r.side == "whole" and r is not own]
        off = [
            np.abs(
                np.sqrt(igl.point_mesh_squared_distance(axis, r.vertices, r.triangles)[0])
                - wire.set_in
            )
            for r in (own, *others)
        ]
        worst = max(worst, float(np.min(off, axis=0).max()))
    return worst


def lengths() -> list[tuple[str, float, float]]:
    """Wires on flat plates against special functions."""
    turn = np.linspace(0.0, 2.0 * np.pi, 401)
    wide, narrow = 600.0, 250.0
    oval = plate_wire(
        lambda t, v: np.column_stack([wide * v * np.cos(t), narrow * v * np.sin(t), 0.0 * t]),
        turn,
        np.linspace(0.9, 1.1, 9),
        closed=True,
    )
    size, end = 900.0, 1.4

    def spiral(t: Array, v: Array) -> Array:
        sine, cosine = fresnel(t)
        angle = 0.5 * np.pi * t**2
        x, y = size * cosine - v * np.sin(angle), size * sine + v * np.cos(angle)
        return np.column_stack([x, y, np.zeros_like(x)])

    clothoid = plate_wire(
        spiral, np.linspace(0.0, end, 181), np.linspace(-40.0, 40.0, 9), closed=False
    )
    return [
        ("ellipse, scipy.special.ellipe", oval, 4.0 * wide * ellipe(1.0 - (narrow / wide) ** 2)),
        ("clothoid, scipy.special.fresnel", clothoid, size * end),
    ]


def plate_wire(
    surface: Callable[[Array, Array], Array], t: Array, v: Array, *, closed: bool
) -> float:
    middle = len(v) // 2
    count = len(t) - 1 if closed else len(t)
    track = LineTrack(line="rim", vertices=np.arange(count) * len(v) + middle, closed=closed)
    region = grid_region(
        "plate", surface, t, v, outward=lambda p: 0.0 * p + [0.0, 0.0, 1.0], tracks=[track]
    )
    fine = np.linspace(t[0], t[-1], 2001)
    line = line_through("rim", surface(fine, np.full(2001, v[middle])), closed=closed)
    spec = BuckSpec(wires=(WireSpec(name="rim", region="plate", line="rim"),))
    network = LineNetwork(lines=(line,), crossings=())
    return make_buck(spec, network, Skin(regions=(region,))).wires[0].length
