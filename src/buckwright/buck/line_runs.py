"""A line as it runs over the skin: where the mesh carries it, and which way is out there.

A line may run over several regions (an arch that bounds the sides and the top). A wire on one
of them follows the line through the others where they fill a gap between its own stretches and
the metal goes on without a crease.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.creases import Creases, fade_leans
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.spline import closest_parameters, domain
from buckwright.model.lines import Line
from buckwright.model.skin import SkinRegion

__all__ = ["LineRun", "close_points", "runs_of_line"]

Array = NDArray[np.float64]

JOIN_GAP = 1.0
"""mm between the ends of two runs that go on into each other."""
JOIN_COSINE = 0.87
"""Cosine of the angle between their normals there: 30 degrees is no crease yet."""
SAMPLE = 4.0
"""mm between the close points of a run."""


@dataclass(frozen=True, slots=True, eq=False)
class LineRun:
    """A stretch of a line on the skin, at the mesh's vertices in the sense of the line.

    `at` (n,) parameters of the line, increasing; `points` (n, 3) vertices; `normals` (n, 3);
    `leans` (n, 3), and where another region `meets` the line (n,): see `creases`. Of a closed
    run the last place is the first again, one turn later.
    """

    at: Array
    points: Array
    normals: Array
    leans: Array
    meets: NDArray[np.bool_]
    own: bool
    """Whether it lies on the wire's region."""
    closed: bool = False


def _run(line: Line, run: LineRun) -> LineRun:
    """The run with its parameters on the line, in the sense of the line."""
    at, _ = closest_parameters(line.curve(), run.points, closed=line.closed)
    at = np.unwrap(at, period=1.0) if line.closed else at
    order = np.arange(len(at))
    if run.closed:
        turn = 1.0 if at[-1] >= at[0] else -1.0
        at, order = np.append(at, at[0] + turn), np.append(order, 0)
    if at[-1] < at[0]:
        at, order = at[::-1], order[::-1]
    rising = np.argsort(at, kind="stable")
    return replace(_picked(run, order[rising]), at=at[rising])


def _picked(run: LineRun, order: NDArray[np.int64]) -> LineRun:
    return replace(
        run,
        points=run.points[order],
        normals=run.normals[order],
        leans=run.leans[order],
        meets=run.meets[order],
    )


def _runs_on(
    line: Line, region: SkinRegion, mesh: CurvedMesh, creases: Creases, *, own: bool
) -> list[LineRun]:
    found = []
    for track in (*region.boundary, *region.inner, *region.holes):
        if track.line != line.name or len(track.vertices) < 2:
            continue
        points, normals = mesh.vertices[track.vertices], mesh.normals[track.vertices]
        leans, meets = creases.leans(region, points, normals)
        at = np.zeros(len(points))
        found.append(
            _run(line, LineRun(at, points, normals, leans, meets, own, closed=track.closed))
        )
    return found


def _goes_on(first: LineRun, second: LineRun) -> bool:
    gap = np.linalg.norm(first.points[-1] - second.points[0])
    return bool(gap < JOIN_GAP and first.normals[-1] @ second.normals[0] > JOIN_COSINE)


def _joined(first: LineRun, second: LineRun) -> LineRun:
    # A closed line may pass its own start between the two.
    turns = np.round(first.at[-1] - second.at[0])
    return LineRun(
        np.concatenate([first.at, second.at[1:] + turns]),
        np.vstack([first.points, second.points[1:]]),
        np.vstack([first.normals, second.normals[1:]]),
        np.vstack([first.leans, second.leans[1:]]),
        np.concatenate([first.meets, second.meets[1:]]),
        first.own or second.own,
    )


def _chained(runs: list[LineRun]) -> list[LineRun]:
    """Runs that go on into each other made one; a chain that ends in its start is closed."""
    left = list(runs)
    done: list[LineRun] = []
    while left:
        here = left.pop(0)
        grown = not here.closed
        while grown:
            grown = False
            for k, other in enumerate(left):
                if not other.closed and (_goes_on(here, other) or _goes_on(other, here)):
                    here = _joined(here, other) if _goes_on(here, other) else _joined(other, here)
                    del left[k]
                    grown = True
                    break
        ring = not here.closed and here.at[-1] - here.at[0] > 0.99 and _goes_on(here, here)
        done.append(replace(here, closed=True) if ring else here)
    return done


def _between(runs: Sequence[LineRun], others: Sequence[LineRun]) -> list[LineRun]:
    """Runs on other regions that join two of the wire's own, and lie over none of them."""
    middles = [other.at[len(other.at) // 2] for other in others]
    free = [
        other
        for other, middle in zip(others, middles, strict=True)
        if not any(run.at[0] <= middle + k <= run.at[-1] for run in runs for k in (-1.0, 0.0, 1.0))
    ]
    return [
        other
        for other in free
        if any(_goes_on(run, other) for run in runs) and any(_goes_on(other, run) for run in runs)
    ]


def runs_of_line(
    line: Line,
    region: SkinRegion,
    mesh: CurvedMesh,
    others: Sequence[tuple[SkinRegion, CurvedMesh]],
    creases: Creases,
) -> list[LineRun]:
    """The runs of a line on a region, in the line's sense and order; empty if it is not there."""
    own = _chained(_runs_on(line, region, mesh, creases, own=True))
    if len(own) > 1:
        foreign = [run for other in others for run in _runs_on(line, *other, creases, own=False)]
        own = _chained([*own, *_between(own, foreign)])
    faded = [
        replace(run, leans=fade_leans(run.points, run.normals, run.leans, run.meets)) for run in own
    ]
    return sorted(faded, key=lambda run: float(run.at[0]))


def close_points(line: Line, run: LineRun) -> tuple[Array, Array]:
    """Points and leans every 4 mm: the line's own smooth curve, moved onto the vertices.

    The skin may have let a line go by a part of its doubt; between vertices that small gap and
    the lean are carried on linearly, and the fit that follows smooths them.
    """
    curve = line.curve()
    start, end = domain(curve)
    inside = run.at if line.closed else run.at.clip(start, end)
    gaps = run.points - np.asarray(curve(inside))
    probe = np.asarray(curve(np.linspace(inside[0], inside[-1], 400)))
    length = float(np.linalg.norm(np.diff(probe, axis=0), axis=1).sum())
    count = max(int(length / SAMPLE), 8)
    samples = np.linspace(inside[0], inside[-1], count + 1)[: count if run.closed else None]
    carried = np.column_stack(
        [np.interp(samples, inside, column) for column in np.hstack([gaps, run.leans]).T]
    )
    return np.asarray(curve(samples)) + carried[:, :3], carried[:, 3:]
