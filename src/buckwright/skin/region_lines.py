"""Which pieces of which lines make a region."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.model.skin import RegionSpec
from buckwright.skin.fields import Fields, find_fields
from buckwright.skin.loops import outer_loop
from buckwright.skin.sampling import Run, Samples

__all__ = ["RegionLines", "gather_lines"]

Index = NDArray[np.int64]
Pair = tuple[int, int]

ROOM = 0.2
"""Share of a boundary's size that the region may bulge beyond the boundary's box."""


@dataclass(frozen=True, eq=False, slots=True)
class RegionLines:
    """Runs of arcs: they mean the same for samples of any step."""

    boundary: tuple[Run, ...]
    """In order round the region, which lies on the left."""
    inner: tuple[Run, ...]
    holes: tuple[Run, ...]
    """Round the openings: closed lines, and runs that close to a loop together, in order."""

    def hole_loops(self, samples: Samples) -> list[Index]:
        """Vertices round each opening."""
        loops: list[list[Index]] = []
        start: int | None = None
        for run in self.holes:
            around = samples.along(run)
            if start is None:
                loops.append([])
                start = int(around[0])
            loops[-1].append(around if run.closed else around[:-1])
            if run.closed or int(around[-1]) == start:
                start = None
        return [np.concatenate(parts) for parts in loops]

    def runs(self) -> tuple[Run, ...]:
        """All of them."""
        return (*self.boundary, *self.inner, *self.holes)

    def loop(self, samples: Samples) -> Index:
        """Vertices round the outer boundary, counter-clockwise."""
        if self.boundary[0].closed:
            return samples.along(self.boundary[0])
        return np.concatenate([samples.along(run)[:-1] for run in self.boundary])

    def sides(self, samples: Samples) -> Index:
        """(s, 2) pairs of vertices next to each other on any line, lower first."""
        pairs = [_pairs(samples, run) for run in self.runs()]
        return np.unique(np.sort(np.vstack(pairs), axis=1), axis=0)


def gather_lines(samples: Samples, spec: RegionSpec) -> tuple[RegionLines, Fields]:
    """The pieces of the region's lines that bound it or lie on it, and its fields.

    What lies on its boundary, beyond it, or inside a hole is left out. Raises JobError.
    """
    boundary = outer_loop(samples, spec)
    _refuse_strangers(samples, spec, boundary)
    taken = {(run.line, k) for run in boundary for k in run.numbers}
    bare = RegionLines(boundary, (), ())
    inner = [(n, k) for n in dict.fromkeys(spec.inner) for k in range(len(samples.arcs[n]))]
    inner = [arc for arc in inner if arc not in taken and arc[0] not in spec.holes]
    holes = _holes(samples, spec)
    fields = find_fields(
        samples.points,
        bare.loop(samples),
        [pair for arc in inner for pair in _arc_pairs(samples, *arc)],
        [(int(a), int(b)) for hole in holes for a, b in _pairs(samples, hole)],
        region=spec.name,
    )
    seen = _seen_sides(fields)
    kept = [arc for arc in inner if _arc_pairs(samples, *arc)[0] in seen]
    if not np.array_equal(fields.loop, bare.loop(samples)):
        boundary = tuple(
            Run(run.line, run.numbers, not run.turned, run.closed) for run in boundary[::-1]
        )
    return RegionLines(boundary, _joined(samples, kept), holes), fields


def _refuse_strangers(samples: Samples, spec: RegionSpec, boundary: tuple[Run, ...]) -> None:
    """JobError for a line of the region that keeps wholly outside the box of its boundary."""
    around = np.vstack([samples.points[samples.along(run)] for run in boundary])
    low, high = around.min(axis=0), around.max(axis=0)
    room = ROOM * float(np.linalg.norm(high - low))
    for name in (*spec.inner, *spec.holes):
        points = np.vstack([samples.points[arc.vertices] for arc in samples.arcs[name]])
        if not ((points > low - room) & (points < high + room)).all(axis=1).any():
            raise JobError(
                f"'{name}' lies nowhere near '{spec.name}'.",
                "Take it out of the region, or check its traces.",
            )


def _holes(samples: Samples, spec: RegionSpec) -> tuple[Run, ...]:
    """Runs round the openings: closed lines by themselves, the others as loops of several."""
    whole = {name: _closed_run(samples, name) for name in spec.holes}
    runs = [run for run in whole.values() if run is not None]
    left = [name for name in whole if whole[name] is None]
    while left:
        ring = _ring(samples, left)
        if len(ring) < 2:
            raise JobError(
                f"'{ring[0]}' is to be a hole in '{spec.name}', but it is not a closed line.",
                "Mark the line as closed, name the lines that close it, or make it part of the "
                "boundary.",
            )
        opening = RegionSpec(name=f"opening in {spec.name}", boundary=tuple(ring))
        runs += outer_loop(samples, opening)
        left = [name for name in left if name not in ring]
    return tuple(runs)


def _closed_run(samples: Samples, name: str) -> Run | None:
    arcs = samples.arcs[name]
    if arcs[0].ends[0] != arcs[-1].ends[1]:
        return None
    return Run(name, tuple(range(len(arcs))), closed=True)


def _ring(samples: Samples, names: list[str]) -> list[str]:
    """The first of the names and those that follow it, each meeting the next."""
    ring, rest = [names[0]], names[1:]
    while True:
        following = [n for n in rest if samples.nodes(n) & samples.nodes(ring[-1])]
        if not following:
            return ring
        ring.append(following[0])
        rest.remove(following[0])


def _pairs(samples: Samples, run: Run) -> Index:
    vertices = samples.along(run)
    if run.closed:
        return np.column_stack([vertices, np.roll(vertices, -1)])
    return np.column_stack([vertices[:-1], vertices[1:]])


def _arc_pairs(samples: Samples, name: str, number: int) -> list[Pair]:
    vertices = samples.arcs[name][number].vertices.tolist()
    return list(pairwise(vertices))


def _seen_sides(fields: Fields) -> set[Pair]:
    """Sides with metal on one side at least, in both senses."""
    seen: set[Pair] = set()
    for walk, metal in zip(fields.walks, fields.metal, strict=True):
        if metal:
            around = walk.tolist()
            pairs = list(zip(around, [*around[1:], around[0]], strict=True))
            seen.update(pairs, ((b, a) for a, b in pairs))
    return seen


def _joined(samples: Samples, arcs: list[tuple[str, int]]) -> tuple[Run, ...]:
    """Arcs that follow each other on one line joined to runs."""
    runs: list[list[tuple[str, int]]] = []
    for arc in arcs:
        if runs and runs[-1][-1] == (arc[0], arc[1] - 1):
            runs[-1].append(arc)
        else:
            runs.append([arc])
    found = []
    for run in runs:
        name, numbers = run[0][0], tuple(k for _, k in run)
        whole = samples.arcs[name]
        closed = len(numbers) == len(whole) and whole[0].ends[0] == whole[-1].ends[1]
        found.append(Run(name, numbers, closed=closed))
    return tuple(found)
