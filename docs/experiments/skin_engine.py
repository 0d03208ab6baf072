"""Which engine spans the skin? A crowned cab and the example's body, clean and noisy lines.

Run: python docs/experiments/skin_engine.py [draws]. Prints the tables of skin_engine.md. Distances
are those of the vertices of one mesh to the true surface; the sign of the Gauss curvature is read
from angle defects on that mesh, for every engine alike. Noise is one smooth field in space, 1 mm
rms in each coordinate, so that lines still meet where they cross.
"""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from time import process_time

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, map_coordinates

from buckwright.geometry.curvature import angle_defects
from buckwright.geometry.mesh import MeshLocator, boundary_loops, vertex_areas
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec, SkinRegion
from buckwright.skin import grain, span_region

ROOT = Path(__file__).parents[2]
sys.path += [str(ROOT / "tests"), str(ROOT / "examples" / "wren")]
import shape  # noqa: E402
import truelines  # noqa: E402

from networks_on_paper import network_of  # noqa: E402
from skin_peers import filled, tri_laplacian  # noqa: E402

Array = NDArray[np.float64]
Surface = Callable[[Array, Array], Array]

EDGE = 25.0
REACH = np.radians(166.0)


def cab(s: Array, t: Array) -> Array:
    turn = REACH * (t - 0.5)
    radius = (640.0 + 70.0 * (1.0 - (2.0 * s - 1.0) ** 2)) * (1.0 + 0.05 * np.cos(2.0 * turn))
    x = 1600.0 * s + 40.0 * np.sin(np.pi * t) * (2.0 * s - 1.0)
    return np.stack([x, radius * np.sin(turn), 400.0 + radius * np.cos(turn)], axis=-1)


def noisy(surface: Surface, alike: float, seed: int) -> Surface:
    """The surface moved by a smooth field, alike over a distance, 1 mm rms in each coordinate."""
    size, step = 384, 1600.0 / 255.0
    rng = np.random.default_rng(seed)
    fields = []
    for _ in range(3):
        field = gaussian_filter(rng.normal(size=(size, size)), alike / step / np.sqrt(2.0))
        fields.append(field / field.std())

    def moved(s: Array, t: Array) -> Array:
        at = [64.0 + 255.0 * s, 64.0 + 255.0 * t]
        off = [map_coordinates(field, at, order=3) for field in fields]
        return surface(s, t) + np.stack(off, axis=-1)

    return moved


def seven_by_seven(surface: Surface, sigma: float) -> tuple[LineNetwork, RegionSpec]:
    places = np.linspace(0.0, 1.0, 7)
    curves = {f"arch {k}": (lambda t, c=c: surface(c + 0.0 * t, t)) for k, c in enumerate(places)}
    curves |= {f"long {k}": (lambda t, c=c: surface(t, c + 0.0 * t)) for k, c in enumerate(places)}
    inner = tuple(f"{kind} {k}" for kind in ("arch", "long") for k in range(1, 6))
    spec = RegionSpec(name="cab", boundary=("arch 0", "long 6", "arch 6", "long 0"), inner=inner)
    return network_of(curves, sigma=sigma), spec


def grid_mesh(surface: Surface, u: Array, v: Array) -> tuple[Array, NDArray[np.int64]]:
    uu, vv = np.meshgrid(u, v, indexing="ij")
    number = np.arange(uu.size).reshape(uu.shape)
    a, b, c, d = number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]
    triangles = [np.stack(q, axis=-1).reshape(-1, 3) for q in ((a, b, c), (a, c, d))]
    return surface(uu.ravel(), vv.ravel()), np.vstack(triangles)


@contextmanager
def no_grain() -> Iterator[None]:
    kept = grain.MOST
    grain.MOST = 1.0
    try:
        yield
    finally:
        grain.MOST = kept


def sure(network: LineNetwork) -> LineNetwork:
    lines = tuple(line.model_copy(update={"sigma": 0.0}) for line in network.lines)
    return network.model_copy(update={"lines": lines})


class Engines:
    """Each engine's vertices on one mesh."""

    def __init__(self, network: LineNetwork, spec: RegionSpec) -> None:
        self.network, self.spec = network, spec
        self.base = span_region(sure(network), spec, edge_length=EDGE)

    def all(self) -> Iterator[tuple[str, SkinRegion | None, Array, float]]:
        base = self.base
        tracks = (*base.boundary, *base.inner)
        held = np.unique(np.concatenate([track.vertices for track in tracks]))
        # The base mesh's line vertices lie on the lines, those of hard lines exactly.
        yield self._timed(
            "tri-Laplacian, four rounds (mesh given)",
            None,
            lambda: tri_laplacian(base.vertices, base.triangles, held, base.vertices[held]),
        )
        yield self._timed(
            "Open CASCADE filling", None, lambda: filled(self.network, self.spec, base.vertices)
        )
        for name, network, plain in (
            ("ours, no grain, lines hard", sure(self.network), True),
            ("ours, no grain, lines soft", self.network, True),
            ("ours, lines hard", sure(self.network), False),
            ("**ours**", self.network, False),
        ):
            begin = process_time()
            if plain:
                with no_grain():
                    region = span_region(network, self.spec, edge_length=EDGE)
            else:
                region = span_region(network, self.spec, edge_length=EDGE)
            yield name, region, region.vertices, process_time() - begin

    @staticmethod
    def _timed(
        name: str, region: SkinRegion | None, run: Callable[[], Array]
    ) -> tuple[str, SkinRegion | None, Array, float]:
        begin = process_time()
        return name, region, run(), process_time() - begin


def judged(vertices: Array, triangles: NDArray[np.int64], truth: MeshLocator) -> Array:
    """Greatest and rms distance, mm, and share of the area with the wrong Gauss sign, %."""
    off = truth.closest(vertices)[0]
    inside = np.setdiff1d(np.arange(len(vertices)), np.concatenate(boundary_loops(triangles)))
    areas = vertex_areas(vertices, triangles)[inside]
    wrong = angle_defects(vertices, triangles)[inside] < 0.0
    share = 100.0 * areas[wrong].sum() / areas.sum()
    return np.array([np.abs(off).max(), np.sqrt(np.mean(off**2)), share])


def cab_table(draws: int) -> None:
    ends = np.linspace(0.0, 1.0, 501)
    truth = MeshLocator(*grid_mesh(cab, ends, ends))
    cases: list[tuple[str, list[Surface], float]] = [("clean", [cab], 0.0)]
    for alike in (60.0, 120.0, 200.0):
        cases.append((f"{alike:.0f} mm", [noisy(cab, alike, k) for k in range(draws)], 1.0))
    print("| engine | " + " | ".join(name for name, _, _ in cases) + " | CPU s |")
    print("|---|" + "---|" * (len(cases) + 1))
    rows: dict[str, list[Array]] = {}
    times: dict[str, float] = {}
    for _, surfaces, sigma in cases:
        found: dict[str, list[Array]] = {}
        for surface in surfaces:
            engines = Engines(*seven_by_seven(surface, sigma))
            for name, region, vertices, seconds in engines.all():
                mesh = engines.base if region is None else region
                found.setdefault(name, []).append(judged(vertices, mesh.triangles, truth))
                times.setdefault(name, seconds)
        for name, values in found.items():
            rows.setdefault(name, []).append(np.mean(values, axis=0))
    for name, values in rows.items():
        cells = " | ".join(f"{m:.2f} / {r:.3f} / {g:.1f} %" for m, r, g in values)
        print(f"| {name} | {cells} | {times[name]:.1f} |")


def wren_table() -> None:
    """The example's regions from their exact lines: with the grain and without."""
    job = Job.model_validate_json((ROOT / "examples/wren/job.json").read_text(encoding="utf-8"))
    used = {n for r in job.regions for n in (*r.boundary, *r.inner, *r.holes)}
    curves = {name: curve for name, (curve, _) in truelines.lines().items() if name in used}
    closed = frozenset(name for name, (_, ring) in truelines.lines().items() if ring)
    network = network_of(curves, closed=closed, points=241)
    truths = {
        "body": _body_truth(),
        "scuttle": grid_mesh(
            shape.scuttle_top, np.linspace(400.0, 720.0, 160), np.linspace(0.0, np.pi, 900)
        ),
        "front wing": _wing_truth(shape.FRONT_WING),
        "rear wing": _wing_truth(shape.REAR_WING),
    }
    print("| region of the example | no grain | with grain |")
    print("|---|---|---|")
    for spec in job.regions:
        if spec.name not in truths:
            continue
        truth = MeshLocator(*truths[spec.name])
        cells = []
        for plain in (True, False):
            if plain:
                with no_grain():
                    region = span_region(network, spec, edge_length=EDGE)
            else:
                region = span_region(network, spec, edge_length=EDGE)
            most, rms, _ = judged(region.vertices, region.triangles, truth)
            cells.append(f"{most:.2f} / {rms:.3f}")
        print(f"| {spec.name} | {cells[0]} | {cells[1]} |")


def _body_truth() -> tuple[Array, NDArray[np.int64]]:
    x = np.linspace(400.0, 2930.0, 420)
    parts = [grid_mesh(shape.body_upper, x, np.linspace(0.0, np.pi, 900))]
    for side in (-1.0, 1.0):

        def low(x: Array, w: Array, side: float = side) -> Array:
            return shape.body_lower(x, shape.belt_height(x) - w, side)

        parts.append(grid_mesh(low, x, np.linspace(0.0, 720.0, 300)))
    start = np.cumsum([0, *(len(p) for p, _ in parts)])
    return (
        np.vstack([p for p, _ in parts]),
        np.vstack([t + k for (_, t), k in zip(parts, start, strict=False)]),
    )


def _wing_truth(wing: shape.Wing) -> tuple[Array, NDArray[np.int64]]:
    reach, half = 1.03 * wing.reach, 1.04 * wing.half_width
    u = np.linspace(wing.middle - reach, wing.middle + reach, 500)
    return grid_mesh(wing.point, u, np.linspace(-half, half, 160))


if __name__ == "__main__":
    cab_table(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
    print()
    wren_table()
