"""Newton steps from one flat shape of a mesh to one of less energy, no triangle ever flipped.

Second derivatives are made positive. Along each step the first place where a triangle would lose
its area is known exactly, so that it is never reached.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import linalg

from buckwright.geometry.factor import OrderedFactor
from buckwright.geometry.flat_energy import FlatEnergy, longest_step

__all__ = ["FlatMesh", "Progress", "greatest_log", "settle"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Progress = Callable[[float], None]


@dataclass(frozen=True, eq=False, slots=True)
class FlatMesh:
    """A flat shape of a mesh.

    Attributes: points (n, 2), triangles counter-clockwise; settled, whether the last step could
    not lessen the energy any more; steps, how many were taken.
    """

    points: Array
    settled: bool
    steps: int


def greatest_log(energy: FlatEnergy, flat: Array) -> float:
    """The greatest principal log strain, stretch or shrink; inf where a triangle is flipped."""
    logs = energy.logs(flat)
    return float("inf") if logs is None else max(float(np.abs(part).max()) for part in logs)


def _silent(share: float) -> None:
    pass


def settle(
    energy: FlatEnergy,
    flat: Array,
    *,
    tolerance: float,
    most: int = 100,
    say: Progress = _silent,
) -> FlatMesh:
    """Newton steps until one gains less than `tolerance` of the energy, or moves nothing.

    `flat` (n, 2) has a finite energy; `most` steps are taken.
    """
    solver = _Solver(energy.elimination)
    size = float(np.ptp(flat, axis=0).max())
    for count in range(1, most + 1):
        value, slope, second = energy.derivatives(flat)
        step = -solver.solve(second, slope)
        gain = -float(slope @ step)
        shift = step.reshape(-1, 2)
        moved = _lessened(energy, flat, shift, value=value, gain=gain)
        if moved is None:
            # Nothing along the step is lower: rounding is all that is left.
            return FlatMesh(flat, gain <= 1e-6 * abs(value) + 1e-18 * energy.areas.sum(), count)
        flat = moved
        if gain <= tolerance * abs(value) or float(np.abs(shift).max()) < 1e-10 * size:
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

    def __init__(self, order: Index) -> None:
        self._order = order
        self._factor: OrderedFactor | None = None

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
        held = second.tocsr() + lift * sparse.identity(size, format="csr")
        self._factor = OrderedFactor(held, self._order)
        return self._factor.solve(right)
