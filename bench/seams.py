"""Seam search on the example's wings beside the single panel; geodesics beside libigl's."""

import json
import resource
import sys
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from time import perf_counter, process_time

import igl
import numpy as np

from buckwright.geometry.geodesic import Geodesics
from buckwright.geometry.polyline import polyline_length
from buckwright.model.job import Job
from buckwright.model.skin import Skin
from buckwright.panels.seam_search import Watch
from buckwright.panels.seam_study import propose_seams
from buckwright.skin import span_skin

# The shapes are those of the tests.
sys.path.append(str(Path(__file__).parents[1] / "tests"))
from discs_on_paper import cap, wing
from networks_on_paper import network_of

ROOT = Path(__file__).parents[1]
PAIRS = 60


def main() -> None:
    job, skin = wings()
    # The time counts from the start of the processes, as a user waits for it.
    head = ("wall s", "CPU s", "flattened", "one piece", "chosen", "less")
    print(f"{'':<12}" + "".join(f"{h:>11}" for h in head))
    for workers in (1, 2):
        for name in ("front wing", "rear wing"):
            begin, used = perf_counter(), cpu_seconds()
            with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as executor:
                study = propose_seams(name, skin, job.sheet, watch=Watch(executor))
            wall, spent = perf_counter() - begin, cpu_seconds() - used
            single, chosen = study.options[0], study.option(study.chosen)
            print(
                f"{name:<12}{wall:>11.1f}{spent:>11.1f}{study.tried:>11}{single.peak:>11.4f}{chosen.peak:>11.4f}"
                f"{100.0 * (1.0 - chosen.peak / single.peak):>10.0f}%  {workers} workers, "
                f"{len(chosen.pieces)} pieces, {chosen.weld / 1000.0:.2f} m of weld: "
                + ", ".join(seam.line or "straight" for seam in chosen.seams)
            )
    print()
    paths()


def cpu_seconds() -> float:
    """CPU seconds of this process and of those that have ended."""
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    return process_time() + children.ru_utime + children.ru_stime


def wings() -> tuple[Job, Skin]:
    """The example's wings over their true lines."""
    job = Job.model_validate_json((ROOT / "examples/wren/job.json").read_text(encoding="utf-8"))
    truth = json.loads((ROOT / "examples/wren/truth.json").read_text(encoding="utf-8"))["lines"]
    curves, closed = {}, set()
    for name, line in truth.items():
        if "wing" not in name:
            continue
        points = np.array(line["points"])
        if line["closed"]:
            closed.add(name)
            points = np.vstack([points, points[:1]])
        at = np.linspace(0.0, 1.0, len(points))
        curves[name] = lambda t, at=at, points=points: np.column_stack(
            [np.interp(t, at, points[:, k]) for k in range(3)]
        )
    network = network_of(curves, closed=frozenset(closed), points=241)
    regions = tuple(spec for spec in job.regions if "wing" in spec.name)
    return job, span_skin(network, regions, edge_length=job.edge_length)


def paths() -> None:
    """Straight ways between random vertices, and how much longer than the shortest of all."""
    head = ("", "ours ms", "libigl ms", "libigl/ours", "longer")
    print(f"{head[0]:<24}" + "".join(f"{h:>13}" for h in head[1:]) + "   (CPU, one path)")
    none = np.zeros(0, dtype=np.int64)
    for title, (vertices, triangles) in (("cap", cap(30, 1.0)), ("wing", wing(30))):
        ends = np.random.default_rng(1).choice(len(vertices), (PAIRS, 2))
        ways = Geodesics(vertices, triangles)
        begin = process_time()
        ours = [polyline_length(ways.between(int(a), int(b)).points) for a, b in ends]
        middle = process_time()
        exact = [
            float(
                np.ravel(
                    igl.exact_geodesic(vertices, triangles, ends[k, :1], none, ends[k, 1:], none)
                )[0]
            )
            for k in range(PAIRS)
        ]
        own, theirs = middle - begin, process_time() - middle
        longer = float(np.max(np.array(ours) / np.array(exact))) - 1.0
        print(
            f"{title + f', {len(triangles)} triangles':<24}{1e3 * own / PAIRS:>13.2f}"
            f"{1e3 * theirs / PAIRS:>13.2f}{theirs / own:>13.1f}{longer:>13.1e}"
        )


if __name__ == "__main__":
    main()
