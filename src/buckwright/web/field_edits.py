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
from buckwright.model.fields import Softening
from buckwright.model.lines import LineNetwork
from buckwright.web.desk import View
from buckwright.web.sheets.skin_fields import fields_of
from buckwright.web.typed import Edited, Typed, in_words, typed_count, typed_length

__all__ = ["FIELD_EDITS"]

MOST_SOFT = 10.0
"""mm, farthest that lines may be allowed to move together."""


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


def _soften(view: View, typed: Typed) -> Edited:
    name = _text(typed, "name")
    if name not in {spec.name for spec in view.job.regions}:
        raise JobError(f"The skin has no region '{name}'.", "Build the skin on the fields first.")
    length = typed_length(typed, "how far lines may move together", 0.0, MOST_SOFT)
    kept = tuple(soft for soft in view.job.softened if soft.region != name)
    if length > 0.0:
        kept = (*kept, Softening(region=name, tolerance=length))
    words = f"lines of '{name}' may move together by {in_words(length)}"
    return view.job.model_copy(update={"softened": kept}), words


FIELD_EDITS: dict[str, Callable[[View, Typed], Edited]] = {
    "fill field": _fill,
    "name field": _rename,
    "join fields": _join,
    "part field": _part,
    "leave out line": _leave_out,
    "take back field": _take_back,
    "take fields": _take,
    "soften region": _soften,
}
"""By the name that the page sends; they need the fair lines beside the job."""
