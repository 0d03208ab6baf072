"""The rim of a panel, run by run, and the lines of the skin that lie on it."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.mesh import boundary_loops
from buckwright.model.panels import PanelEdge

__all__ = ["lines_on", "rim_edges"]

Index = NDArray[np.int64]
Pair = tuple[int, int]


def rim_edges(
    triangles: Index, named: dict[str, Index], *, first: Sequence[str], outer: Sequence[str]
) -> tuple[PanelEdge, ...]:
    """The rim in runs that each lie along one of the `named` edges (k, 2), loop by loop.

    Where several names hold, those in `first` win, in that order. Runs along `outer` names bound
    the region; beyond the others metal goes on. A part of the rim without a name has ``.
    """
    order = [*first, *(name for name in named if name not in first)]
    name_of: dict[Pair, str] = {}
    for name in reversed([name for name in order if name in named]):
        name_of.update(dict.fromkeys(_pairs(named[name]), name))
    found = []
    for loop in boundary_loops(triangles):
        ends = np.column_stack([loop, np.roll(loop, -1)])
        names = [name_of.get(pair, "") for pair in _pairs(ends)]
        for start, stop in _runs(names):
            whole = stop - start == len(loop)
            around = np.arange(start, stop if whole else stop + 1) % len(loop)
            name = names[start % len(loop)]
            found.append(
                PanelEdge(name=name, vertices=loop[around], closed=whole, seam=name not in outer)
            )
    return tuple(found)


def lines_on(triangles: Index, named: dict[str, Index]) -> tuple[PanelEdge, ...]:
    """The parts of the `named` edges (k, 2), in order, that lie inside the panel."""
    rim = {
        pair
        for loop in boundary_loops(triangles)
        for pair in _pairs(np.column_stack([loop, np.roll(loop, -1)]))
    }
    found = []
    for name, ends in named.items():
        inside = [
            pair for pair, key in zip(ends.tolist(), _pairs(ends), strict=True) if key not in rim
        ]
        for chain in _chains(inside):
            closed = len(chain) > 3 and chain[0] == chain[-1]
            vertices = np.array(chain[:-1] if closed else chain, dtype=np.int64)
            found.append(PanelEdge(name=name, vertices=vertices, closed=closed))
    return tuple(found)


def _pairs(ends: Index) -> list[Pair]:
    return [(min(a, b), max(a, b)) for a, b in ends.tolist()]


def _runs(names: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Start and stop of each run of equal names round a loop; a stop may lie beyond its end."""
    count = len(names)
    starts = [k for k in range(count) if names[k] != names[k - 1]]
    if not starts:
        yield 0, count
    yield from pairwise([*starts, starts[0] + count] if starts else [])


def _chains(pairs: list[list[int]]) -> list[list[int]]:
    chains: list[list[int]] = []
    for a, b in pairs:
        if chains and chains[-1][-1] == a:
            chains[-1].append(b)
        else:
            chains.append([a, b])
    return chains
