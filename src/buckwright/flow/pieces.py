"""A drawing in pieces: the joined sheet to look at and click on, and picks back to its pieces."""

from collections.abc import Callable
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from buckwright.errors import JobError
from buckwright.files.photographs import read_colours
from buckwright.geometry.homography import apply_homography
from buckwright.model.views import Pick, PieceSheet, SharedMark, ViewSpec
from buckwright.views import join_sheet
from buckwright.views.paint import Board, board_of, squared_picture
from buckwright.views.sheet import inverse_of, piece_at
from buckwright.views.square import matrix_of

__all__ = [
    "SheetBoard",
    "on_sheet",
    "picks_on_sheet",
    "sheet_board",
    "sheet_picture",
    "trace_on_sheet",
    "with_marks",
    "without_piece",
]

Array = NDArray[np.float64]
SheetBoard = tuple[PieceSheet, Board]

_LONGEST = 2600
"""px of the joined sheet as it is shown: two pieces of a telephone, a little reduced."""


def sheet_board(view: ViewSpec) -> SheetBoard:
    """The joined sheet, and how it lies on the picture that is shown of it."""
    sheet = join_sheet(view)
    return sheet, board_of(view, sheet.squared, longest=_LONGEST)


def sheet_picture(view: ViewSpec, original: Callable[[str], bytes]) -> bytes:
    """The joined sheet as a JPEG; `original` gives the bytes behind a SHA-256."""
    sheet, board = sheet_board(view)
    colours = {
        picture.source.name: read_colours(original(picture.source.sha256), name=picture.source.name)
        for picture in view.pictures
    }
    out = BytesIO()
    shown = squared_picture(view, sheet.squared, board, colours)
    Image.fromarray(shown).save(out, "JPEG", quality=88)
    return out.getvalue()


def on_sheet(view: ViewSpec, shown: SheetBoard, picture: str, px: Array) -> Array:
    """(n, 2) pixels of a piece as pixels of the joined sheet."""
    sheet, board = shown
    plane = apply_homography(matrix_of(view, sheet.squared, picture), px)
    return np.asarray(apply_homography(board.from_plane, plane))


def picks_on_sheet(view: ViewSpec, px: Array) -> tuple[Pick, ...]:
    """Places (n, 2) clicked on the joined sheet, each in the piece that shows it."""
    sheet, board = sheet_board(view)
    found = []
    for at in apply_homography(inverse_of(board.from_plane), px):
        piece, own = piece_at(view, sheet.squared, at[None])
        found.append(Pick(picture=piece, px=(float(own[0, 0]), float(own[0, 1]))))
    return tuple(found)


def trace_on_sheet(view: ViewSpec, px: Array) -> tuple[str, Array]:
    """A line (n, 2) clicked on the joined sheet, in the one piece that shows most of it."""
    sheet, board = sheet_board(view)
    plane = apply_homography(inverse_of(board.from_plane), px)
    return piece_at(view, sheet.squared, plane)


def with_marks(view: ViewSpec, mark: str, px: dict[str, tuple[float, float]]) -> ViewSpec:
    """The view with that mark set in those pieces, and taken from all others it was in."""
    pictures = []
    for picture in view.pictures:
        kept = tuple(one for one in picture.marks if one.name != mark)
        own = px.get(picture.source.name)
        more = () if own is None else (SharedMark(name=mark, px=own),)
        pictures.append(picture.model_copy(update={"marks": (*kept, *more)}))
    return view.model_copy(update={"pictures": tuple(pictures)})


def without_piece(view: ViewSpec, name: str) -> ViewSpec:
    """The view without that piece, what was traced in it and what was scaled by it.

    Raises JobError for the last piece.
    """
    left = tuple(one for one in view.pictures if one.source.name != name)
    if not left:
        raise JobError(
            f"'{name}' is the last piece of '{view.name}'.", "Take the whole view out instead."
        )
    length = view.length
    if length is not None and name in (length.first.picture, length.second.picture):
        length = None
    return view.model_copy(
        update={
            "pictures": left,
            "length": length,
            "known": tuple(one for one in view.known if one.pick.picture != name),
            "traces": tuple(one for one in view.traces if one.picture != name),
        }
    )
