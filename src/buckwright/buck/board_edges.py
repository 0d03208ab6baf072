"""What a board's edge does against the metal: its bevel, and what it leaves open."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.buck.board_sections import STEP, BodyFace
from buckwright.buck.board_shapes import PLANES, RawBoard
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.boards import BoardEdge, BoardSpec

__all__ = ["EdgeErrors", "board_edges", "edge_errors"]

Array = NDArray[np.float64]

SPARSE = 2
"""Every so many points of an edge are measured."""
NEAR = 3.0
"""mm in the board's plane within which its edge belongs to a run of metal, over what its bevel
explains."""


@dataclass(frozen=True, slots=True)
class EdgeErrors:
    """How far (mm) an edge stands off at worst, and out beyond; mm of edge beside no metal."""

    gap: float
    over: float
    unsupported: float


def board_edges(spec: BoardSpec, board: RawBoard) -> tuple[BoardEdge, ...]:
    """The runs of metal that the board carries, with the bevel along each.

    The sine of the bevel is the part of the metal's normal along the board's own axis.
    """
    axis = PLANES[board.kind][0]
    edges = []
    for run in board.runs:
        flat = run.points[:, board.plane]
        for first, last in _carried(spec, board, flat, run.normals[:, axis]):
            points = flat[first:last]
            edges.append(
                BoardEdge(
                    points=points,
                    along=arc_lengths(points),
                    bevel=np.arcsin(np.clip(run.normals[first:last, axis], -1.0, 1.0)),
                )
            )
    return tuple(edges)


def edge_errors(
    spec: BoardSpec, face: BodyFace, board: RawBoard, edges: Sequence[BoardEdge]
) -> EdgeErrors:
    """How far the finished edge stands off the inner face and out beyond it.

    Measured on the edge as it is cut, on both faces of the board and in its middle. Where metal
    ends within the thickness of the board nothing is measured but the length.
    """
    # The ends of a run lie on corners, where another edge may be nearer.
    depth = spec.thickness if spec.edge == "bevel" else 0.0
    inner = [_off_the_ends(edge, depth) for edge in edges]
    points = np.vstack(inner) if inner else np.zeros((0, 2))
    if not len(points):
        return EdgeErrors(0.0, 0.0, 0.0)
    ends = _metal_ends(spec, board, points)
    held = points[~ends][::SPARSE]
    places = _on_bevel(spec, board, held) if spec.edge == "bevel" else _on_square(spec, board, held)
    off = face.stand_off(places)
    off = off[np.isfinite(off)]
    return EdgeErrors(
        gap=float(max(off.max(initial=0.0), 0.0)),
        over=float(max(-off.min(initial=0.0), 0.0)),
        unsupported=float(ends.sum()) * STEP,
    )


def _off_the_ends(edge: BoardEdge, thickness: float) -> Array:
    """The points of a run, less what lies beside its ends on either face of the board."""
    room = 1.0 + 0.75 * thickness * float(np.tan(np.abs(edge.bevel).max()))
    kept = (edge.along > room) & (edge.along < edge.along[-1] - room)
    return np.asarray(edge.points[kept])


def _metal_ends(spec: BoardSpec, board: RawBoard, points: Array) -> NDArray[np.bool_]:
    """Where metal in the middle of the board has none beside it on one of its faces."""
    found = np.zeros(len(points), dtype=np.bool_)
    for beside, shape in zip(board.beside, board.faces, strict=True):
        if not len(beside):
            return ~found
        lean = shapely.distance(_points(points), shape.exterior)
        gap, _ = cKDTree(beside).query(points)
        found |= gap > np.hypot(lean, STEP) + NEAR
    return found


def _carried(spec: BoardSpec, board: RawBoard, flat: Array, lean: Array) -> list[tuple[int, int]]:
    """Stretches of a run in the middle plane that the board's outline follows.

    `lean` (n,) is the metal's normal along the board's own axis.
    """
    shift = 0.5 * spec.thickness * np.abs(lean) / np.sqrt(np.maximum(1.0 - lean**2, 0.01))
    near = shapely.distance(_points(flat), board.shape.exterior) <= NEAR + 1.5 * shift
    ends = np.flatnonzero(np.diff(np.concatenate([[False], near, [False]]).astype(int)))
    return [(int(a), int(b)) for a, b in ends.reshape(-1, 2) if b - a > 3]


def _in_space(board: RawBoard, flat: Array, at: float) -> Array:
    points = np.empty((len(flat), 3))
    points[:, PLANES[board.kind][0]] = at
    points[:, list(board.plane)] = flat
    return points


def _on_square(spec: BoardSpec, board: RawBoard, points: Array) -> Array:
    """Places on the square edge nearest to the runs of metal, through the board."""
    rim = board.shape.exterior
    foot = shapely.line_interpolate_point(rim, shapely.line_locate_point(rim, _points(points)))
    flat = shapely.get_coordinates(foot)
    inside_slot = _in_slots(board, flat)
    flat = flat[~inside_slot]
    half = 0.5 * spec.thickness
    return np.vstack([_in_space(board, flat, board.at + off) for off in (-half, 0.0, half)])


def _on_bevel(spec: BoardSpec, board: RawBoard, points: Array) -> Array:
    """Places on a straight edge from the outline of one face to that of the other."""
    ends = []
    for shape in board.faces:
        rim = shape.exterior
        foot = shapely.line_interpolate_point(rim, shapely.line_locate_point(rim, _points(points)))
        ends.append(shapely.get_coordinates(foot))
    half = 0.5 * spec.thickness
    return np.vstack(
        [
            _in_space(board, 0.5 * ((1.0 - t) * ends[0] + (1.0 + t) * ends[1]), board.at + t * half)
            for t in (-1.0, 0.0, 1.0)
        ]
    )


def _points(flat: Array) -> NDArray[np.object_]:
    return np.asarray(shapely.points(flat))


def _in_slots(board: RawBoard, flat: Array) -> NDArray[np.bool_]:
    """Which points lie at the mouth or inside of a slot, where there is no edge."""
    found = np.zeros(len(flat), dtype=np.bool_)
    for slot in board.slots:
        out = np.array(slot.out)
        off = flat - np.array(slot.middle)
        aside = np.abs(off @ np.array([-out[1], out[0]]))
        found |= (aside < 0.5 * slot.width + 4.0) & (off @ out > -4.0)
    return found
