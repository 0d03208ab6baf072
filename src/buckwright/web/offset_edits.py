"""Edits of the table of offsets: a typed figure becomes a pin that holds its line there."""

from collections.abc import Callable
from math import isfinite

from buckwright.errors import JobError
from buckwright.lines.offsets import hold_offsets
from buckwright.model.offsets import OffsetRow
from buckwright.units import parse_length
from buckwright.web.desk import View
from buckwright.web.typed import Edited, Typed, in_words

__all__ = ["OFFSET_EDITS"]


def _set_offset(view: View, typed: Typed) -> Edited:
    """One cell: 'line', 'station' in mm, 'which', and the figure under 'length' as typed."""
    job, reference = view.job, view.products.lines
    if reference is None:
        raise JobError("The lines have not been worked out.", "Work them out, then type.")
    line, which, station = str(typed.get("line", "")), typed.get("which"), typed.get("station")
    if which not in ("half-breadth", "height") or not isinstance(station, int | float):
        message = "a cell has a line, a station, and is a half-breadth or a height"
        raise ValueError(message)
    if not isfinite(station):
        message = "a station is missing"
        raise ValueError(message)
    value = parse_length(str(typed.get("length", "")))
    row = OffsetRow(
        row=1,
        line=line,
        station=float(station),
        half_breadth=value if which == "half-breadth" else None,
        height=value if which == "height" else None,
    )
    reason = str(typed.get("reason", "")).strip() or "table of offsets"
    if len(reason) > 200:
        raise JobError("That is too long for a reason.", "Say it in one sentence.")
    held = hold_offsets((row,), reference.network, job.departures, job.pins, reason=reason)
    for finding in held.findings:
        told = finding.message.partition(": ")[2]
        raise JobError(f"'{line}': {told}", finding.remedy)
    if not held.held:
        raise JobError(
            f"'{line}' has that {which} at station {in_words(station)} already.",
            "Type another figure, or leave it.",
        )
    words = f"{which} of '{line}' at station {in_words(station)} is now {in_words(value)}"
    return job.model_copy(update={"pins": held.pins}), words


OFFSET_EDITS: dict[str, Callable[[View, Typed], Edited]] = {"offset": _set_offset}
"""By the name that the page sends."""
