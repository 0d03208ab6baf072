"""A mesh laid flat with the least strain, its boundary free, no triangle flipped.

The least energy is found by Newton steps, from a conformal map or, where that is flipped or wild,
from a map onto a circle that never is. Openings are free boundaries too: the energy is that of
the triangles, and only the map onto a circle fills them for its own sake.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.chart import tutte_layout
from buckwright.geometry.flat_descent import FlatMesh, Progress, greatest_log, settle
from buckwright.geometry.flat_energy import FlatEnergy
from buckwright.geometry.flat_start import conformal_start, fan_openings
from buckwright.geometry.mesh import boundary_loops
from buckwright.geometry.polyline import polyline_length
from buckwright.geometry.strain import (
    greatest_measure,
    hencky_measure,
    limited_measure,
    normal_measure,
    symmetric_measure,
)

__all__ = [
    "FlatMesh",
    "flatten_least_greatest",
    "flatten_least_work",
    "flatten_one_way",
    "outer_loop",
]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_WILD = 0.7
"""Log strain beyond which the logarithmic energy is no longer convex enough to be trusted."""
_WALLS = 10.0 ** -np.arange(0.0, 4.5, 0.75)
"""Heights of the wall at a limit of strain, as shares of the least energy."""


def flatten_least_work(
    vertices: Array,
    triangles: Index,
    *,
    normal_ratio: float = 1.0,
    progress: Progress | None = None,
) -> FlatMesh:
    """The flat shape with the least integral of `normal_measure(normal_ratio)` over the mesh.

    For a ratio of 1, an isotropic sheet, that is e1^2 + e2^2 + e1 e2.

    Parameters: `vertices` (n, 3), `triangles` (m, 3) of a mesh of one piece without handles,
    with one boundary or more; `normal_ratio` of `normal_measure`: the larger, the less the area
    of any triangle changes; `progress` is called with the share done. Raises ValueError where a
    boundary touches itself or a triangle has no area. Where the shape lies is not promised.

    Cost: 1.5 s for 50,000 triangles that need a few percent, on one core. The least found is
    that of the valley in which the start lies; on shapes far beyond a half sphere there are more.
    """
    say = progress or _silent
    measure = normal_measure(normal_ratio)
    energy = FlatEnergy(vertices, triangles, hencky_measure)
    start = _start(vertices, triangles, energy)
    say(0.2)
    steps = 0
    if greatest_log(energy, start) > _WILD:
        energy.measure = symmetric_measure
        rough = settle(energy, start, tolerance=1e-2, say=lambda share: say(0.2 + 0.4 * share))
        start, steps = rough.points, rough.steps
    for ratio in _ratios(normal_ratio):
        energy.measure = normal_measure(ratio)
        near = settle(energy, start, tolerance=1e-2)
        start, steps = near.points, steps + near.steps
    energy.measure = measure
    found = settle(energy, start, tolerance=1e-9, say=lambda share: say(0.6 + 0.4 * share))
    say(1.0)
    return FlatMesh(found.points, found.settled, found.steps + steps)


def flatten_least_greatest(
    vertices: Array, triangles: Index, *, progress: Progress | None = None
) -> FlatMesh:
    """The flat shape whose greatest principal log strain is least, stretch and shrink alike.

    Parameters and failures as for `flatten_least_work`, from which it goes on through power
    norms 4, 8, ... 256: the greatest strain is met within about 1 %. A hundredth of a norm is
    far less of the strain, so each is settled roughly. Cost 8 to 20 times that.
    """
    say = progress or _silent
    first = flatten_least_work(vertices, triangles, progress=_part(say, 0.0, 0.15))
    energy = FlatEnergy(vertices, triangles, hencky_measure)
    points, steps, settled = first.points, first.steps, first.settled
    powers = 2.0 ** np.arange(2, 9)
    for k, power in enumerate(powers):
        points = _centred(energy, points)
        greatest = greatest_log(energy, points)
        if greatest < 1e-9:
            break
        energy.measure = greatest_measure(float(power), greatest)
        found = settle(energy, points, tolerance=1e-2)
        points, steps, settled = found.points, steps + found.steps, found.settled
        say(0.15 + 0.85 * (k + 1) / len(powers))
    return FlatMesh(_centred(energy, points), settled, steps)


def flatten_one_way(
    vertices: Array,
    triangles: Index,
    *,
    sense: float,
    slack: float,
    normal_ratio: float = 1.0,
    progress: Progress | None = None,
) -> FlatMesh:
    """The flat shape of least work among those that nowhere stretch, or nowhere shrink, the mesh.

    Parameters as for `flatten_least_work`, and `sense`, 1.0 where no principal log strain of the
    map to the plane may be above `slack`, -1.0 where none may be below -`slack`; `slack` > 0.
    The limit is kept by every triangle. A wall at the limit is lowered in steps until it counts
    for a thousandth of the work; cost 5 to 20 times that of `flatten_least_work`.
    """
    say = progress or _silent
    first = flatten_least_work(
        vertices, triangles, normal_ratio=normal_ratio, progress=_part(say, 0.0, 0.1)
    )
    measure = normal_measure(normal_ratio)
    energy = FlatEnergy(vertices, triangles, measure)
    points = _within(energy, first.points, sense, slack)
    steps, settled = first.steps, True
    mean = energy.value(points) / float(energy.areas.sum())
    for k, share in enumerate(_WALLS):
        energy.measure = limited_measure(measure, sense, slack, float(share) * 0.1 * mean)
        found = settle(energy, points, tolerance=1e-4 if share > _WALLS[-1] else 1e-6)
        points, steps, settled = found.points, steps + found.steps, found.settled
        say(0.1 + 0.9 * (k + 1) / len(_WALLS))
    return FlatMesh(points, settled, steps)


def outer_loop(flat: Array, triangles: Index) -> tuple[Index, tuple[Index, ...]]:
    """The boundary that encloses a flat shape (n, 2), counter-clockwise, and its openings.

    The openings run clockwise. Raises ValueError as `boundary_loops`.
    """
    loops = boundary_loops(triangles)
    enclosed = [_enclosed(flat[loop]) for loop in loops]
    outer = int(np.argmax(enclosed))
    return loops[outer], tuple(loop for k, loop in enumerate(loops) if k != outer)


def _enclosed(ring: Array) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float(0.5 * (x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def _silent(share: float) -> None:
    pass


def _part(say: Progress, low: float, high: float) -> Callable[[float], None]:
    return lambda share: say(low + (high - low) * share)


def _ratios(last: float) -> Array:
    """Ratios on the way to a large one, whose valley is too narrow to be entered at once."""
    return 10.0 ** np.arange(1.0, np.log10(max(last, 1.0)), 1.0)


def _start(vertices: Array, triangles: Index, energy: FlatEnergy) -> Array:
    loops = boundary_loops(triangles)
    lengths = [polyline_length(vertices[loop], closed=True) for loop in loops]
    longest = int(np.argmax(lengths))
    rim = loops[longest]
    flat = conformal_start(vertices, energy, rim)
    logs = energy.logs(flat)
    if logs is not None:
        # The scale at which stretch and shrink balance has the least Hencky energy.
        mean = float(np.average(logs[0] + logs[1], weights=energy.areas))
        flat = np.asarray(flat * np.exp(-0.5 * mean))
        if greatest_log(energy, flat) < 2.0 * _WILD:
            return flat
    openings = [loop for k, loop in enumerate(loops) if k != longest]
    filled = fan_openings(vertices, triangles, openings)
    laid = tutte_layout(*filled, rim)[: len(vertices)]
    return np.asarray(lengths[longest] / (2.0 * np.pi) * laid)


def _centred(energy: FlatEnergy, flat: Array) -> Array:
    """Scaled so that the greatest stretch equals the greatest shrink."""
    logs = energy.logs(flat)
    assert logs is not None
    return np.asarray(flat * np.exp(-0.5 * (logs[0].max() + logs[1].min())))


def _within(energy: FlatEnergy, flat: Array, sense: float, slack: float) -> Array:
    """Scaled so that no log strain comes nearer to the limit than half the slack."""
    logs = energy.logs(flat)
    assert logs is not None
    most = max(float((sense * part).max()) for part in logs)
    return np.asarray(flat * np.exp(sense * (0.5 * slack - max(most, 0.5 * slack))))
