"""The shortest way inside a row of triangles, unfolded into the plane.

Plain numbers in lists: rows have tens of triangles, for which arrays would be slower.
"""

from dataclasses import dataclass
from math import atan2, dist, pi, sqrt

__all__ = ["Bend", "taut_path"]

Point = tuple[float, float]
Node = tuple[int, int, float]
"""A point on the edge from the first vertex to the second, and how far along."""

_AT_END = 1e-9


@dataclass(frozen=True, slots=True)
class Bend:
    """A vertex that the shortest way bends round.

    Attributes: left, whether it lies on the left of the way; inside, angle (rad) between the way
    in and the way out on the row's side; first, last, places in the row of the first and last
    triangle that touch it.
    """

    vertex: int
    left: bool
    inside: float
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class _Gate:
    """The edge between a triangle of the row and the next: its ends, also laid in the plane."""

    left: int
    right: int
    left_at: Point
    right_at: Point


def taut_path(
    points: list[list[float]], corners: list[list[int]], row: list[int], start: int, end: int
) -> tuple[list[Node], list[Bend]]:
    """Points of the shortest way from `start` to `end` through the row, and where it bends.

    `points` are the mesh's vertices, `corners` its triangles, counter-clockwise; `row` indexes
    triangles of which each shares an edge with the next; only the first touches `start`, only the
    last `end`.
    """
    if len(row) == 1:
        return [(start, start, 0.0), (end, end, 0.0)], []
    gates, goal = _unfolded(points, corners, row, start, end)
    stops = _funnel(gates, goal)
    nodes: list[Node] = [(start, start, 0.0)]
    bends = []
    at, passed = (0.0, 0.0), 0
    for number, stop in enumerate([*stops, None]):
        if stop is None:
            vertex, there, first, last = end, goal, len(gates), len(gates)
        else:
            vertex, there, first, last = _reach(gates, *stop)
        nodes += [_crossing(gate, at, there) for gate in gates[passed:first]]
        nodes.append((vertex, vertex, 0.0))
        if stop is not None:
            beyond = goal if number + 1 == len(stops) else _place(gates, *stops[number + 1])
            inside = _inside(at, there, beyond, left=stop[1])
            bends.append(Bend(vertex, stop[1], inside, first, last + 1))
        at, passed = there, last + 1
    return _without_repeats(nodes), bends


def _unfolded(
    points: list[list[float]], corners: list[list[int]], row: list[int], start: int, end: int
) -> tuple[list[_Gate], Point]:
    """The gates of the row with `start` at the origin, and where `end` lies."""
    k = corners[row[0]].index(start)
    right, left = corners[row[0]][(k + 1) % 3], corners[row[0]][k - 1]
    right_at = (dist(points[start], points[right]), 0.0)
    left_at = _apex(points, right, start, left, right_at, (0.0, 0.0))
    gates = [_Gate(left, right, left_at, right_at)]
    for here, following in zip(row[1:], [*row[2:], -1], strict=True):
        gate = gates[-1]
        (tip,) = set(corners[here]) - {gate.left, gate.right}
        tip_at = _apex(points, gate.right, gate.left, tip, gate.right_at, gate.left_at)
        if following < 0:
            return gates, tip_at
        if gate.left in corners[following]:
            gates.append(_Gate(gate.left, tip, gate.left_at, tip_at))
        else:
            gates.append(_Gate(tip, gate.right, tip_at, gate.right_at))
    message = f"the row ends before vertex {end}"
    raise ValueError(message)


def _apex(points: list[list[float]], a: int, b: int, tip: int, a_at: Point, b_at: Point) -> Point:
    """Where the tip of a triangle lies beside its side a-b, on the right of a to b."""
    side, near, far = (
        dist(points[a], points[b]),
        dist(points[a], points[tip]),
        dist(points[b], points[tip]),
    )
    along = (side * side + near * near - far * far) / (2.0 * side)
    off = sqrt(max(near * near - along * along, 0.0))
    x, y = (b_at[0] - a_at[0]) / side, (b_at[1] - a_at[1]) / side
    return (a_at[0] + along * x + off * y, a_at[1] + along * y - off * x)


def _cross(o: Point, a: Point, b: Point) -> float:
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])


def _place(gates: list[_Gate], index: int, left: bool) -> Point:
    return gates[index].left_at if left else gates[index].right_at


def _funnel(gates: list[_Gate], goal: Point) -> list[tuple[int, bool]]:
    """Gate ends (number of the gate, whether its left end) that the shortest way bends round.

    The funnel of Lee and Preparata, 'Euclidean shortest paths in the presence of rectilinear
    barriers', Networks 14 (1984), doi:10.1002/net.3230140304, begun anew at each bend.
    """
    stops: list[tuple[int, bool]] = []
    apex: Point = (0.0, 0.0)
    left, right, k = 0, 0, 1
    while k <= len(gates):
        # Sides of the funnel: from the apex to the left end of one gate, the right end of another.
        to_left, to_right = gates[left].left_at, gates[right].right_at
        new_left = gates[k].left_at if k < len(gates) else goal
        new_right = gates[k].right_at if k < len(gates) else goal
        if _cross(apex, to_left, new_right) > 0.0:
            stops.append((left, True))
            apex, k = to_left, _next_without(gates, left, left=True)
        elif _cross(apex, to_right, new_left) < 0.0:
            stops.append((right, False))
            apex, k = to_right, _next_without(gates, right, left=False)
        else:
            if k < len(gates) and _cross(apex, to_left, new_left) <= 0.0:
                left = k
            if k < len(gates) and _cross(apex, to_right, new_right) >= 0.0:
                right = k
            k += 1
            continue
        left, right, k = k, k, k + 1
    return stops


def _next_without(gates: list[_Gate], index: int, *, left: bool) -> int:
    """The first gate after that one which does not end in the same vertex on that side."""
    side = "left" if left else "right"
    k = index + 1
    while k < len(gates) and getattr(gates[k], side) == getattr(gates[index], side):
        k += 1
    return k


def _reach(gates: list[_Gate], index: int, left: bool) -> tuple[int, Point, int, int]:
    """The vertex of a bend, where it lies, and the first and last gate that touch it."""
    vertex = gates[index].left if left else gates[index].right
    first = last = index
    while first > 0 and vertex in (gates[first - 1].left, gates[first - 1].right):
        first -= 1
    while last + 1 < len(gates) and vertex in (gates[last + 1].left, gates[last + 1].right):
        last += 1
    return vertex, _place(gates, index, left), first, last


def _crossing(gate: _Gate, at: Point, there: Point) -> Node:
    here, across = _cross(at, there, gate.left_at), _cross(at, there, gate.right_at)
    part = 0.5 if here == across else here / (here - across)
    if part < _AT_END:
        return (gate.left, gate.left, 0.0)
    if part > 1.0 - _AT_END:
        return (gate.right, gate.right, 0.0)
    return (gate.left, gate.right, part)


def _inside(at: Point, there: Point, beyond: Point, *, left: bool) -> float:
    """Angle at `there` between the way in and the way out, on the side away from the vertex."""
    back = atan2(at[1] - there[1], at[0] - there[0])
    ahead = atan2(beyond[1] - there[1], beyond[0] - there[0])
    turn = ahead - back if left else back - ahead
    # At least half a turn, but for rounding.
    return (turn + 0.5) % (2.0 * pi) - 0.5


def _without_repeats(nodes: list[Node]) -> list[Node]:
    return [node for i, node in enumerate(nodes) if i == 0 or node != nodes[i - 1]]
