"""What a batten must obey besides its weights, and the forces that make it do so.

A demand is a number read off the control points, kept between a low and a high: how far the line
lies to one side of a point, where it passes a pin, how fast its curvature changes at a place.
Among all control points that obey, the convex programme finds those that bend least; only few
demands ever press, which is what an active-set solver is good at.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import daqp
import numpy as np
from numpy.typing import NDArray

from buckwright.lines.batten import Batten

__all__ = ["Demands", "Obeyed", "demand", "joined", "no_demands", "obey"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Demands:
    """Demands on one batten; c demands, m free control points."""

    pull: Array
    """(c, m, 3) how each reads the batten's modes."""
    now: Array
    """(c,) what each reads at rest."""
    low: Array
    high: Array
    exact: NDArray[np.bool_]
    """(c,) kept whatever it costs: low and high are one."""


def demand(
    batten: Batten,
    rest: Array,
    terms: Sequence[tuple[Array, Array]],
    low: Array,
    high: Array,
    *,
    exact: bool = False,
) -> Demands:
    """Demands low <= sum over terms of (rows @ control) . ways <= high.

    Parameters: `rest` (m, 3) control points at rest; each term is rows (c, m) and ways (c, 3);
    low and high (c,).
    """
    pull = sum((rows @ batten.modes)[:, :, None] * ways[:, None, :] for rows, ways in terms)
    now = sum(np.einsum("cd,cd->c", rows @ rest, ways) for rows, ways in terms)
    return Demands(
        np.asarray(pull), np.asarray(now), low, high, np.full(len(low), exact, dtype=bool)
    )


def no_demands(count: int) -> Demands:
    """Nothing demanded of `count` modes."""
    none = np.empty(0)
    return Demands(np.empty((0, count, 3)), none, none, none, np.empty(0, dtype=bool))


@dataclass(frozen=True, eq=False, slots=True)
class Obeyed:
    """The batten as it obeys."""

    control: Array
    """(m, 3)."""
    forces: Array
    """(c,) that each demand needs: nothing where it does not press."""


def joined(parts: Sequence[Demands]) -> Demands:
    """All demands of the parts together."""
    parts = [part for part in parts if len(part.low)] or parts[:1]
    if len(parts) == 1:
        return parts[0]
    return Demands(
        np.concatenate([part.pull for part in parts]),
        np.concatenate([part.now for part in parts]),
        np.concatenate([part.low for part in parts]),
        np.concatenate([part.high for part in parts]),
        np.concatenate([part.exact for part in parts]),
    )


def obey(
    batten: Batten,
    rest: Array,
    stiffness: Array,
    demands: Demands,
    *,
    start: Array | None = None,
) -> Obeyed | None:
    """Control points (m, 3) nearest to rest that obey; None where the demands contradict.

    Nearest in the batten's own energy, data and bending together. `start` are forces (c,) that
    may be near the answer's: most of the time goes into finding which demands press.
    """
    # In these coordinates the energy is half the square of the distance from rest.
    soft = np.sqrt(batten.give(stiffness))
    flat = ((demands.pull @ batten.axes.T) * soft).reshape(len(demands.pull), -1)
    size = np.maximum(np.linalg.norm(flat, axis=1), 1e-300)
    scale = 1.0 / size
    low, high = (demands.low - demands.now) * scale, (demands.high - demands.now) * scale
    sense = np.where(demands.exact, 5, 0).astype(np.int32)
    count = flat.shape[1]
    asked = (np.eye(count), np.zeros(count), flat * scale[:, None], high, low, sense)
    warm = {} if start is None else {"dual_start": np.where(demands.exact, 0.0, start * size)}
    moved, _, flag, told = daqp.solve(*asked, **warm)
    if flag != 1:
        return None
    change = batten.modes @ ((soft * np.reshape(moved, soft.shape)) @ batten.axes)
    return Obeyed(np.asarray(rest + change), np.asarray(told["lam"]) * scale)
