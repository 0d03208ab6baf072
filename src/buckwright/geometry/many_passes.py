"""Where many curves in space pass near each other: one search by boxes, one refinement for all."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.passes import LongCurve, Pass, near_stretches

__all__ = ["many_passes", "near_boxes"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

ROUNDS = 12


def near_boxes(curves: Sequence[LongCurve], within: Array) -> Index:
    """(k, 2) pairs i < j of curves whose boxes come nearer than `within` (n, n) mm and their steps.

    Sorted by i, then j.
    """
    low, high = (np.array([getattr(c, side) for c in curves]) for side in ("low", "high"))
    step = np.array([curve.step for curve in curves])
    reach = (within + step[:, None] + step)[:, :, None]
    near = np.all(low[:, None] <= high + reach, axis=2) & np.all(
        low[None] <= high[:, None] + reach, axis=2
    )
    return np.argwhere(np.triu(near, 1))


def many_passes(
    curves: Sequence[LongCurve], pairs: Index, within: Array
) -> list[tuple[int, int, Pass]]:
    """The passes of `near_passes` for each of `pairs` (k, 2) with gaps of at most `within` (k,).

    In the order of the pairs. All places are refined together, curve by curve: a tenth of a
    millisecond for a pass instead of one.
    """
    found: list[tuple[int, int, float]] = []
    starts: list[tuple[float, float]] = []
    stretches: list[tuple[float, float]] = []
    for (i, j), gate in zip(pairs.tolist(), within.tolist(), strict=True):
        for start, stretch in near_stretches(curves[i], curves[j], within=gate):
            found.append((i, j, gate))
            starts.append(start)
            stretches.append(stretch)
    if not found:
        return []
    which = np.array([(i, j) for i, j, _ in found])
    at = _refined(curves, which, np.array(starts))
    gap, angle = _told(curves, which, at)
    return [
        (i, j, Pass(float(s), float(t), float(gap[k]), float(angle[k]), stretches[k]))
        for k, ((i, j, gate), (s, t)) in enumerate(zip(found, at, strict=True))
        if gap[k] <= gate
    ]


def _refined(curves: Sequence[LongCurve], which: Index, at: Array) -> Array:
    """(k, 2) parameters where the gaps are least; steps held to two samples of the coarser."""
    step = np.array([curve.step for curve in curves])
    most = 2.0 * step[which].max(axis=1)[:, None]
    for _ in range(ROUNDS):
        point, run = _evaluated(curves, which, at)
        apart = point[:, 0] - point[:, 1]
        u, v = run[:, 0], -run[:, 1]
        change = _least_squares(u, v, -apart)
        change = np.clip(change, -most, most)
        at = at + change
        if np.abs(change).max() < 1e-10:
            break
    for side in (0, 1):
        for k in np.unique(which[:, side]):
            if curves[k].closed:
                mine = which[:, side] == k
                at[mine, side] = curves[k].held(at[mine, side])
    return at


def _least_squares(u: Array, v: Array, right: Array) -> Array:
    """(k, 2) least steps along u and v (k, 3) that come nearest to `right`; the least where vague.

    As `numpy.linalg.lstsq` gives them with rcond 1e-6.
    """
    inverse = np.linalg.pinv(np.stack([u, v], axis=2), rcond=1e-6)
    return np.asarray(np.einsum("kij,kj->ki", inverse, right))


def _evaluated(curves: Sequence[LongCurve], which: Index, at: Array) -> tuple[Array, Array]:
    """(k, 2, 3) points and first derivatives."""
    point, run = np.empty((*at.shape, 3)), np.empty((*at.shape, 3))
    for k in np.unique(which):
        mine = which == k
        point[mine] = curves[k].point(at[mine])
        run[mine] = curves[k].run(at[mine])
    return point, run


def _told(curves: Sequence[LongCurve], which: Index, at: Array) -> tuple[Array, Array]:
    """(k,) gaps and angles."""
    point, run = _evaluated(curves, which, at)
    gap = np.linalg.norm(point[:, 0] - point[:, 1], axis=1)
    cosine = np.abs(np.einsum("kj,kj->k", run[:, 0], run[:, 1]))
    cosine = cosine / (np.linalg.norm(run[:, 0], axis=1) * np.linalg.norm(run[:, 1], axis=1))
    return gap, np.arccos(np.minimum(1.0, cosine))
