"""Edits of tapes, and how the page shows them against the lines."""

from collections.abc import Callable
from typing import Any

from buckwright.errors import JobError
from buckwright.flow.scale import with_tape_scale
from buckwright.flow.tapes import tape_check
from buckwright.lines.tape_choices import SORTS, told_tape, with_tape, without_tape
from buckwright.model.job import Job, Reference
from buckwright.units import parse_length
from buckwright.web.desk import View
from buckwright.web.typed import Edited, Typed, chosen, in_words, names_typed

__all__ = ["SCALE_EDITS", "TAPE_EDITS", "tape_rows"]


def _add(job: Job, typed: Typed) -> Edited:
    of = chosen(typed, "of", SORTS)
    places = [str(typed.get(key, "")).strip() for key in ("from", "to")]
    tape = told_tape(
        of,
        size=parse_length(str(typed.get("length", ""))),
        sigma=parse_length(str(typed.get("sigma", ""))),
        name=str(typed.get("name", "")),
        line=str(typed.get("line", "")) if of == "along" else "",
        places=[place for place in places if place] if of in ("between", "along") else [],
        on_model=bool(typed.get("model")),
    )
    words = f"tape '{tape.name}' says {in_words(tape.size)}"
    return job.model_copy(update={"tapes": with_tape(job.tapes, tape)}), words


def _drop(job: Job, typed: Typed) -> Edited:
    name = str(typed.get("name", ""))
    tapes = without_tape(job.tapes, name, job.tape_scale)
    return job.model_copy(update={"tapes": tapes}), f"tape '{name}' left out"


def _no_scale(job: Job, _: Typed) -> Edited:
    if job.tape_scale is None:
        raise JobError("The scale does not come from tapes.", "Reload the page.")
    return job.model_copy(update={"tape_scale": None}), "the scale from tapes given up"


def _scale(view: View, typed: Typed) -> Edited:
    lines = view.products.lines
    if lines is None or view.states.get("lines") != "done":
        raise JobError(
            "The lines have not been worked out as the job now stands.", "Work them out first."
        )
    job = with_tape_scale(view.job, lines, names_typed(typed))
    factor = 1.0 if job.tape_scale is None else job.tape_scale.factor
    return job, f"the scale corrected {factor:.5f} times from tapes"


def tape_rows(job: Job, reference: Reference | None) -> dict[str, Any]:
    """All tapes against the lines, worst first, and the scale that rests on them."""
    told: dict[str, Any] = {
        "rows": [{"name": tape.name, "size": tape.size, "on": tape.on} for tape in job.tapes],
        "scale": None if job.tape_scale is None else job.tape_scale.model_dump(),
        "scalable": bool(job.pictures),
    }
    if reference is None or not job.tapes:
        return told
    check = tape_check(job, reference)
    by_name = {tape.name: tape for tape in job.tapes}
    lost = set(by_name) - {row.name for row in check.rows}
    told["rows"] = [
        row.model_dump() | {"size": by_name[row.name].size, "on": by_name[row.name].on}
        for row in check.rows
    ] + [{"name": name, "size": by_name[name].size, "on": by_name[name].on} for name in lost]
    told["findings"] = [f"{one.message} {one.remedy}" for one in check.findings]
    return told


TAPE_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "tape": _add,
    "drop tape": _drop,
    "no tape scale": _no_scale,
}
"""By the name that the page sends."""
SCALE_EDITS: dict[str, Callable[[View, Typed], Edited]] = {"tape scale": _scale}
"""Those that need the lines as worked out."""
