"""The station buck: the body as sawn boards that slot together."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from buckwright.buck.board_edges import EdgeErrors, board_edges, edge_errors
from buckwright.buck.board_laps import lap_boards
from buckwright.buck.board_parts import split_board
from buckwright.buck.board_sections import BodyFace
from buckwright.buck.board_shapes import RawBoard, long_boards, station_board, without_wheels
from buckwright.errors import JobError
from buckwright.geometry.nesting import nest_pieces
from buckwright.geometry.nesting_pieces import Piece, Plate
from buckwright.model.boards import Board, Boards, BoardSpec
from buckwright.model.finding import Finding
from buckwright.model.frame import Wheel
from buckwright.model.nesting import Layout, SheetTerms, layout_of
from buckwright.model.skin import Skin, SkinRegion

__all__ = ["make_boards"]

LEAST_END = 20.0
"""mm of edge beside which metal ends that are worth a word."""


def make_boards(
    spec: BoardSpec, skin: Skin, *, sheet: float, wheels: Sequence[Wheel] = ()
) -> Boards:
    """Boards cut to the inner face of the skin, let into each other, nested on board sheets.

    `sheet` is the thickness of the metal (mm). Stations are closed: straight across where there
    is no metal. A square edge lies inside the metal all through the board and touches it with
    one corner; a bevelled one is as large as its larger face and runs straight to the other.

    Raises JobError for a board that cannot be and for a station where there is no skin.
    """
    _refuse_nonsense(spec)
    face = BodyFace(_regions(spec, skin), sheet=sheet)
    stations = _stations(spec, face)
    longs = _longs(spec, face)
    for board in (*stations, *longs):
        if spec.wheels == "keep clear":
            without_wheels(spec, board, wheels)
    longs = [board for board in longs if board.shape.area > 0.0]
    held, findings = lap_boards(spec, stations, longs)
    ends: list[Finding] = []
    boards = tuple(_finished(spec, face, board, ends) for board in (*stations, *held))
    layout = _nested(spec, boards)
    return Boards(
        boards=boards,
        layout=layout,
        mass=sum(board.mass for board in boards),
        gap_most=max(board.gap_most for board in boards),
        assembly=_assembly(boards),
        findings=(*findings, *ends, *layout.findings),
    )


def _regions(spec: BoardSpec, skin: Skin) -> list[SkinRegion]:
    if not spec.regions:
        found = [region for region in skin.regions if region.side == "whole"]
    else:
        found = [region for region in skin.regions if region.name in spec.regions]
    missing = set(spec.regions) - {region.name for region in found}
    if missing or not found:
        known = ", ".join(sorted({region.name for region in skin.regions}))
        name = min(missing) if missing else "on both sides"
        raise JobError(
            f"The boards are to carry region '{name}', which the skin does not have.",
            f"It has: {known}.",
        )
    return found


def _stations(spec: BoardSpec, face: BodyFace) -> list[RawBoard]:
    found = []
    for number, at in enumerate(sorted(spec.stations), 1):
        board = station_board(spec, face, at, f"S{number}")
        if board is None:
            raise JobError(
                f"There is no skin to shape the board at station {at:g}.",
                "Move the station to where the skin is, on both faces of the board.",
            )
        found.append(board)
    return found


def _longs(spec: BoardSpec, face: BodyFace) -> list[RawBoard]:
    found: list[RawBoard] = []
    for number, at in enumerate(sorted(spec.buttocks), 1):
        parts = long_boards(spec, face, "buttock", at, 1)
        _name(parts, f"B{number}", "")
        found += parts
    for number, at in enumerate(sorted(spec.levels), 1):
        for side, word in ((-1, " left"), (1, " right")):
            parts = long_boards(spec, face, "level", at, side)
            _name(parts, f"L{number}", word)
            found += parts
    return found


def _name(parts: Sequence[RawBoard], name: str, word: str) -> None:
    for number, part in enumerate(parts):
        part.name = f"{name}{chr(97 + number) if len(parts) > 1 else ''}{word}"


def _finished(spec: BoardSpec, face: BodyFace, board: RawBoard, findings: list[Finding]) -> Board:
    edges = board_edges(spec, board)
    errors = edge_errors(spec, face, board, edges)
    if errors.unsupported > LEAST_END:
        findings.append(_metal_ends(board, errors.unsupported))
    bevel = max((float(np.abs(edge.bevel).max()) for edge in edges), default=0.0)
    shape = shapely.geometry.polygon.orient(board.shape)
    rings = [np.asarray(ring.coords)[:-1] for ring in (shape.exterior, *shape.interiors)]
    faces = tuple(np.asarray(f.exterior.coords)[:-1] for f in board.faces)
    split = split_board(spec, board)
    plates = sum(shapely.Polygon(p.outline).area for p in split.parts if p.plate)
    return Board(
        name=board.name,
        kind=board.kind,
        at=board.at,
        thickness=spec.thickness,
        outline=rings[0],
        holes=tuple(rings[1:]),
        faces=faces if spec.edge == "bevel" else (),
        edges=edges,
        slots=tuple(board.slots),
        greatest_bevel=bevel,
        gap_most=errors.gap,
        over_most=errors.over,
        gap_words=_words(spec, bevel, errors),
        mass=(float(shape.area) + plates) * spec.thickness * spec.density,
        parts=split.parts,
        joints=split.joints,
    )


def _metal_ends(board: RawBoard, length: float) -> Finding:
    return Finding(
        code="metal-ends-in-board",
        where=board.name,
        message=f"On {length:.0f} mm of its edge the metal ends within the board's thickness.",
        remedy="Trim that edge by hand to the metal, or move the board by its thickness.",
    )


def _words(spec: BoardSpec, bevel: float, errors: EdgeErrors) -> str:
    lean = f"the skin leans by {np.degrees(bevel):.1f} deg at most"
    if spec.edge == "square":
        return (
            f"Sawn square: {lean}; one corner touches, the other stands off {errors.gap:.1f} mm "
            "at worst."
        )
    return (
        f"Bevelled from the outline of one face to that of the other: {lean}; the edge keeps to "
        f"the metal within {max(errors.gap, errors.over):.2f} mm."
    )


def _nested(spec: BoardSpec, boards: Sequence[Board]) -> Layout:
    """Boards and their parts lie any way on a sheet, by quarter turns, never face down."""
    quarters = tuple(0.5 * np.pi * k for k in range(4))
    pieces = [
        Piece(piece.outline, quarters, piece.holes)
        for board in boards
        for piece in board.parts or (board,)
    ]
    size = (max(spec.sheet_size), min(spec.sheet_size))
    plates = (Plate(size),)
    nested = nest_pieces(pieces, plates, gap=spec.gap, margin=spec.margin)
    terms = SheetTerms(
        stock=f"board of {spec.thickness:g} mm",
        gap=spec.gap,
        margin=spec.margin,
        mass_per_area=spec.thickness * spec.density,
        costs=(None,),
    )
    names = [piece.name for board in boards for piece in board.parts or (board,)]
    findings = tuple(_too_large(names[piece], size) for piece in nested.left_over)
    return layout_of(nested, pieces, plates, names, terms, findings=findings)


def _assembly(boards: Sequence[Board]) -> tuple[str, ...]:
    """What to do, in order, in a sentence for each kind of board."""
    kinds = {board.kind for board in boards}
    steps = []
    if any(board.parts for board in boards):
        steps.append(
            "Join parts under their plates, glued and screwed, on the face away from the number."
        )
    steps.append("Stand the stations in their places on a flat bench, numbers to the front.")
    if "level" in kinds:
        steps.append("Push the levels in, left ones from the left and right ones from the right.")
    if "buttock" in kinds:
        steps.append("Press the buttocks down into the stations from above.")
    steps.append("Measure both diagonals, then glue or screw the laps.")
    return tuple(steps)


def _too_large(name: str, size: tuple[float, float]) -> Finding:
    return Finding(
        code="no-sheet-holds-it",
        where=name,
        message=f"The board does not fit on a sheet of {size[0]:g} x {size[1]:g} mm.",
        remedy="Use larger sheets, or space the other boards so that a joint finds room.",
    )


def _refuse_nonsense(spec: BoardSpec) -> None:
    if not spec.stations:
        raise JobError("The station buck has no stations.", "Name the stations of its boards.")
    if spec.thickness <= 0.0 or spec.cutter <= 0.0 or spec.fit < 0.0:
        raise JobError(
            f"Boards of {spec.thickness:g} mm with a fit of {spec.fit:g} mm and a cutter of "
            f"{spec.cutter:g} mm cannot be.",
            "Measure the board and the router bit, and say what room a slot needs.",
        )
    if spec.cutter > 0.5 * spec.thickness:
        raise JobError(
            f"A cutter of {spec.cutter:g} mm leaves no square bottom in a slot of "
            f"{spec.thickness:g} mm.",
            "Use a bit of half the board's thickness at most.",
        )
    if 0.0 < spec.depth < 3.0 * spec.thickness:
        raise JobError(
            f"Boards {spec.depth:g} mm deep are too slender to slot.",
            f"Make them {3.0 * spec.thickness:g} mm deep at least, or solid (0).",
        )
    for values in (spec.stations, spec.buttocks, spec.levels):
        if any(b - a <= 2.0 * spec.thickness for a, b in pairwise(sorted(values))):
            raise JobError(
                "Two boards side by side touch or leave no room for a hand.",
                "Space them by more than twice their thickness.",
            )
