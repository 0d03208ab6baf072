"""Corrections of what the lines bound, and taking it as the job's regions."""

from collections.abc import Callable

from buckwright.errors import JobError
from buckwright.flow.fields import (
    join_fields,
    leave_out_line,
    name_field,
    orphaned_panels,
    part_field,
    set_field,
    take_fields,
    taken_back,
)
from buckwright.model.lines import LineNetwork
from buckwright.web.desk import View
from buckwright.web.sheets.skin_fields import fields_of
from buckwright.web.typed import Edited, Typed, typed_count

__all__ = ["FIELD_EDITS"]


def _network(view: View) -> LineNetwork:
    if view.products.lines is None:
        raise JobError("There are no fair lines yet.", "Work the lines out first.")
    return view.products.lines.network


def _text(typed: Typed, key: str) -> str:
    return str(typed.get(key, ""))


def _fill(view: View, typed: Typed) -> Edited:
    name, metal = _text(typed, "name"), bool(typed.get("metal"))
    job = set_field(view.job, fields_of(view.job, _network(view)), name, metal=metal)
    return job, f"field '{name}' is {'metal' if metal else 'open'}"


def _rename(view: View, typed: Typed) -> Edited:
    name, new = _text(typed, "name"), _text(typed, "text").strip()
    job = name_field(view.job, fields_of(view.job, _network(view)), name, new)
    return job, f"field '{name}' is called '{new}'"


def _join(view: View, typed: Typed) -> Edited:
    one, other = _text(typed, "name"), _text(typed, "other")
    job = join_fields(view.job, fields_of(view.job, _network(view)), one, other)
    return job, f"fields '{one}' and '{other}' joined"


def _part(view: View, typed: Typed) -> Edited:
    line = _text(typed, "line")
    return part_field(view.job, _network(view), line), f"skin divided along '{line}'"


def _leave_out(view: View, typed: Typed) -> Edited:
    line = _text(typed, "line")
    return leave_out_line(view.job, _network(view), line), f"line '{line}' left out of the fields"


def _take_back(view: View, typed: Typed) -> Edited:
    number = typed_count(typed, "number", "the number of a correction", 0, 999)
    return taken_back(view.job, number), "a correction of the fields taken back"


def _take(view: View, typed: Typed) -> Edited:
    job = take_fields(view.job, fields_of(view.job, _network(view)))
    lost = orphaned_panels(job)
    words = f"{len(job.regions)} regions taken from the lines"
    if lost:
        words += f"; panels without a region now: {', '.join(lost)}"
    return job, words


FIELD_EDITS: dict[str, Callable[[View, Typed], Edited]] = {
    "fill field": _fill,
    "name field": _rename,
    "join fields": _join,
    "part field": _part,
    "leave out line": _leave_out,
    "take back field": _take_back,
    "take fields": _take,
}
"""By the name that the page sends; they need the fair lines beside the job."""
