"""The shapes of boards before they are let into each other."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray

from buckwright.buck.board_sections import BodyFace, Run, closed_shape
from buckwright.model.boards import BoardSpec, Slot
from buckwright.model.frame import Wheel

__all__ = ["RawBoard", "largest_part", "long_boards", "station_board", "without_wheels"]

Array = NDArray[np.float64]
Kind = Literal["station", "buttock", "level"]

PLANES: dict[Kind, tuple[int, int, int]] = {
    "station": (0, 1, 2),
    "buttock": (1, 0, 2),
    "level": (2, 0, 1),
}
"""A board's own axis, and the two it is drawn in."""
FACING = {"buttock": -0.02, "level": 0.3}
"""Least part of the normal that points where the board comes from: a buttock goes on down the
rear as long as it is not undercut, a level ends where the metal turns away."""
BRIDGE = 600.0
"""mm of opening that a board along the vehicle is carried straight across."""
END_ROOM = 2.0
"""mm that a board along the vehicle ends short of a corner of the metal."""
SHORTEST = 150.0
"""mm of edge that is worth a board."""


@dataclass(slots=True, eq=False)
class RawBoard:
    """A board on the bench: its shape so far, and its slots.

    `runs` is the metal in the middle of its thickness, `beside` the points of metal (n, 2) on
    either face; `faces` are the shapes there. `out` is the unit vector, in the plane it is drawn
    in, from which a board along the vehicle is let in; zero for a station.
    """

    kind: Kind
    name: str
    at: float
    shape: shapely.Polygon
    runs: tuple[Run, ...]
    faces: tuple[shapely.Polygon, ...]
    beside: tuple[Array, ...]
    out: tuple[float, float] = (0.0, 0.0)
    slots: list[Slot] = field(default_factory=list)

    @property
    def plane(self) -> tuple[int, int]:
        """Numbers of the two axes it is drawn in."""
        return PLANES[self.kind][1:]


def station_board(spec: BoardSpec, face: BodyFace, at: float, name: str) -> RawBoard | None:
    """A board across the vehicle, with a hole that leaves `spec.depth`; None without skin."""
    axis, *plane = PLANES["station"]
    half = 0.5 * spec.thickness
    cuts = _cuts(face, axis, at, half)
    found = [closed_shape(runs, (plane[0], plane[1])) for runs in cuts]
    shapes = [shape for shape in found if shape is not None]
    if len(shapes) < 3:
        return None
    outer = _cut_shape(spec, shapes)
    if outer is None:
        return None
    if spec.depth > 0.0:
        radius = 0.5 * spec.cutter
        hole = outer.buffer(-spec.depth)
        hole = hole.buffer(-radius).buffer(radius)
        outer = largest_part(outer.difference(hole))
    beside = _points_beside(cuts, plane)
    return RawBoard("station", name, at, outer, cuts[1], (shapes[0], shapes[2]), beside)


def long_boards(
    spec: BoardSpec, face: BodyFace, kind: Kind, at: float, side: int
) -> list[RawBoard]:
    """Boards along the vehicle that follow the metal seen from their side, `spec.depth` wide.

    `side`: 1 for what is seen from above or from the right, -1 from the left.
    """
    axis, *plane = PLANES[kind]
    outward = np.eye(3)[plane[1]] * side
    half, depth = 0.5 * spec.thickness, spec.depth or 120.0
    sections = _cuts(face, axis, at, half)
    cuts = [_seen(runs, outward, FACING[kind], plane, kind == "level") for runs in sections]
    seen = tuple(part for run in sections[1] for part in _facing_parts(run, outward, FACING[kind]))
    found = []
    for middle in cuts[1]:
        near = [_nearest(cut, middle) for cut in cuts]
        if any(line is None for line in near):
            continue
        bands = [_band(line, depth, outward[list(plane)]) for line in near if line is not None]
        shape = _cut_shape(spec, bands)
        if shape is None:
            continue
        out = (0.0, float(side))
        beside = _points_beside(sections, plane)
        found.append(RawBoard(kind, "", at, shape, seen, (bands[0], bands[2]), beside, out))
    return found


def without_wheels(spec: BoardSpec, board: RawBoard, wheels: Sequence[Wheel]) -> None:
    """Cut the board back from the wheels, with the room asked for."""
    for wheel in wheels:
        shape = _wheel_in_plane(spec, board, wheel)
        if shape is not None and board.shape.intersects(shape):
            board.shape = largest_part(board.shape.difference(shape))


def largest_part(shape: shapely.Geometry) -> shapely.Polygon:
    """The largest polygon of a shape; an empty one if it has none."""
    parts = [p for p in shapely.get_parts(shape) if isinstance(p, shapely.Polygon)]
    return max(parts, key=lambda part: float(part.area), default=shapely.Polygon())


def _cuts(face: BodyFace, axis: int, at: float, half: float) -> list[tuple[Run, ...]]:
    """The sections on one face of the board, in its middle and on the other face."""
    return [face.cut(axis, at + off) for off in (-half, 0.0, half)]


def _points_beside(cuts: Sequence[Sequence[Run]], plane: Sequence[int]) -> tuple[Array, ...]:
    return tuple(
        np.vstack([run.points[:, list(plane)] for run in runs] or [np.zeros((0, 2))])
        for runs in (cuts[0], cuts[2])
    )


def _cut_shape(spec: BoardSpec, shapes: Sequence[shapely.Polygon]) -> shapely.Polygon | None:
    """Square: inside the metal all through the board. Bevelled: as large as its larger face."""
    if spec.edge == "square":
        shape = shapely.intersection_all(np.array(shapes))
    else:
        shape = shapely.union_all(np.array(shapes))
    part = largest_part(shape)
    return part if part.area > 0.0 else None


def _facing_parts(run: Run, outward: Array, least: float) -> list[Run]:
    """The stretches of a run whose metal faces that way."""
    seen = run.normals @ outward >= least
    if run.closed and not seen.all():
        turn = int(np.flatnonzero(~seen)[0])
        run = Run(np.roll(run.points, -turn, axis=0), np.roll(run.normals, -turn, axis=0), False)
        seen = np.roll(seen, -turn)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], seen, [False]]).astype(int)))
    return [
        Run(run.points[first:last], run.normals[first:last], False)
        for first, last in edges.reshape(-1, 2)
        if last - first > 3
    ]


def _seen(
    runs: Sequence[Run], outward: Array, least: float, plane: Sequence[int], halved: bool
) -> list[Array]:
    """Lines (n, 2) of metal seen from outside, from front to rear, joined across openings."""
    parts = [part for run in runs for part in _facing_parts(run, outward, least)]
    lines = []
    for part in parts:
        flat = part.points[:, list(plane)]
        if halved:
            flat = flat[flat[:, 1] * outward[plane[1]] > 0.0]
        if len(flat) > 3:
            lines.append(flat if flat[0, 0] <= flat[-1, 0] else flat[::-1])
    lines.sort(key=lambda line: float(line[:, 0].mean()))
    joined: list[Array] = []
    for line in lines:
        if joined and np.linalg.norm(line[0] - joined[-1][-1]) <= BRIDGE:
            joined[-1] = np.vstack([joined[-1], line])
        else:
            joined.append(line)
    return [line for line in joined if shapely.LineString(line).length >= SHORTEST]


def _nearest(lines: Sequence[Array], wanted: Array) -> Array | None:
    middle = wanted[len(wanted) // 2]
    return min(
        lines,
        key=lambda line: float(shapely.LineString(line).distance(shapely.Point(middle))),
        default=None,
    )


def _band(line: Array, depth: float, outward: Array) -> shapely.Polygon:
    """What lies within `depth` of a line on its inner side, its very ends left off."""
    whole = shapely.LineString(line)
    line = shapely.get_coordinates(
        shapely.ops.substring(whole, END_ROOM, max(whole.length - END_ROOM, END_ROOM + 1.0))
    )
    along = line[-1] - line[0]
    # A positive distance widens to the left of the line.
    left = along[0] * outward[1] - along[1] * outward[0]
    band = shapely.LineString(line).buffer(
        -depth if left > 0.0 else depth, single_sided=True, join_style="mitre"
    )
    return largest_part(band.buffer(0.0))


def _wheel_in_plane(spec: BoardSpec, board: RawBoard, wheel: Wheel) -> shapely.Polygon | None:
    """Where a wheel with room round it meets the thickness of the board."""
    room = spec.wheel_room
    radius, half = wheel.radius + room, 0.5 * wheel.width + room
    axis = PLANES[board.kind][0]
    off = max(abs(board.at - float(wheel.centre[axis])) - 0.5 * spec.thickness, 0.0)
    x, y, z = (float(c) for c in wheel.centre)
    if axis == 1:
        return shapely.Point(x, z).buffer(radius) if off < half else None
    if off >= radius:
        return None
    chord = float(np.sqrt(radius**2 - off**2))
    if axis == 0:
        return shapely.box(y - half, z - chord, y + half, z + chord)
    return shapely.box(x - chord, y - half, x + chord, y + half)
