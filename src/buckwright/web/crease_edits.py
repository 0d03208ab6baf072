"""Edits of where the skin is sharp: inner lines marked as creases."""

from collections.abc import Callable

from buckwright.errors import JobError
from buckwright.model.creases import CreaseSpec
from buckwright.model.job import Job
from buckwright.model.skin import RegionSpec
from buckwright.units import parse_length
from buckwright.web.typed import Edited, Typed, chosen, in_words

__all__ = ["CREASE_EDITS"]

LONGEST = 20_000.0
"""mm; no line is longer."""


def _sharpen(job: Job, typed: Typed) -> Edited:
    """A line of a region made sharp, all along or from one place to another."""
    spec = _region(job, typed)
    line = chosen(typed, "line", spec.inner)
    start = _place(typed, "start", "where the crease begins")
    end = _place(typed, "end", "where the crease ends")
    if end is not None and not end > (start or 0.0):
        raise JobError(
            f"The crease would begin at {in_words(start or 0.0)} and end at {in_words(end)}.",
            "Type how far along the line it ends, farther than where it begins.",
        )
    crease = CreaseSpec(line=line, start=start or 0.0, end=end)
    kept = tuple(c for c in spec.creases if c.line != line)
    words = f"'{line}' is sharp on '{spec.name}'"
    if start:
        words += f" from {in_words(start)}"
    if end is not None:
        words += f" to {in_words(end)}"
    return _with_creases(job, spec, (*kept, crease)), words


def _smooth(job: Job, typed: Typed) -> Edited:
    """The crease along a line taken off."""
    spec = _region(job, typed)
    line = chosen(typed, "line", tuple(crease.line for crease in spec.creases))
    kept = tuple(c for c in spec.creases if c.line != line)
    return _with_creases(job, spec, kept), f"'{line}' is smooth on '{spec.name}'"


def _region(job: Job, typed: Typed) -> RegionSpec:
    name = chosen(typed, "region", tuple(spec.name for spec in job.regions))
    (spec,) = (spec for spec in job.regions if spec.name == name)
    return spec


def _place(typed: Typed, key: str, what: str) -> float | None:
    """A distance along the line as typed; None where nothing is."""
    text = str(typed.get(key, "")).strip()
    if not text:
        return None
    place = parse_length(text)
    if not 0.0 <= place <= LONGEST:
        raise JobError(
            f"{in_words(place)} cannot be {what}.",
            f"Type something from 0 mm to {in_words(LONGEST)}, or leave it empty.",
        )
    return place


def _with_creases(job: Job, spec: RegionSpec, creases: tuple[CreaseSpec, ...]) -> Job:
    changed = spec.model_copy(update={"creases": creases})
    regions = tuple(changed if one.name == spec.name else one for one in job.regions)
    return job.model_copy(update={"regions": regions})


CREASE_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "sharpen line": _sharpen,
    "smooth line": _smooth,
}
"""By the name that the page sends."""
