"""The outer loop of a region: its boundary lines, each from one corner to the next."""

from itertools import product

import numpy as np

from buckwright.errors import JobError
from buckwright.geometry.polyline import polyline_length
from buckwright.model.skin import RegionSpec
from buckwright.skin.sampling import Run, Samples

__all__ = ["outer_loop"]

MOST = 4096
"""Ways round a boundary that are tried at most."""


def outer_loop(samples: Samples, spec: RegionSpec) -> tuple[Run, ...]:
    """Runs round the region, end of one = start of the next: the shortest simple loop.

    Raises JobError where the named lines do not make one.
    """
    names = spec.boundary
    if len(names) == 1:
        return (_whole_line(samples, spec),)
    corners = [
        sorted(samples.nodes(a) & samples.nodes(b))
        for a, b in zip(names, (*names[1:], *names[:1]), strict=True)
    ]
    best: tuple[float, tuple[Run, ...]] | None = None
    for k, choice in enumerate(product(*corners)):
        if k == MOST:
            break
        for runs in _ways(samples, names, choice):
            length = sum(polyline_length(samples.points[samples.along(run)]) for run in runs)
            if best is None or length < best[0]:
                best = (length, runs)
    if best is None:
        raise JobError(
            f"The boundary lines of '{spec.name}' do not close to a loop: {', '.join(names)}.",
            "Name them in order round the region, each meeting the next at a corner.",
        )
    return best[1]


def _whole_line(samples: Samples, spec: RegionSpec) -> Run:
    name = spec.boundary[0]
    arcs = samples.arcs[name]
    if arcs[0].ends[0] != arcs[-1].ends[1]:
        raise JobError(
            f"'{name}' bounds '{spec.name}' alone, but it is not a closed line.",
            "Mark the line as closed, or name the lines that complete the boundary.",
        )
    return Run(name, tuple(range(len(arcs))), closed=True)


def _ways(
    samples: Samples, names: tuple[str, ...], choice: tuple[int, ...]
) -> list[tuple[Run, ...]]:
    """Simple loops through the chosen corners; a closed line can be followed two ways."""
    if len(set(choice)) < len(choice):
        return []
    legs = [_between(samples, name, choice[k - 1], choice[k]) for k, name in enumerate(names)]
    found = []
    for runs in product(*legs):
        ring = np.concatenate([samples.along(run)[:-1] for run in runs])
        if len(np.unique(ring)) == len(ring):
            found.append(runs)
    return found


def _between(samples: Samples, name: str, start: int, end: int) -> list[Run]:
    """The ways along a line from one of its nodes to another."""
    arcs = samples.arcs[name]
    nodes = [arc.ends[0] for arc in arcs] + [arcs[-1].ends[1]]
    i, j = nodes.index(start), nodes.index(end)
    if nodes[0] == nodes[-1]:
        count = len(arcs)
        turned = [(i + k) % count for k in range(count)]
        ahead = (j - i) % count
        return [
            Run(name, tuple(turned[:ahead])),
            Run(name, tuple(turned[ahead:]), turned=True),
        ]
    return [Run(name, tuple(range(min(i, j), max(i, j))), turned=i > j)]
