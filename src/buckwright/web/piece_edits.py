"""Edits of a drawing in pieces: shared marks, each piece squared by itself, pieces taken out."""

from collections.abc import Callable
from typing import Any

import numpy as np

from buckwright.errors import JobError
from buckwright.flow.pieces import with_marks, without_piece
from buckwright.flow.views import view_named
from buckwright.model.job import Job
from buckwright.model.views import ViewSpec
from buckwright.units import parse_length
from buckwright.views.squaring import square_picture
from buckwright.web.typed import Edited, Typed, chosen
from buckwright.web.view_edits import corner_places, named_picture, point_of, points_of, short_text

__all__ = ["PIECE_EDITS"]

_MOST_MARKS = 200


def _mark(job: Job, typed: Typed) -> Edited:
    """One mark set in one piece; where else it is set stays."""
    view = _drawing(job, typed)
    picture = named_picture(view, typed)
    mark = short_text(typed, "mark", "The mark needs a name.")
    px = point_of(typed.get("px"))
    columns, rows = picture.source.size
    if not (-0.5 <= px[0] <= columns - 0.5 and -0.5 <= px[1] <= rows - 0.5):
        raise JobError(
            f"The mark '{mark}' lies outside of {picture.source.name}.",
            "Set it where the drawing is seen.",
        )
    set_already = {
        one.source.name: m.px for one in view.pictures for m in one.marks if m.name == mark
    }
    if len(picture.marks) >= _MOST_MARKS and picture.source.name not in set_already:
        raise JobError(f"{picture.source.name} has {_MOST_MARKS} marks.", "That is enough.")
    changed = with_marks(view, mark, {**set_already, picture.source.name: px})
    return _with(job, view, changed), f"mark '{mark}' set in {picture.source.name}"


def _unmark(job: Job, typed: Typed) -> Edited:
    view = _drawing(job, typed)
    names = {mark.name for picture in view.pictures for mark in picture.marks}
    mark = chosen(typed, "mark", sorted(names))
    return _with(job, view, with_marks(view, mark, {})), f"mark '{mark}' taken off"


def _corners(job: Job, typed: Typed) -> Edited:
    """Corners or grid crossings of one piece, by which it is seen square on."""
    view = _drawing(job, typed)
    picture = named_picture(view, typed)
    corners = points_of(typed.get("corners"))
    changed = picture.model_copy(
        update={"corners": corners, "corners_at": _places(typed, len(corners))}
    )
    square_picture(changed)
    pictures = tuple(changed if one is picture else one for one in view.pictures)
    words = f"{picture.source.name} squared by {len(corners)} corners"
    if len(corners) == 0:
        words = f"{picture.source.name} taken as it lies"
    return _with(job, view, view.model_copy(update={"pictures": pictures})), words


def _places(typed: Typed, count: int) -> Any:
    """Of grid crossings each its place, where any is typed; else those of a rectangle."""
    told = typed.get("places")
    rows = told if isinstance(told, list) else []
    texts = [[str(cell).strip() for cell in row] for row in rows if isinstance(row, list)]
    if not any(cell for row in texts for cell in row):
        if count > 4:
            raise JobError(
                "More than four corners need a place each.", "Type where each crossing lies."
            )
        return corner_places(typed, count)
    if len(texts) != count or any(len(row) != 2 or not all(row) for row in texts):
        raise JobError(
            "Some crossings have no place.", "Type right and up for each, or for none of them."
        )
    return np.array([[parse_length(cell) for cell in row] for row in texts])


def _out(job: Job, typed: Typed) -> Edited:
    view = _drawing(job, typed)
    name = named_picture(view, typed).source.name
    return _with(job, view, without_piece(view, name)), f"piece {name} taken out"


def _drawing(job: Job, typed: Typed) -> ViewSpec:
    view = view_named(job, str(typed.get("name", "")))
    if not view.drawing:
        raise JobError(
            f"'{view.name}' is a picture of a thing, no drawing.",
            "Only a flat drawing can be pieced together.",
        )
    return view


def _with(job: Job, view: ViewSpec, changed: ViewSpec) -> Job:
    views = tuple(changed if one is view else one for one in job.views)
    return job.model_copy(update={"views": views})


PIECE_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "view mark": _mark,
    "view unmark": _unmark,
    "piece corners": _corners,
    "piece out": _out,
}
"""By the name that the page sends."""
