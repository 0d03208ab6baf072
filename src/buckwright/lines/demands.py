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

__all__ = ["Demands", "demand", "joined", "obey"]

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


def joined(parts: Sequence[Demands]) -> Demands:
    """All demands of the parts together."""
    return Demands(
        np.concatenate([part.pull for part in parts]),
        np.concatenate([part.now for part in parts]),
        np.concatenate([part.low for part in parts]),
        np.concatenate([part.high for part in parts]),
        np.concatenate([part.exact for part in parts]),
    )


def obey(batten: Batten, rest: Array, stiffness: Array, demands: Demands) -> Array | None:
    """Control points (m, 3) nearest to rest that obey; None where the demands contradict.

    Nearest in the batten's own energy, data and bending together.
    """
    # In these coordinates the energy is half the square of the distance from rest.
    soft = np.sqrt(batten.give(stiffness))
    flat = ((demands.pull @ batten.axes.T) * soft).reshape(len(demands.pull), -1)
    scale = 1.0 / np.maximum(np.linalg.norm(flat, axis=1), 1e-300)
    low, high = (demands.low - demands.now) * scale, (demands.high - demands.now) * scale
    sense = np.where(demands.exact, 5, 0).astype(np.int32)
    count = flat.shape[1]
    moved, _, flag, _ = daqp.solve(
        np.eye(count), np.zeros(count), flat * scale[:, None], high, low, sense
    )
    if flag != 1:
        return None
    return np.asarray(rest + batten.modes @ ((soft * np.reshape(moved, soft.shape)) @ batten.axes))
