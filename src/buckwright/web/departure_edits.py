"""Departures made and given up on the page: a stretch zone with its reason."""

from collections.abc import Callable

from buckwright.errors import JobError
from buckwright.model.job import Job
from buckwright.model.lines import Departure
from buckwright.units import parse_length
from buckwright.web.typed import Edited, Typed, chosen, in_words, typed_length

__all__ = ["DEPARTURE_EDITS"]

FARTHEST = 20000.0
MOST = 2000.0
"""mm by which one zone may grow or shrink."""
LONGEST_TEXT = 200


def _add(job: Job, typed: Typed) -> Edited:
    name, reason = (str(typed.get(key, "")).strip() for key in ("name", "reason"))
    if not name or len(name) > LONGEST_TEXT or name in [d.name for d in job.departures]:
        raise JobError(
            f"'{name}' is no name for a new departure.", "Give it a name of its own, in few words."
        )
    if not reason or len(reason) > LONGEST_TEXT:
        raise JobError(
            "A departure without a reason cannot be judged later.", "Say why, in few words."
        )
    axis = chosen(typed, "axis", ("x", "y", "z"))
    start, end = (
        typed_length({"length": typed.get(key, "")}, "an end of the zone", -FARTHEST, FARTHEST)
        for key in ("start", "end")
    )
    by = parse_length(str(typed.get("length", "")))
    if end <= start or end - start + by <= 0.0 or not 0.0 < abs(by) <= MOST:
        raise JobError(
            f"A zone from {in_words(start)} to {in_words(end)} cannot grow by {in_words(by)}.",
            "Give its start before its end, and less to take out than it is long.",
        )
    new = Departure.model_validate(
        {"name": name, "reason": reason, "axis": axis, "start": start, "end": end, "by": by}
    )
    told = f"departure '{name}' of {in_words(by)} added"
    return job.model_copy(update={"departures": (*job.departures, new)}), told


def _drop(job: Job, typed: Typed) -> Edited:
    name = typed.get("name")
    kept = tuple(departure for departure in job.departures if departure.name != name)
    if len(kept) == len(job.departures):
        raise JobError(f"There is no departure '{name}'.", "Reload the page and try again.")
    return job.model_copy(update={"departures": kept}), f"departure '{name}' given up"


DEPARTURE_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "add departure": _add,
    "drop departure": _drop,
}
"""By the name that the page sends."""
