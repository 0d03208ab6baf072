"""From candidates to unordered points on the line: the best chain along every trace."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.capture.candidates import Candidates, TraceFinder, candidates_of_view
from buckwright.capture.views import Marks, Views

__all__ = ["Stretch", "followed_traces", "rough_points"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_STRIDE = 3
"""Marks per link of a chain."""
_MOST_VIEWS = 6
"""Views whose traces are followed; all views vote."""
_MOST_CHOICES = 8
_STRONG, _WEAK = 2.6, 1.6
"""Support of a point that three views agree on, and of one that two do."""
_JUMP_COST, _BEND_COST = 0.4, 0.3


@dataclass(frozen=True, eq=False, slots=True)
class Stretch:
    """Candidates along one trace that follow each other without a jump."""

    points: Array
    """(n, 3)."""
    support: Array
    """(n,)."""
    pace: float
    """mm from one to the next that the trace explains."""


def followed_traces(
    views: Views, marks: Marks, *, finder: TraceFinder, box: Array
) -> tuple[Stretch, ...]:
    """Stretches of the best chain along every trace of the views that show most of the line."""
    lengths = np.bincount(marks.view, marks.step)
    followed = np.argsort(-lengths)[:_MOST_VIEWS]
    stretches: list[Stretch] = []
    for view in followed:
        for piece in np.unique(marks.piece[marks.view == view]):
            rows = np.flatnonzero(marks.piece == piece)[_STRIDE // 2 :: _STRIDE]
            found = candidates_of_view(rows, marks, views, finder=finder, box=box)
            pace = _pace(marks, views, rows)
            chain = _best_chain(found, len(rows), pace=pace)
            stretches += _stretches(found, chain, pace=pace)
    return tuple(stretches)


def rough_points(stretches: Sequence[Stretch]) -> tuple[Array, Array]:
    """Points (n, 3) on the line with a tenth to a few mm of noise, and their support (n,).

    Stretches of a chain that three views agree on count; others only where they carry on from
    those, or where no line has three views at all.
    """
    if not stretches:
        return np.zeros((0, 3)), np.zeros(0)
    return _trusted(stretches)


def _pace(marks: Marks, views: Views, rows: Index) -> float:
    """Rough mm in space from one link of the chain to the next: a step of pixels at mat range."""
    view = int(marks.view[rows[0]])
    return float(_STRIDE * marks.step[rows[0]] / views.focal[view] * _range(views, view))


def _range(views: Views, view: int) -> float:
    """Distance from the camera to where the cameras look on the whole."""
    forward = views.rotation[:, 2]
    square = np.eye(3) - np.einsum("ki,kj->kij", forward, forward)
    aim = np.linalg.lstsq(
        square.sum(axis=0), np.einsum("kij,kj->i", square, views.centre), rcond=None
    )[0]
    return float(np.linalg.norm(views.centre[view] - aim))


def _best_chain(found: Candidates, links: int, *, pace: float) -> Index:
    """Rows of one candidate each, link after link, by dynamic programming over pairs of links.

    A chain gains by the support of its points and pays for jumps beyond what the trace's own
    pace explains, and for turning back: on a loop, pairing its near side with its far side
    also gives a curve without jumps, but one that turns back where the trace touches an
    epipolar plane.
    """
    layers = _layers(found, links)
    if len(layers) < 3:
        return np.array([layer[np.argmax(found.support[layer])] for layer in layers], dtype=int)
    links_of = [int(found.mark[layer[0]]) for layer in layers]
    gain = found.support + 0.5 * found.quality
    total = (
        gain[layers[0]][:, None]
        + gain[layers[1]]
        - _jumps(found.point[layers[0]], found.point[layers[1]], pace * (links_of[1] - links_of[0]))
    )
    backs: list[Index] = []
    for k in range(2, len(layers)):
        a, b, c = (found.point[layers[k - 2 + j]] for j in range(3))
        first, second = links_of[k - 1] - links_of[k - 2], links_of[k] - links_of[k - 1]
        before = (b[None] - a[:, None]) / (pace * first)
        after = (c[None] - b[:, None]) / (pace * second)
        bend = np.linalg.norm(after[None] - before[:, :, None], axis=3)
        value = total[:, :, None] - _BEND_COST * np.minimum(bend, 6.0)
        backs.append(np.argmax(value, axis=0))
        best = np.max(value, axis=0)
        total = best + gain[layers[k]] - _jumps(b, c, pace * second)
    last = np.unravel_index(int(np.argmax(total)), total.shape)
    path = [int(last[1]), int(last[0])]
    for back in reversed(backs):
        path.append(int(back[path[-1], path[-2]]))
    path.reverse()
    return np.array([layer[at] for layer, at in zip(layers, path, strict=True)], dtype=np.int64)


def _layers(found: Candidates, links: int) -> list[Index]:
    """Rows of the best-supported candidates of every link that has any."""
    starts = np.searchsorted(found.mark, np.arange(links + 1))
    layers = []
    for start, end in pairwise(starts):
        rows = np.arange(start, end)
        if len(rows) > _MOST_CHOICES:
            rows = rows[np.argsort(-found.support[rows])[:_MOST_CHOICES]]
        if len(rows):
            layers.append(rows)
    return layers


def _jumps(before: Array, after: Array, pace: float) -> Array:
    gap = np.linalg.norm(after[None] - before[:, None], axis=2)
    return np.asarray(_JUMP_COST * np.clip(gap / pace - 1.5, 0.0, 12.0))


def _stretches(found: Candidates, chain: Index, *, pace: float) -> list[Stretch]:
    """The chain cut at its jumps: stretches of two links or more."""
    if len(chain) < 2:
        return []
    gap = np.linalg.norm(np.diff(found.point[chain], axis=0), axis=1)
    allowed = pace * np.diff(found.mark[chain]) * 4.0
    parts = np.split(chain, np.flatnonzero(gap > allowed) + 1)
    return [Stretch(found.point[p], found.support[p], pace) for p in parts if len(p) > 1]


def _trusted(stretches: Sequence[Stretch]) -> tuple[Array, Array]:
    """Points of strong stretches, and of weak ones that carry on from those."""
    strong = [s for s in stretches if np.mean(s.support > _STRONG) > 0.3]
    if not strong:
        strong = list(stretches)
    waiting = [s for s in stretches if all(s is not t for t in strong)]
    for _ in range(3):
        tree = cKDTree(np.vstack([s.points for s in strong]))
        joined = [s for s in waiting if _carries_on(s, tree)]
        if not joined:
            break
        strong += joined
        waiting = [s for s in waiting if all(s is not t for t in joined)]
    points = np.vstack([s.points for s in strong])
    support = np.concatenate([s.support for s in strong])
    good = support > _WEAK
    return points[good], support[good]


def _carries_on(stretch: Stretch, tree: cKDTree) -> bool:
    """Whether an end of the stretch lies near trusted points."""
    gap, _ = tree.query(stretch.points[[0, -1]])
    return bool(gap.min() < 3.0 * stretch.pace)
