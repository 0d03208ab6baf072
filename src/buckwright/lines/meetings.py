"""Where lines of a drawn network meet: its crossings gathered into points that lines share."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from buckwright.model.lines import Crossing, LineNetwork

__all__ = ["Meeting", "crossings_at", "find_meetings"]

Array = NDArray[np.float64]

TOGETHER = 1e-3
"""mm: crossings nearer than this are one point."""

AT_END = 1e-6
"""Share of a line from its end within which it ends there."""


@dataclass(frozen=True, eq=False, slots=True)
class Meeting:
    """A point that several lines share."""

    point: Array
    at: dict[str, float]
    """Parameter on each line."""
    ends: frozenset[str]
    """Lines that end there."""
    crossings: tuple[int, ...]
    """Which crossings of the network it stands for."""

    def runs_through(self, name: str) -> bool:
        """Whether the line goes on past the point."""
        return name not in self.ends


def find_meetings(network: LineNetwork) -> tuple[Meeting, ...]:
    """All of them; those near in space but on other lines stay apart."""
    crossings = network.crossings
    if not crossings:
        return ()
    points = np.array([crossing.point for crossing in crossings])
    pairs = [(a, b) for a, b in cKDTree(points).query_pairs(TOGETHER) if _share(crossings, a, b)]
    rows, columns = np.array(pairs, dtype=np.int64).reshape(-1, 2).T
    size = (len(points), len(points))
    graph = coo_matrix((np.ones(len(rows)), (rows, columns)), shape=size)
    count, label = connected_components(graph, directed=False)
    closed = {line.name for line in network.lines if line.closed}
    return tuple(
        _meeting(crossings, np.flatnonzero(label == k).tolist(), closed) for k in range(count)
    )


def _share(crossings: tuple[Crossing, ...], a: int, b: int) -> bool:
    return bool(set(crossings[a].lines) & set(crossings[b].lines))


def _meeting(crossings: tuple[Crossing, ...], members: list[int], closed: set[str]) -> Meeting:
    at: dict[str, float] = {}
    for k in members:
        at |= dict(zip(crossings[k].lines, crossings[k].parameters, strict=True))
    ends = frozenset(
        name for name, here in at.items() if name not in closed and not AT_END < here < 1.0 - AT_END
    )
    point = np.asarray(crossings[members[0]].point, dtype=np.float64)
    return Meeting(point, at, ends, tuple(members))


def crossings_at(network: LineNetwork, meetings: tuple[Meeting, ...]) -> tuple[Crossing, ...]:
    """The network's crossings, each where its meeting now lies."""
    found = list(network.crossings)
    for meeting in meetings:
        for k in meeting.crossings:
            first, second = found[k].lines
            places = (meeting.at[first], meeting.at[second])
            found[k] = found[k].model_copy(update={"parameters": places, "point": meeting.point})
    return tuple(found)
