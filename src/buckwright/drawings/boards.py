"""Boards of the station buck at full size, with slots, bevels, joints, and how they lie."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, line, short_name, words
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.layouts import layout_sheets
from buckwright.drawings.listing import lines_below
from buckwright.geometry.lettering import lettering_width
from buckwright.model.boards import Board, BoardEdge, Boards, BoardSpec
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.job import Job
from buckwright.units import format_both

__all__ = ["board_sheets"]

Array = NDArray[np.float64]

CLEAR = 70.0
"""mm round the bottom of a slot that names of parts keep off."""
STEP = 150.0
"""mm along an edge between two bevels."""
SEEN = {
    "station": ("the rear", "y to the right, z up", "rear"),
    "buttock": ("the left", "x to the right (rearward), z up", "left"),
    "level": ("above", "x to the right (rearward), y up (towards the right side)", "top"),
}
"""From where a board is drawn, its axes, and the face that is up."""
SMALLER = {
    "station": ("the rear", "front"),
    "buttock": ("right", "left"),
    "level": ("top", "bottom"),
}


def board_sheets(job: Job, boards: Boards) -> tuple[Sheet, ...]:
    """One sheet for each board, then one for each sheet of board that they are cut from."""
    spec = job.buck.boards if job.buck else None
    sheets: list[Sheet] = []
    for board in boards.boards:
        name = short_name(f"board-{board.name}", (sheet.name for sheet in sheets))
        sheets.append(_sheet(job, spec, boards, board, name))
    taken = [sheet.name for sheet in sheets]
    return (*sheets, *layout_sheets(job, boards.layout, what="boards", kind="board", taken=taken))


def _sheet(job: Job, spec: BoardSpec | None, boards: Boards, board: Board, name: str) -> Sheet:
    bevelled = bool(board.faces)
    strokes = [
        *(Stroke(ink="thin", points=face, closed=True, name="face") for face in board.faces),
        *_cut(board),
    ]
    labels = [*_slot_names(board), *_part_names(board)]
    for edge in board.edges if bevelled else ():
        ticks, figures = _bevels(edge)
        strokes += ticks
        labels += figures
    low, high = board.outline.min(axis=0), board.outline.max(axis=0)
    seen, axes, up = SEEN[board.kind]
    facts = [
        (f"{board.name}: {board.kind} at {board.at:.0f}", BIG),
        (f"board {board.thickness:g} mm, {board.mass:.1f} kg, {_size(high - low)}", NAME),
        (f"seen from {seen}: {axes}; {up.upper()} FACE UP", FIGURE),
        (board.gap_words, FIGURE),
    ]
    labels += lines_below(
        (float(low[0]), float(low[1]) - 40.0), facts, width=max(float(high[0] - low[0]), 500.0)
    )
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: board {board.name}",
        strokes=tuple(strokes),
        labels=tuple(labels),
        notes=(
            *_how_to(spec, board),
            *boards.assembly,
            *doubts(boards.findings, board.name),
            *cautions_for("board"),
        ),
        kind="board",
        cut_file=True,
    )


def _cut(board: Board) -> list[Stroke]:
    """What is sawn: the board, or its parts; plates are cut from the sheet and lie on the face."""
    parts = [part for part in board.parts if not part.plate]
    rings = [(ring, board.name) for ring in (*board.holes, board.outline)]
    if parts:
        rings = [(ring, p.name) for p in parts for ring in (*p.holes, p.outline)]
    plates = [
        Stroke(ink="crease", points=part.outline, closed=True, name=part.name)
        for part in board.parts
        if part.plate
    ]
    return [
        *plates,
        *(Stroke(ink="cut", points=ring, closed=True, name=name) for ring, name in rings),
    ]


def _slot_names(board: Board) -> list[Label]:
    """The name of the other board beyond the bottom of each slot."""
    labels = []
    for slot in board.slots:
        out = np.array(slot.out)
        beside = 0.5 * lettering_width(slot.other, NAME) if out[0] else 0.5 * NAME
        at = np.array(slot.middle) - (beside + 0.8 * NAME) * out
        labels.append(words(at - (0.0, 0.5 * NAME), slot.other, NAME, centred=True))
    return labels


def _part_names(board: Board) -> list[Label]:
    """Each part's name where it is widest, clear of the slots and their names."""
    taken = shapely.union_all([shapely.Point(slot.middle).buffer(CLEAR) for slot in board.slots])
    labels = []
    for part in board.parts:
        free = _largest_free(shapely.Polygon(part.outline, part.holes), taken)
        at = np.asarray(shapely.maximum_inscribed_circle(free).coords[0])
        height = FIGURE if part.plate else NAME
        labels.append(words(at, part.name, height, centred=True))
    return labels


def _largest_free(shape: shapely.Polygon, taken: shapely.Geometry) -> shapely.Polygon:
    """The largest part of a shape that is not taken; the shape itself if nothing is left."""
    parts = shapely.get_parts(shape.difference(taken))
    return max(parts, key=lambda part: float(part.area), default=shape)


def _bevels(edge: BoardEdge) -> tuple[list[Stroke], list[Label]]:
    """Ticks across the edge with the bevel in degrees, evenly spaced along the run."""
    length = float(edge.along[-1])
    count = max(int(length / STEP), 1)
    ticks, figures = [], []
    for at in np.linspace(0.0, length, count + 1):
        place = np.array([np.interp(at, edge.along, edge.points[:, k]) for k in (0, 1)])
        ahead = np.array([np.interp(at + 2.0, edge.along, edge.points[:, k]) for k in (0, 1)])
        behind = np.array([np.interp(at - 2.0, edge.along, edge.points[:, k]) for k in (0, 1)])
        along = (ahead - behind) / max(float(np.linalg.norm(ahead - behind)), 1e-9)
        across = np.array([-along[1], along[0]])
        ticks.append(line("mark", place - 6.0 * across, place + 6.0 * across, name="bevel"))
        figure = f"{np.degrees(np.interp(at, edge.along, edge.bevel)):+.1f}"
        figures.append(words(place + 10.0 * across, figure, 5.0))
    return ticks, figures


def _how_to(spec: BoardSpec | None, board: Board) -> tuple[str, ...]:
    notes = [
        f"Slots are as wide as a board of {board.thickness:g} mm with room to slide: measure the "
        "board in hand, and change the job if it is another.",
    ]
    if spec is not None:
        notes.append(
            f"Inside corners are relieved for a router bit of {spec.cutter:g} mm or thinner."
        )
    if board.faces:
        plus, minus = SMALLER[board.kind]
        notes.append(
            f"Figures on the edge are its bevel in degrees: with + the {plus} face is the smaller "
            f"one, with - the {minus} face. The thin lines are the two faces: saw outside both, "
            "then plane from one line to the other."
        )
    if board.parts:
        notes.append(
            "Sawn in parts: butt them on a flat bench, glue and screw the plates on the face "
            "away from the number, and measure across before the glue sets."
        )
    return tuple(notes)


def _size(size: Array) -> str:
    return f"{format_both(float(size[0]))} x {format_both(float(size[1]))}"
