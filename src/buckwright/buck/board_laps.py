"""Letting boards into each other: half-lap slots with relieved corners.

A board along the vehicle comes on from outside: stations are slotted from their edge inward,
it is slotted from its inside outward, each by half of what both have there. Corners that a round
bit cannot reach are relieved by a circle through the corner.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.buck.board_shapes import RawBoard, largest_part
from buckwright.model.boards import BoardSpec, Slot
from buckwright.model.finding import Finding

__all__ = ["lap_boards", "relieved_slot"]

Array = NDArray[np.float64]

FAR = 1e5
ROOMY = 1.05
"""Relief over cutter: a bit does not go into a circle of its own size."""
THINNEST = 12.0
"""mm of board that must be left beside a slot."""


@dataclass(frozen=True, slots=True)
class _Meeting:
    """Where a station and a board along the vehicle meet: places on their common line."""

    bottom: float
    """Where both slots end, measured outward."""
    others: tuple[tuple[float, float], ...]
    """Stretches farther in where they would run through each other."""
    overlap: float


def lap_boards(
    spec: BoardSpec, stations: Sequence[RawBoard], longs: Sequence[RawBoard]
) -> tuple[tuple[RawBoard, ...], tuple[Finding, ...]]:
    """Slots in all boards that cross; boards along the vehicle that no station holds are dropped.

    Boards along the vehicle that cross each other lie apart: the level gives way.
    """
    findings: list[Finding] = []
    buttocks = [board for board in longs if board.kind == "buttock"]
    for level in (board for board in longs if board.kind == "level"):
        for buttock in buttocks:
            _give_way(spec, level, buttock)
    held = []
    for board in longs:
        laps = [(s, _meeting(spec, s, board)) for s in stations]
        meetings = [(s, m) for s, m in laps if m is not None]
        if not meetings:
            findings.append(_loose(board))
            continue
        for station, meeting in meetings:
            _slot_both(spec, station, board, meeting)
            if meeting.overlap < 4.0 * THINNEST:
                findings.append(_thin(station, board, meeting.overlap))
        held.append(board)
    return tuple(held), tuple(findings)


def relieved_slot(
    bottom: Array, out: Array, *, width: float, length: float, cutter: float
) -> shapely.Polygon:
    """A slot from its bottom's middle (2,) along `out` (2,), both bottom corners relieved.

    The relief is a circle through the corner, a little larger than the cutter, its middle on the
    corner's bisector inside the slot.
    """
    across = np.array([-out[1], out[0]])
    half = 0.5 * width * across
    ring = [
        bottom + half,
        bottom - half,
        bottom - half + length * out,
        bottom + half + length * out,
    ]
    radius = ROOMY * 0.5 * cutter
    inset = radius / np.sqrt(2.0)
    corners = [
        shapely.Point(bottom + sign * (half - inset * across) + inset * out).buffer(
            radius, quad_segs=16
        )
        for sign in (1.0, -1.0)
    ]
    return shapely.union_all([shapely.Polygon(ring), *corners])


def _line_axis(board: RawBoard) -> int:
    """Number of the axis along which a station and this board cross: z for a buttock."""
    return 2 if board.kind == "buttock" else 1


def _stretches(
    board: RawBoard, at: float, across: int, along: int, sign: float, width: float
) -> list[tuple[float, float]]:
    """Stretches of board on the whole width of a line, outward, outermost first."""
    u, v = board.plane.index(across), board.plane.index(along)
    found: list[list[tuple[float, float]]] = []
    for off in (-0.5 * width, 0.0, 0.5 * width):
        ends = np.zeros((2, 2))
        ends[:, u], ends[:, v] = at + off, (-FAR, FAR)
        parts = shapely.get_parts(board.shape.intersection(shapely.LineString(ends)))
        spans = [np.asarray(p.coords)[:, v] * sign for p in parts if p.length > 1e-6]
        found.append([(float(s.min()), float(s.max())) for s in spans])
    return sorted(found[1], key=lambda span: -span[1]) if all(found) else []


def _meeting(spec: BoardSpec, station: RawBoard, board: RawBoard) -> _Meeting | None:
    """None where the two do not cross, or only graze each other."""
    along, sign = _line_axis(board), board.out[1]
    own = 1 if board.kind == "buttock" else 2
    width = spec.thickness + spec.fit
    through_station = _stretches(station, board.at, own, along, sign, width)
    through_board = _stretches(board, station.at, 0, along, sign, width)
    if not through_station or not through_board:
        return None
    common = [
        (max(a[0], b[0]), min(a[1], b[1]))
        for a in through_station
        for b in through_board
        if min(a[1], b[1]) > max(a[0], b[0])
    ]
    common.sort(key=lambda span: -span[1])
    if not common or common[0][1] - common[0][0] < 2.0 * THINNEST:
        return None
    low, high = common[0]
    return _Meeting(0.5 * (low + high), tuple(common[1:]), high - low)


def _slot_both(spec: BoardSpec, station: RawBoard, board: RawBoard, meeting: _Meeting) -> None:
    along, sign = _line_axis(board), board.out[1]
    own = 1 if board.kind == "buttock" else 2
    ease = 0.5 * spec.fit
    _slot(spec, station, board.name, (own, board.at), (along, meeting.bottom - ease, sign), sign)
    _slot(spec, board, station.name, (0, station.at), (along, meeting.bottom + ease, sign), -sign)
    for low, high in meeting.others:
        ends = [[0.0, 0.0], [0.0, 0.0]]
        u, v = board.plane.index(0), board.plane.index(along)
        half = 0.5 * spec.thickness + spec.fit
        for end, off, place in zip(ends, (-half, half), (low, high), strict=True):
            end[u], end[v] = station.at + off, sign * (place + (spec.fit if off > 0 else -spec.fit))
        corners = np.sort(np.array(ends), axis=0)
        board.shape = largest_part(board.shape.difference(shapely.box(*corners[0], *corners[1])))


def _slot(
    spec: BoardSpec,
    board: RawBoard,
    other: str,
    where: tuple[int, float],
    bottom: tuple[int, float, float],
    outward: float,
) -> None:
    """Cut one slot: at `where` (axis, value) from `bottom` (axis, place, sign) outward."""
    u, v = board.plane.index(where[0]), board.plane.index(bottom[0])
    middle, out = np.zeros(2), np.zeros(2)
    middle[u], middle[v], out[v] = where[1], bottom[1] * bottom[2], outward
    width = spec.thickness + spec.fit
    length = _room_ahead(board.shape, middle, out, width)
    slot = relieved_slot(middle, out, width=width, length=length + 1.0, cutter=spec.cutter)
    ahead = shapely.LineString([middle, middle + length * out]).intersection(board.shape)
    board.shape = largest_part(board.shape.difference(slot))
    board.slots.append(
        Slot(
            other=other,
            middle=(float(middle[0]), float(middle[1])),
            out=(float(out[0]), float(out[1])),
            width=width,
            depth=float(ahead.length),
        )
    )


def _room_ahead(shape: shapely.Polygon, middle: Array, out: Array, width: float) -> float:
    """How far the board goes on from the bottom of a slot, over the slot's whole width."""
    across = np.array([-out[1], out[0]])
    strip = shapely.Polygon(
        [
            middle + 0.5 * width * across,
            middle - 0.5 * width * across,
            middle - 0.5 * width * across + FAR * out,
            middle + 0.5 * width * across + FAR * out,
        ]
    )
    parts = shapely.get_parts(shape.intersection(strip))
    start = shapely.Point(middle + 0.01 * out)
    here = min(parts, key=lambda part: float(part.distance(start)))
    points = np.asarray(shapely.get_coordinates(here))
    return float(((points - middle) @ out).max())


def _give_way(spec: BoardSpec, level: RawBoard, buttock: RawBoard) -> None:
    """Cut a level clear of a buttock that it would run into."""
    line = shapely.LineString([(-FAR, level.at), (FAR, level.at)])
    half = 0.5 * spec.thickness + spec.fit
    for part in shapely.get_parts(buttock.shape.buffer(half).intersection(line)):
        x = np.asarray(part.coords)[:, 0]
        if len(x) < 2:
            continue
        block = shapely.box(x.min(), buttock.at - half, x.max(), buttock.at + half)
        if level.shape.intersects(block):
            level.shape = largest_part(level.shape.difference(block))


def _loose(board: RawBoard) -> Finding:
    return Finding(
        code="board-not-held",
        where=board.name,
        message=f"No station crosses the {board.kind} at {board.at:g} mm, so nothing holds it.",
        remedy="Left out; add a station there, or move the board.",
    )


def _thin(station: RawBoard, board: RawBoard, overlap: float) -> Finding:
    return Finding(
        code="thin-lap",
        where=board.name,
        message=f"It crosses {station.name} on {overlap:.0f} mm only: each half is weak.",
        remedy="Make the boards deeper, or glue a block into the corner.",
    )
