"""Which lines meet, and where: passes of two lines gathered into nodes.

A line that ends near another is meant to end on it: it is lengthened or cut there. Everything is
found among the lines that are faired once (see `sides`); the other side follows by mirroring.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from buckwright.geometry.many_passes import many_passes, near_boxes
from buckwright.geometry.passes import LongCurve, Pass, pass_at
from buckwright.lines.drafting import Draft
from buckwright.lines.sides import SidedLine

__all__ = ["End", "Node", "Touch", "find_nodes"]

Array = NDArray[np.float64]

End = int
"""0 for the start of a line, 1 for its end, -1 for neither."""

GATE_SIGMAS = 6.0
"""Lines farther apart than this many standard errors, and their tolerances, do not meet."""

NEAR_MISS = 15.0
"""mm: lines that pass each other within this, but outside the gate, are worth a word."""

LENGTHEN, CUT = 40.0, 25.0
"""mm: how far a line is lengthened, or cut back, to end on another."""

LEAST_ANGLE = np.radians(20.0)
"""Lines that pass at a lesser angle run along each other: they meet at an end or not at all."""


@dataclass(frozen=True, slots=True)
class Touch:
    """Two lines that meet: indices of the lines, parameters, which end of each."""

    lines: tuple[int, int]
    at: tuple[float, float]
    ends: tuple[End, End]
    gap: float
    sigma: float
    """mm, standard error of the gap in one direction."""
    point: Array
    along: bool
    """Whether they run along each other there: then the place is vague."""
    meets: bool
    """False where they are too far apart to be drawn together."""
    said: tuple[Array, Array]
    """(3,) twice: where each of the lines, faired alone, passes there."""
    gate: float
    """mm of gap up to which they meet."""


@dataclass(frozen=True, eq=False, slots=True)
class Node:
    """A point that several lines share."""

    at: dict[int, float]
    """Parameter on each line, by index."""
    ends: dict[int, End]
    point: Array
    on_plane: bool
    """Whether it lies in the centre plane."""
    touches: tuple[Touch, ...]
    said: dict[int, Array]
    """(3,) where each line, faired alone, passes."""


def find_nodes(
    drafts: tuple[Draft, ...], sided: tuple[SidedLine, ...]
) -> tuple[tuple[Node, ...], tuple[Touch, ...]]:
    """All nodes with y <= 0 (within doubt) of the lines that are faired once, and near misses."""
    touches = _touches(drafts, sided)
    chosen = _chosen([touch for touch in touches if touch.meets], drafts)
    nodes = [_node(group, drafts, sided) for group in _groups(chosen, drafts)]
    misses = [touch for touch in touches if not touch.meets and touch.point[1] <= NEAR_MISS]
    return tuple(node for node in nodes if _stands(node, sided)), tuple(misses)


def _stands(node: Node, sided: tuple[SidedLine, ...]) -> bool:
    """Nodes on the right follow from those on the left, save those of single lines."""
    single = any(sided[line].kind == "single" for line in node.at)
    return node.on_plane or single or bool(node.point[1] < 0.0)


def _sigma(draft: Draft) -> float:
    return float(np.sqrt(np.mean(draft.sigma**2)))


def _sigma_at(draft: Draft, at: float) -> float:
    """Standard error of the measured point nearest to a parameter."""
    return float(draft.sigma[int(np.argmin(np.abs(draft.batten.at - at)))])


def _long(draft: Draft) -> LongCurve:
    reach = min(LENGTHEN, 0.15 * (draft.end - draft.start))
    return LongCurve(draft.curve(), closed=draft.closed, reach=reach, step=4.0)


def _touches(drafts: tuple[Draft, ...], sided: tuple[SidedLine, ...]) -> list[Touch]:
    """All touches, and where two lines meet nowhere their near misses; by pairs of lines."""
    body = [k for k, line in enumerate(sided) if line.kind != "datum"]
    long = [_long(drafts[k]) for k in body]
    sigma = np.array([_sigma(drafts[k]) for k in body])
    typed = np.array([sided[k].tolerance for k in body])
    gates = np.maximum(1.0, GATE_SIGMAS * np.hypot(sigma[:, None], sigma))
    gates = gates + typed[:, None] + typed
    met: dict[tuple[int, int], list[Pass]] = {}
    pairs = near_boxes(long, gates)
    for i, j, one in many_passes(long, pairs, gates[tuple(pairs.T)]):
        whole = _met(one, long[i], long[j])
        if whole is not None and whole.gap <= gates[i, j]:
            met.setdefault((i, j), []).append(whole)
    for i, j, one in _misses(long, gates, met):
        met.setdefault((i, j), []).append(one)
    return [
        _touch((body[i], body[j]), (long[i], long[j]), one, drafts, float(gates[i, j]))
        for (i, j), passes in sorted(met.items())
        for one in passes
    ]


def _touch(
    lines: tuple[int, int],
    long: tuple[LongCurve, LongCurve],
    one: Pass,
    drafts: tuple[Draft, ...],
    gate: float,
) -> Touch:
    at = (one.first, one.second)
    first, second = (curve.point(np.array([t]))[0] for curve, t in zip(long, at, strict=True))
    for said in (first, second):
        said.setflags(write=False)
    i, j = lines
    return Touch(
        lines=lines,
        at=at,
        ends=(_end(drafts[i], at[0]), _end(drafts[j], at[1])),
        gap=one.gap,
        sigma=float(np.hypot(_sigma_at(drafts[i], at[0]), _sigma_at(drafts[j], at[1]))),
        point=0.5 * (first + second),
        along=one.angle < LEAST_ANGLE,
        meets=one.gap <= gate,
        said=(first, second),
        gate=gate,
    )


def _misses(
    long: Sequence[LongCurve], gates: Array, met: dict[tuple[int, int], list[Pass]]
) -> list[tuple[int, int, Pass]]:
    """Passes of lines that meet nowhere, steep and inside both."""
    pairs = [
        (int(i), int(j))
        for i, j in near_boxes(long, np.full_like(gates, NEAR_MISS))
        if gates[i, j] < NEAR_MISS and (i, j) not in met
    ]
    found = many_passes(
        long, np.array(pairs, dtype=np.int64).reshape(-1, 2), np.full(len(pairs), NEAR_MISS)
    )
    return [
        (i, j, one)
        for i, j, one in found
        if one.angle >= LEAST_ANGLE
        and long[i].start <= one.first <= long[i].end
        and long[j].start <= one.second <= long[j].end
    ]


def _met(one: Pass, first: LongCurve, second: LongCurve) -> Pass | None:
    return _at_end(one, first, second) if one.angle < LEAST_ANGLE else one


def _at_end(one: Pass, first: LongCurve, second: LongCurve) -> Pass | None:
    """Where lines that run along each other meet: the first end on their common stretch.

    None if they part again at both ends of the stretch.
    """
    low, high = one.stretch
    if not first.closed:
        for end in (first.start, first.end):
            if low <= end <= high:
                near = second.nearest(first.point(np.array([end]))[0], one.second)
                return pass_at(first, second, end, near, stretch=one.stretch)
    if not second.closed:
        for end in (second.start, second.end):
            near = first.nearest(second.point(np.array([end]))[0], one.first)
            if low <= near <= high:
                return pass_at(first, second, near, end, stretch=one.stretch)
    return None


def _end(draft: Draft, at: float) -> End:
    if draft.closed:
        return -1
    cut = min(CUT, 0.1 * (draft.end - draft.start))
    if at < draft.start + cut:
        return 0
    return 1 if at > draft.end - cut else -1


def _beyond(draft: Draft, at: float, end: End) -> float:
    """How many mm the line must be lengthened (cut, if negative) to end at the parameter."""
    return draft.start - at if end == 0 else at - draft.end


def _apart(draft: Draft) -> float:
    """How many mm along a line within which two meetings are one."""
    return max(8.0, 5.0 * _sigma(draft))


def _chosen(touches: list[Touch], drafts: tuple[Draft, ...]) -> list[Touch]:
    """Touches without those that lie beyond where a line now ends.

    Of several lines near one end, the one that needs least lengthening or cutting decides; lines
    that run along this one decide only where there is no other.
    """
    offers: dict[tuple[int, End], list[tuple[bool, float]]] = {}
    for touch in touches:
        for line, at, end in zip(touch.lines, touch.at, touch.ends, strict=True):
            if end >= 0:
                offer = (touch.along, _beyond(drafts[line], at, end))
                offers.setdefault((line, end), []).append(offer)
    chosen = {key: min(offer, key=lambda o: (o[0], abs(o[1])))[1] for key, offer in offers.items()}
    kept = []
    for touch in touches:
        past = [_past(touch, side, chosen, drafts) for side in (0, 1)]
        reach = [_apart(drafts[line]) for line in touch.lines]
        beyond = any(p > r for p, r in zip(past, reach, strict=True))
        inside = [p < -r for p, r in zip(past, reach, strict=True)]
        if beyond or (touch.along and any(inside)):
            continue
        # Well inside the new end it is an ordinary crossing.
        first, second = (-1 if i else e for i, e in zip(inside, touch.ends, strict=True))
        kept.append(replace(touch, ends=(first, second)))
    return kept


def _past(
    touch: Touch, side: int, chosen: dict[tuple[int, End], float], drafts: tuple[Draft, ...]
) -> float:
    """How many mm a touch near an end lies beyond the place chosen for it."""
    line, end = touch.lines[side], touch.ends[side]
    if end < 0:
        return 0.0
    return _beyond(drafts[line], touch.at[side], end) - chosen[line, end]


def _groups(touches: list[Touch], drafts: tuple[Draft, ...]) -> list[list[Touch]]:
    """Touches that share a line at nearly the same place, in the order of their firsts."""
    one, other = np.array(_neighbours(touches, drafts), dtype=np.int64).reshape(-1, 2).T
    links = sparse.coo_matrix((np.ones(len(one)), (one, other)), shape=(len(touches),) * 2)
    _, label = connected_components(links, directed=False)
    groups: dict[int, list[Touch]] = {}
    for touch, group in zip(touches, label.tolist(), strict=True):
        groups.setdefault(group, []).append(touch)
    return list(groups.values())


def _neighbours(touches: list[Touch], drafts: tuple[Draft, ...]) -> list[tuple[int, int]]:
    """Pairs of touches that are one: next to each other on a line, or at one end of it."""
    on: dict[int, list[tuple[float, int]]] = {}
    ends: dict[tuple[int, End], list[int]] = {}
    for number, touch in enumerate(touches):
        for line, at, end in zip(touch.lines, touch.at, touch.ends, strict=True):
            on.setdefault(line, []).append((at, number))
            if end >= 0:
                ends.setdefault((line, end), []).append(number)
    pairs = [pair for same in ends.values() for pair in pairwise(same)]
    for line, places in on.items():
        draft, apart = drafts[line], _apart(drafts[line])
        places.sort()
        pairs += [(a, b) for (s, a), (t, b) in pairwise(places) if t - s <= apart]
        over_seam = draft.end - draft.start - places[-1][0] + places[0][0]
        if draft.closed and over_seam <= apart:
            pairs.append((places[-1][1], places[0][1]))
    return pairs


def _node(group: list[Touch], drafts: tuple[Draft, ...], sided: tuple[SidedLine, ...]) -> Node:
    at: dict[int, float] = {}
    ends: dict[int, End] = {}
    said: dict[int, Array] = {}
    for touch in sorted(group, key=lambda t: t.gap):
        for line, place, end, here in zip(
            touch.lines, touch.at, touch.ends, touch.said, strict=True
        ):
            at.setdefault(line, place)
            said.setdefault(line, here)
            ends[line] = max(end, ends.get(line, -1))
    point = np.mean([touch.point for touch in group], axis=0)
    doubt = max(1.0, GATE_SIGMAS * max(touch.sigma for touch in group))
    on_plane = abs(point[1]) < doubt and any(sided[k].kind in ("self", "centre") for k in at)
    if on_plane:
        at = {line: _on_plane(place, drafts[line], sided[line]) for line, place in at.items()}
    return Node(at, ends, point, bool(on_plane), tuple(group), said)


def _on_plane(place: float, draft: Draft, sided: SidedLine) -> float:
    """The parameter, moved to where a line that is its own mirror image meets the centre plane."""
    if sided.kind != "self":
        return place
    middle = 0.5 * (draft.start + draft.end)
    near_seam = draft.closed and abs(place - middle) > 0.5 * (middle - draft.start)
    return draft.start if near_seam else middle
