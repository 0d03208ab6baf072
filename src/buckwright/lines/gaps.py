"""Where lines do not make a network: ends that stop short, doubled lines, islands."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from buckwright.geometry.spline import closest_parameters
from buckwright.lines.crossings import Node
from buckwright.lines.drafting import Draft
from buckwright.lines.sides import MIRROR, SidedLine
from buckwright.model.finding import Finding

__all__ = ["double_doubts", "island_notes", "nearest_line"]

Array = NDArray[np.float64]

STEP = 8.0
"""mm between the places along a line at which others are looked for."""
TWINS = 0.7
"""Share of a line that runs along another one where both are taken for one."""
BESIDE, SIGMAS = 1.0, 4.0
"""mm, and standard errors of both, within which a line runs on another one."""


def nearest_line(
    point: Array, own: int, drafts: Sequence[Draft], sided: Sequence[SidedLine]
) -> tuple[str, float] | None:
    """Name of the line nearest to a point (3,) beside its own, and how far off; None if alone."""
    best: tuple[str, float] | None = None
    for k, (draft, line) in enumerate(zip(drafts, sided, strict=True)):
        if k == own or line.kind == "datum":
            continue
        images = [(line.placed.name, point)]
        if line.kind == "pair" and line.partner:
            images.append((line.partner, point * MIRROR))
        for name, at in images:
            low, high = np.sort([draft.control.min(axis=0), draft.control.max(axis=0)], axis=0)
            least = float(np.linalg.norm(np.maximum(np.maximum(low - at, at - high), 0.0)))
            if best is not None and least >= best[1]:
                continue
            gap = float(closest_parameters(draft.curve(), at[None], closed=draft.closed)[1][0])
            if best is None or gap < best[1]:
                best = (name, gap)
    return best


def double_doubts(drafts: Sequence[Draft], sided: Sequence[SidedLine]) -> tuple[Finding, ...]:
    """Lines that run on another one nearly all the way, as a line traced twice does."""
    body = [k for k, line in enumerate(sided) if line.kind != "datum"]
    if len(body) < 2:
        return ()
    places = [_along(drafts[k]) for k in body]
    owner = np.repeat(np.arange(len(body)), [len(p) for p in places])
    doubt = np.array([float(np.sqrt(np.mean(drafts[k].sigma ** 2))) for k in body])
    reach = BESIDE + SIGMAS * 2.0**0.5 * doubt
    tree = cKDTree(np.vstack(places))
    found = []
    for i, points in enumerate(places):
        # Places along the other lie a step apart: half of it may be missed sideways.
        near = tree.query_ball_point(points, np.hypot(reach[i], 0.5 * STEP))
        hits = [np.unique(owner[np.asarray(one, dtype=np.int64)]) for one in near]
        count = np.bincount(np.concatenate(hits), minlength=len(body))
        for j in np.flatnonzero(count >= TWINS * len(points)):
            if j == i or (j < i and _runs_on(places[j], places[i], reach[j])):
                continue
            found.append(_doubled(sided[body[i]].placed.name, sided[body[int(j)]].placed.name))
    return tuple(found)


def _along(draft: Draft) -> Array:
    count = max(12, int(np.ceil((draft.end - draft.start) / STEP)))
    return np.asarray(draft.curve()(np.linspace(draft.start, draft.end, count, endpoint=False)))


def _runs_on(points: Array, other: Array, reach: float) -> bool:
    """Whether the other way round it was said already."""
    gap, _ = cKDTree(other).query(points)
    return bool(np.mean(gap < np.hypot(reach, 0.5 * STEP)) >= TWINS)


def _doubled(name: str, other: str) -> Finding:
    return Finding(
        code="doubled-line",
        where=name,
        message=f"'{name}' runs on '{other}' nearly all the way, as a line traced twice does.",
        remedy="Drop one of them, or give both traces one name so that they count together.",
    )


def island_notes(nodes: Sequence[Node], sided: Sequence[SidedLine]) -> tuple[Finding, ...]:
    """Groups of lines that meet each other and none of the rest."""
    pairs = [(min(node.at), k) for node in nodes for k in node.at]
    one, other = np.array(pairs, dtype=np.int64).reshape(-1, 2).T
    links = sparse.coo_matrix((np.ones(len(one)), (one, other)), shape=(len(sided),) * 2)
    _, label = connected_components(links, directed=False)
    size = np.bincount(label, minlength=1)
    found = []
    for island in np.flatnonzero((size > 1) & (np.arange(len(size)) != np.argmax(size))):
        members = np.flatnonzero(label == island).tolist()
        names = [sided[k].placed.name for k in members]
        listed = ", ".join(f"'{name}'" for name in names[:-1]) + f" and '{names[-1]}'"
        found.append(
            Finding(
                code="island",
                kind="note",
                where=names[0],
                message=f"{listed} meet each other and none of the other lines.",
                remedy="That is right for a part by itself, as a wing is; else trace what joins "
                "them to the body.",
            )
        )
    return tuple(found)
