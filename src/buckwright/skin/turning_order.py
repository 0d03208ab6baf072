"""The order of lines round nodes where it cannot be seen: chosen so that they lie on one surface.

Where two lines leave a corner of the body one behind the other, no view of it shows which comes
first. Such neighbours are swapped where that takes a handle off the surface that would be needed.
"""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

__all__ = ["handles", "settle_order"]

Array = NDArray[np.float64]
Ring = dict[int, list[int]]
Chain = NDArray[np.int64]

CLOSE = np.radians(45.0)
"""Neighbours at a node may be swapped if they are seen within this angle."""


def handles(ring: Ring, chains: Iterable[Chain]) -> int:
    """Twice the handles of the surface that chains of vertices, connected, lie on in this order."""
    darts = _darts(chains)
    nodes = {start for start, _ in darts}
    return 2 - (len(nodes) - len(darts) // 2 + _faces(ring, darts))


def settle_order(points: Array, ring: Ring, chains: list[Chain]) -> None:
    """Swaps neighbours in the ring, closest pairs first, while that takes handles away."""
    darts = _darts(chains)
    most = _faces(ring, darts)
    full = 2 - len({start for start, _ in darts}) + len(darts) // 2
    swaps = sorted(_swaps(points, ring, darts))
    again = most < full
    while again:
        again = False
        for _, node, first, second in swaps:
            near = ring[node]
            i, j = near.index(first), near.index(second)
            near[i], near[j] = near[j], near[i]
            count = _faces(ring, darts)
            if count > most:
                most, again = count, most < full
                continue
            near[i], near[j] = near[j], near[i]


def _darts(chains: Iterable[Chain]) -> dict[tuple[int, int], tuple[int, int]]:
    """From the first side of each chain, followed either way, to its last side."""
    darts = {}
    for chain in chains:
        v = [int(k) for k in chain]
        darts[v[0], v[1]] = (v[-2], v[-1])
        darts[v[-1], v[-2]] = (v[1], v[0])
    return darts


def _faces(ring: Ring, darts: dict[tuple[int, int], tuple[int, int]]) -> int:
    left, count = set(darts), 0
    while left:
        start = side = next(iter(left))
        while True:
            left.discard(side)
            came, node = darts[side]
            near = ring[node]
            side = (node, near[near.index(came) - 1])
            if side == start:
                break
        count += 1
    return count


def _swaps(
    points: Array, ring: Ring, darts: dict[tuple[int, int], tuple[int, int]]
) -> Iterable[tuple[float, int, int, int]]:
    """(angle, node, neighbour, neighbour) of pairs next to each other that are seen close."""
    for node in sorted({start for start, _ in darts}):
        near = ring[node]
        if len(near) < 3:
            continue
        off = points[near] - points[node]
        unit = off / np.linalg.norm(off, axis=1, keepdims=True)
        flat = unit @ np.linalg.svd(unit)[2][:2].T
        for k in range(len(near)):
            a, b = flat[k - 1], flat[k]
            angle = abs(float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)))
            if angle < CLOSE:
                yield angle, node, near[k - 1], near[k]
