"""Which lines meet, and where: passes of two lines gathered into nodes.

A line that ends near another is meant to end on it: it is lengthened or cut there. Everything is
found among the lines that are faired once (see `sides`); the other side follows by mirroring.
"""

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.passes import LongCurve, Pass, near_passes, pass_at
from buckwright.lines.drafting import Draft
from buckwright.lines.sides import SidedLine

__all__ = ["End", "Node", "Touch", "find_nodes"]

Array = NDArray[np.float64]

End = int
"""0 for the start of a line, 1 for its end, -1 for neither."""

GATE_SIGMAS = 6.0
"""Lines farther apart than this many standard errors do not meet."""

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
    body = [k for k, line in enumerate(sided) if line.kind != "datum"]
    long = {k: _long(drafts[k]) for k in body}
    found = []
    for i, j in combinations(body, 2):
        sigma = float(np.hypot(_sigma(drafts[i]), _sigma(drafts[j])))
        gate = max(1.0, GATE_SIGMAS * sigma)
        passes = near_passes(long[i], long[j], within=gate)
        ends_too = [_met(one, long[i], long[j]) for one in passes]
        met = [one for one in ends_too if one is not None and one.gap <= gate]
        if not met and gate < NEAR_MISS:
            met = _misses(long[i], long[j])
        for one in met:
            at = (one.first, one.second)
            ends = (_end(drafts[i], one.first), _end(drafts[j], one.second))
            point = 0.5 * (long[i].point(np.array(at[:1]))[0] + long[j].point(np.array(at[1:]))[0])
            here = float(np.hypot(_sigma_at(drafts[i], at[0]), _sigma_at(drafts[j], at[1])))
            along, meets = one.angle < LEAST_ANGLE, one.gap <= gate
            found.append(Touch((i, j), at, ends, one.gap, here, point, along, meets))
    return found


def _misses(first: LongCurve, second: LongCurve) -> list[Pass]:
    """Passes of two lines that meet nowhere, steep and inside both."""
    return [
        one
        for one in near_passes(first, second, within=NEAR_MISS)
        if one.angle >= LEAST_ANGLE
        and first.start <= one.first <= first.end
        and second.start <= one.second <= second.end
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
    """Touches that share a line at nearly the same place, gathered."""
    groups: list[list[Touch]] = []
    for touch in touches:
        joined = [group for group in groups if any(_same(touch, t, drafts) for t in group)]
        for group in joined:
            groups.remove(group)
        groups.append([touch, *(other for group in joined for other in group)])
    return groups


def _same(touch: Touch, other: Touch, drafts: tuple[Draft, ...]) -> bool:
    for line in set(touch.lines) & set(other.lines):
        a, b = touch.lines.index(line), other.lines.index(line)
        if touch.ends[a] >= 0 and touch.ends[a] == other.ends[b]:
            return True
        draft = drafts[line]
        apart = abs(touch.at[a] - other.at[b])
        if draft.closed:
            apart = min(apart, draft.end - draft.start - apart)
        if apart <= _apart(draft):
            return True
    return False


def _node(group: list[Touch], drafts: tuple[Draft, ...], sided: tuple[SidedLine, ...]) -> Node:
    at: dict[int, float] = {}
    ends: dict[int, End] = {}
    for touch in sorted(group, key=lambda t: t.gap):
        for line, place, end in zip(touch.lines, touch.at, touch.ends, strict=True):
            at.setdefault(line, place)
            ends[line] = max(end, ends.get(line, -1))
    point = np.mean([touch.point for touch in group], axis=0)
    doubt = max(1.0, GATE_SIGMAS * max(touch.sigma for touch in group))
    on_plane = abs(point[1]) < doubt and any(sided[k].kind in ("self", "centre") for k in at)
    if on_plane:
        at = {line: _on_plane(place, drafts[line], sided[line]) for line, place in at.items()}
    return Node(at, ends, point, bool(on_plane), tuple(group))


def _on_plane(place: float, draft: Draft, sided: SidedLine) -> float:
    """The parameter, moved to where a line that is its own mirror image meets the centre plane."""
    if sided.kind != "self":
        return place
    middle = 0.5 * (draft.start + draft.end)
    near_seam = draft.closed and abs(place - middle) > 0.5 * (middle - draft.start)
    return draft.start if near_seam else middle
