"""Boards that are larger than a sheet, sawn in parts that a plate joins."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.buck.board_shapes import RawBoard, largest_part
from buckwright.model.boards import BoardPart, BoardSpec

__all__ = ["Split", "split_board"]

Array = NDArray[np.float64]

PLATE = (100.0, 60.0)
"""mm from a joint to the end of its plate: wanted, and at least."""
INSET = 12.0
"""mm that a plate stays inside the board's edges, clear of the metal."""
MOST = 6
"""Parts of one board."""


@dataclass(frozen=True, slots=True)
class Split:
    """Parts and plates of a board, and where its joints run: (2, 2) ends of each."""

    parts: tuple[BoardPart, ...] = ()
    joints: tuple[Array, ...] = ()


def split_board(spec: BoardSpec, board: RawBoard) -> Split:
    """The board in as few parts as are short enough for the sheet; nothing if it is itself.

    Joints run straight across the board, away from slots, butted under a plate of the same board
    on the face away from the number. Nothing where no joints can be found: the nesting says so.
    """
    left, low, right, high = board.shape.bounds
    cuts: list[list[tuple[float, float]]] = []
    for direction, (start, end) in enumerate(((left, right), (low, high))):
        places = _places(spec, board, direction, start, end)
        if places is None:
            return Split()
        cuts.append(places)
    if not cuts[0] and not cuts[1]:
        return Split()
    parts = _between(board.shape, [[at for at, _ in places] for places in cuts])
    named = [
        _part(f"{board.name} part {number}", part, plate=False)
        for number, part in enumerate(parts, 1)
    ]
    joints: list[Array] = []
    for direction, places in enumerate(cuts):
        for at, half in places:
            for seam, plate in _joints(board.shape, direction, at, half):
                joints.append(seam)
                if plate.area > 0.0:
                    named.append(_part(f"{board.name} plate {len(joints)}", plate, plate=True))
    return Split(tuple(named), tuple(joints))


def _places(
    spec: BoardSpec, board: RawBoard, direction: int, start: float, end: float
) -> list[tuple[float, float]] | None:
    """Where joints cut the board across a direction, and half their plates; None if no room."""
    room = min(spec.longest_part, max(spec.sheet_size) - 2.0 * spec.margin - 12.0)
    for count in range(max(1, int(np.ceil((end - start) / room))), MOST + 1):
        wanted = np.linspace(start, end, count + 1)[1:-1]
        found = [_joint_near(board, direction, float(at), (end - start) / count) for at in wanted]
        places = [place for place in found if place is not None]
        ends = np.array([start, *(at for at, _ in places), end])
        if len(places) == count - 1 and np.diff(ends).max() <= room:
            return places
    return None


def _joint_near(
    board: RawBoard, direction: int, wanted: float, pitch: float
) -> tuple[float, float] | None:
    """A place near the wanted one that is clear of slots, and the plate's half length there."""
    blocked = [
        (slot.middle[direction], 0.5 * slot.width)
        for slot in board.slots
        if slot.out[direction] == 0.0
    ]
    for half in PLATE:
        tries = wanted + np.arange(0.0, 0.3 * pitch, 5.0)[:, None] * np.array([1.0, -1.0])
        for place in tries.ravel().tolist():
            if all(abs(place - at) > half + width for at, width in blocked):
                return place, half
    return None


def _between(shape: shapely.Polygon, places: Sequence[Sequence[float]]) -> list[shapely.Polygon]:
    left, low, right, high = shape.bounds
    parts: list[shapely.Polygon] = []
    for u0, u1 in pairwise([left - 1.0, *places[0], right + 1.0]):
        for v0, v1 in pairwise([low - 1.0, *places[1], high + 1.0]):
            pieces = shapely.get_parts(shape.intersection(shapely.box(u0, v0, u1, v1)))
            parts += [p for p in pieces if p.geom_type == "Polygon" and p.area > 1.0]
    return parts


def _joints(
    shape: shapely.Polygon, direction: int, at: float, half: float
) -> list[tuple[Array, shapely.Polygon]]:
    """For each place where a cut across a direction meets board: the joint and its plate."""
    left, low, right, high = shape.bounds
    ends = np.array([[left - 1.0, low - 1.0], [right + 1.0, high + 1.0]])
    strip = ends.copy()
    strip[:, direction] = at - half, at + half
    ends[:, direction] = at
    found = []
    for piece in shapely.get_parts(shape.intersection(shapely.box(*strip[0], *strip[1]))):
        seam = piece.intersection(shapely.LineString(ends))
        if seam.length < 1.0:
            continue
        plate = largest_part(piece.buffer(-INSET, join_style="mitre"))
        found.append((shapely.get_coordinates(seam)[[0, -1]], plate))
    return found


def _part(name: str, shape: shapely.Polygon, *, plate: bool) -> BoardPart:
    ring = shapely.geometry.polygon.orient(shape)
    return BoardPart(
        name=name,
        outline=np.asarray(ring.exterior.coords)[:-1],
        holes=tuple(np.asarray(hole.coords)[:-1] for hole in ring.interiors),
        plate=plate,
    )
