"""A mesh laid flat with the least strain, its boundary free, no triangle flipped.

The least energy is found by Newton steps with second derivatives made positive, from a conformal
map or, where that is flipped or wild, from a map onto a circle that never is. Along each step the
first place where a triangle would lose its area is known exactly, so that it is never reached.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import linalg

from buckwright.geometry.chart import tutte_layout
from buckwright.geometry.flat_energy import FlatEnergy, longest_step
from buckwright.geometry.flat_start import conformal_start, factor_positive
from buckwright.geometry.mesh import boundary_loops
from buckwright.geometry.strain import greatest_measure, hencky_measure, symmetric_measure

__all__ = ["FlatMesh", "flatten_least_greatest", "flatten_least_work"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Progress = Callable[[float], None]

_WILD = 0.7
"""Log strain beyond which the logarithmic energy is no longer convex enough to be trusted."""


@dataclass(frozen=True, eq=False, slots=True)
class FlatMesh:
    """A flat shape of a mesh.

    Attributes: points (n, 2), triangles counter-clockwise; settled, whether the last step could
    not lessen the energy any more; steps, how many were taken.
    """

    points: Array
    settled: bool
    steps: int


def flatten_least_work(
    vertices: Array, triangles: Index, *, progress: Progress | None = None
) -> FlatMesh:
    """The flat shape with the least integral of e1^2 + e2^2 + e1 e2 over the mesh.

    Parameters: vertices (n, 3), triangles (m, 3) of a mesh with one boundary and without
    handles; `progress` is called with the share done. Raises ValueError where a boundary touches
    itself or a triangle has no area. Where the shape lies is not promised.

    Cost: 2 to 3 s for 50,000 triangles that need a few percent, on one core. The least found is
    that of the valley in which the start lies; on shapes far beyond a half sphere there are more.
    """
    say = progress or _silent
    energy = FlatEnergy(vertices, triangles, hencky_measure)
    start = _start(vertices, triangles, energy)
    say(0.2)
    steps = 0
    if _greatest(energy, start) > _WILD:
        energy.measure = symmetric_measure
        rough = _settle(energy, start, tolerance=1e-2, say=lambda share: say(0.2 + 0.4 * share))
        start, steps = rough.points, rough.steps
        energy.measure = hencky_measure
    found = _settle(energy, start, tolerance=1e-9, say=lambda share: say(0.6 + 0.4 * share))
    say(1.0)
    return FlatMesh(found.points, found.settled, found.steps + steps)


def flatten_least_greatest(
    vertices: Array, triangles: Index, *, progress: Progress | None = None
) -> FlatMesh:
    """The flat shape whose greatest principal log strain is least, stretch and shrink alike.

    Parameters and failures as for `flatten_least_work`, from which it goes on through power
    norms 4, 8, ... 256: the greatest strain is met within about 1 %. Cost about 8 times that.
    """
    say = progress or _silent
    first = flatten_least_work(vertices, triangles, progress=lambda share: say(0.15 * share))
    energy = FlatEnergy(vertices, triangles, hencky_measure)
    points, steps, settled = first.points, first.steps, first.settled
    powers = 2.0 ** np.arange(2, 9)
    for k, power in enumerate(powers):
        points = _centred(energy, points)
        greatest = _greatest(energy, points)
        if greatest < 1e-9:
            break
        energy.measure = greatest_measure(float(power), greatest)
        found = _settle(energy, points, tolerance=1e-4)
        points, steps, settled = found.points, steps + found.steps, found.settled
        say(0.15 + 0.85 * (k + 1) / len(powers))
    return FlatMesh(_centred(energy, points), settled, steps)


def _silent(share: float) -> None:
    pass


def _start(vertices: Array, triangles: Index, energy: FlatEnergy) -> Array:
    rim = boundary_loops(triangles)[0]
    flat = conformal_start(vertices, energy, rim)
    logs = energy.logs(flat)
    if logs is not None:
        # The scale at which stretch and shrink balance has the least Hencky energy.
        mean = float(np.average(logs[0] + logs[1], weights=energy.areas))
        flat = np.asarray(flat * np.exp(-0.5 * mean))
        if _greatest(energy, flat) < 2.0 * _WILD:
            return flat
    length = np.linalg.norm(np.roll(vertices[rim], -1, axis=0) - vertices[rim], axis=1).sum()
    return np.asarray(length / (2.0 * np.pi) * tutte_layout(vertices, triangles, rim))


def _greatest(energy: FlatEnergy, flat: Array) -> float:
    logs = energy.logs(flat)
    return float("inf") if logs is None else max(float(np.abs(part).max()) for part in logs)


def _centred(energy: FlatEnergy, flat: Array) -> Array:
    """Scaled so that the greatest stretch equals the greatest shrink."""
    logs = energy.logs(flat)
    assert logs is not None
    return np.asarray(flat * np.exp(-0.5 * (logs[0].max() + logs[1].min())))


def _settle(
    energy: FlatEnergy,
    flat: Array,
    *,
    tolerance: float,
    most: int = 100,
    say: Progress = _silent,
) -> FlatMesh:
    """Newton steps until one gains less than `tolerance` of the energy, or moves nothing."""
    solver = _Solver()
    size = float(np.ptp(flat, axis=0).max())
    for count in range(1, most + 1):
        value, slope, second = energy.derivatives(flat)
        step = -solver.solve(second, slope)
        gain = -float(slope @ step)
        shift = step.reshape(-1, 2)
        moved = _lessened(energy, flat, shift, value=value, gain=gain)
        if moved is None:
            # Nothing along the step is lower: rounding is all that is left.
            return FlatMesh(flat, gain <= 1e-6 * value + 1e-18 * energy.areas.sum(), count)
        flat = moved
        if gain <= tolerance * value or float(np.abs(shift).max()) < 1e-10 * size:
            return FlatMesh(flat, True, count)
        say(1.0 - 0.7**count)
    return FlatMesh(flat, False, most)


def _lessened(
    energy: FlatEnergy, flat: Array, shift: Array, *, value: float, gain: float
) -> Array | None:
    """The shape after as much of the step as lowers the energy; None if no part of it does."""
    reach = min(1.0, 0.9 * longest_step(flat, energy.triangles, shift))
    while reach > 1e-10:
        moved = np.asarray(flat + reach * shift)
        if energy.value(moved) <= value - 1e-4 * reach * gain:
            return moved
        reach *= 0.5
    return None


class _Solver:
    """Solves systems that change little from one to the next: factors one, iterates with it."""

    def __init__(self) -> None:
        self._factor: Any = None

    def solve(self, second: sparse.bsr_matrix, right: Array) -> Array:
        """Solution of a positive system, (2 n,), by the last factor if that takes few rounds."""
        if self._factor is not None:
            near = linalg.LinearOperator(second.shape, self._factor.solve)
            answer, missed = linalg.cg(second, right, rtol=1e-3, maxiter=12, M=near)
            if not missed:
                return np.asarray(answer)
        size = second.shape[0]
        lift = 1e-10 * float(second.diagonal().mean())
        # Turning and shifting the whole shape costs nothing: a trace of stiffness holds it.
        self._factor = factor_positive(second.tocsr() + lift * sparse.identity(size, format="csr"))
        return np.asarray(self._factor.solve(right))
