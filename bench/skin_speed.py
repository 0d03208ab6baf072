"""The whole skin at falling edge lengths: time, memory, evenness; drafts after an edit; creases.

The skin is timed with its search for soft spots, which belongs to the step.

The peer is libigl's bi-Laplacian solve ('harmonic', k = 2) of the body alone, on our own mesh with
every line held: what a mesh library does once the lines are laid flat and meshed, which it does not
do. Each row of the first table is a process of its own, so that its memory is its own.
"""

import resource
import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from time import perf_counter, process_time

import igl
import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.mesh import edges_of
from buckwright.model.creases import CreaseSpec
from buckwright.model.crowns import CrownLimits
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec, SkinRegion
from buckwright.skin import skin_spots, span_region, span_skin
from buckwright.skin.drafting import draft_region

sys.path += [str(Path(__file__).parents[1] / part) for part in ("tests", "examples/wren")]
import truelines

from creases_on_paper import gabled, pyramid
from networks_on_paper import network_of

ROOT = Path(__file__).parents[1]
EDGES = (40.0, 30.0, 20.0, 15.0, 10.0, 6.0)
"""mm; the last gives some 650,000 triangles."""
PULLED = 8.0
"""mm by which a line is pulled for a draft."""


def main() -> None:
    _sizes()
    _drafts()
    _creases()


def wren() -> tuple[LineNetwork, tuple[RegionSpec, ...]]:
    """The example's exact lines, and its regions."""
    job = Job.model_validate_json((ROOT / "examples/wren/job.json").read_text(encoding="utf-8"))
    used = {n for r in job.regions for n in (*r.boundary, *r.inner, *r.holes)}
    lines = {name: line for name, line in truelines.lines().items() if name in used}
    closed = frozenset(name for name, (_, ring) in lines.items() if ring)
    curves = {name: curve for name, (curve, _) in lines.items()}
    return network_of(curves, closed=closed, points=241), job.regions


def _sizes() -> None:
    print("The example's whole body: CPU and wall seconds with the search for soft spots in them,")
    print("edges' lengths, the median and those of 5 and 95 in 100, as shares of what was asked")
    head = ("edge mm", "triangles", "CPU s", "spots", "wall s", "us/tri", "peak MB", "median")
    print("{:>8}{:>11}{:>8}{:>8}{:>8}{:>8}{:>9}{:>8}".format(*head), end="")
    print("{:>14}{:>12}".format("5 to 95", "peer CPU s"), flush=True)
    for edge in EDGES:
        with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as alone:
            one = alone.submit(_spanned, edge).result()
        print(
            f"{edge:>8g}{one.triangles:>11,}{one.cpu:>8.1f}{one.spots:>8.1f}{one.wall:>8.1f}"
            f"{1e6 * one.cpu / one.triangles:>8.0f}{one.peak:>9.0f}{one.even[1]:>8.3f}"
            f"{one.even[0]:>8.2f} {one.even[2]:.2f}{one.peer:>12.1f}",
            flush=True,
        )


@dataclass(frozen=True, slots=True)
class _Spanned:
    """Seconds, MB, and the 5th, 50th and 95th hundredth of edge length over the stated one."""

    triangles: int
    cpu: float
    spots: float
    wall: float
    peak: float
    even: tuple[float, float, float]
    peer: float


def _spanned(edge: float) -> _Spanned:
    network, regions = wren()
    begin, wall = process_time(), perf_counter()
    skin = span_skin(network, regions, edge_length=edge)
    middle = process_time()
    skin_spots(skin, network, CrownLimits())
    end, wall = process_time(), perf_counter() - wall
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    lengths = np.concatenate([_edge_lengths(region) for region in skin.regions]) / edge
    low, half, high = (float(v) for v in np.percentile(lengths, (5, 50, 95)))
    peer = _bilaplacian(skin.region("body"))
    count = sum(len(region.triangles) for region in skin.regions)
    return _Spanned(count, end - begin, end - middle, wall, peak, (low, half, high), peer)


def _edge_lengths(region: SkinRegion) -> NDArray[np.float64]:
    edges, _ = edges_of(region.triangles)
    sides = region.vertices[edges[:, 0]] - region.vertices[edges[:, 1]]
    return np.asarray(np.linalg.norm(sides, axis=1))


def _bilaplacian(region: SkinRegion) -> float:
    begin = process_time()
    tracks = (*region.boundary, *region.inner, *region.holes)
    held = np.unique(np.concatenate([track.vertices for track in tracks]))
    places = np.ascontiguousarray(region.vertices[held])
    igl.harmonic(region.vertices, region.triangles, held, places, 2)
    return process_time() - begin


def _drafts() -> None:
    print("\nA line of the region pulled: the region drafted, CPU s")
    print(f"{'':<14}{'triangles':>11}{'the first':>11}{'each after':>12}")
    network, regions = wren()
    total = 0.0
    for spec in regions:
        begin = process_time()
        first = draft_region(network, regions, spec.name)
        middle = process_time()
        moved = _pulled(network, spec.inner[0])
        draft_region(moved, regions, spec.name, first.sheet)
        after = process_time() - middle
        total += after
        count = len(first.region.triangles)
        print(f"{spec.name:<14}{count:>11,}{middle - begin:>11.2f}{after:>12.2f}")
    print(f"{'all':<14}{'':>11}{'':>11}{total:>12.2f}")


def _pulled(network: LineNetwork, name: str) -> LineNetwork:
    """The network with a line lifted in its middle."""
    lines = []
    for line in network.lines:
        if line.name == name:
            control = line.control.copy()
            part = np.linspace(-1.0, 1.0, len(control))
            control[:, 2] += PULLED * np.exp(-((part / 0.3) ** 2))
            line = line.model_copy(update={"control": control})
        lines.append(line)
    return network.model_copy(update={"lines": tuple(lines)})


def _creases() -> None:
    print("\nCreases, at 20 mm: true angle, greatest error of the angle and of the skin")
    for true in (5.0, 25.0, 50.0, -20.0):
        creases = (CreaseSpec(line="ridge"),)
        network, spec = gabled(np.radians(true), creases=creases)
        region = span_region(network, spec, edge_length=20.0)
        off = np.abs(region.creases[0].angles - true).max()
        print(f"two cylinders {true:>8.1f} deg{off:>9.3f} deg{_off_gable(region, true):>9.4f} mm")
    network, spec = pyramid()
    region = span_region(network, spec, edge_length=20.0)
    true = np.degrees(np.arccos(1.0 / (1.0 + 0.75**2)))
    off = max(np.abs(crease.angles - true).max() for crease in region.creases)
    z = 300.0 * (1.0 - np.abs(region.vertices[:, :2]).max(axis=1) / 400.0)
    flat = np.abs(region.vertices[:, 2] - z).max()
    print(f"pyramid roof  {true:>8.1f} deg{off:>9.3f} deg{flat:>9.4f} mm")


def _off_gable(region: SkinRegion, angle: float) -> float:
    lean = 0.5 * np.radians(angle)
    _, y, z = region.vertices.T
    off = np.hypot(np.abs(y) + 500.0 * np.sin(lean), z + 500.0 * np.cos(lean)) - 500.0
    return float(np.abs(off).max())
