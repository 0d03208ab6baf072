"""Regions found from the job's lines, corrected by hand, and made the job's own."""

from collections.abc import Iterable

from buckwright.errors import JobError
from buckwright.model.fields import FieldChoice, FoundFields, FoundRegion
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec
from buckwright.skin import propose_fields

__all__ = [
    "found_fields",
    "join_fields",
    "leave_out_line",
    "name_field",
    "orphaned_panels",
    "part_field",
    "set_field",
    "take_fields",
    "taken_back",
]

LONGEST_NAME = 40


def found_fields(job: Job, network: LineNetwork) -> FoundFields:
    """What the network's lines bound, with the job's corrections; known regions keep names.

    Raises JobError where there are no lines.
    """
    return propose_fields(network, job.lines, job.fields, known=job.regions)


def set_field(job: Job, found: FoundFields, name: str, *, metal: bool) -> Job:
    """The job with a field taken as metal, or as open."""
    field = _named(found, name)
    choice = FieldChoice(
        what="metal" if metal else "open",
        lines=field.spec.boundary,
        at=field.at,
        bare=not field.spec.inner,
    )
    return _with(job, choice, instead=("metal", "open"))


def name_field(job: Job, found: FoundFields, name: str, new: str) -> Job:
    """The job with a field called otherwise; JobError for a name that cannot be."""
    field, new = _named(found, name), new.strip()
    if not new or len(new) > LONGEST_NAME:
        raise JobError(f"A name must have from 1 to {LONGEST_NAME} letters.", "Type a word or two.")
    if new != name and new in {f.spec.name for f in found.regions}:
        raise JobError(f"There is a '{new}' already.", "Type another name.")
    choice = FieldChoice(
        what="name", lines=field.spec.boundary, at=field.at, bare=not field.spec.inner, name=new
    )
    return _with(job, choice, instead=("name",))


def join_fields(job: Job, found: FoundFields, one: str, other: str) -> Job:
    """The job with two neighbours as one smooth region; JobError if they share no line."""
    _named(found, other)
    shared = [(line, at) for line, at, beyond in _named(found, one).shared if beyond == other]
    if not shared:
        raise JobError(f"'{one}' and '{other}' share no line.", "Choose a neighbour.")
    joins = [FieldChoice(what="join", lines=(line,), at=at) for line, at in shared]
    return job.model_copy(update={"fields": (*job.fields, *joins)})


def part_field(job: Job, network: LineNetwork, line: str) -> Job:
    """The job with the skin divided along a line, whatever was joined across it."""
    _known(network, line)
    kept = [c for c in job.fields if not (c.what in ("join", "part") and c.lines == (line,))]
    choice = FieldChoice(what="part", lines=(line,))
    return job.model_copy(update={"fields": (*kept, choice)})


def leave_out_line(job: Job, network: LineNetwork, line: str) -> Job:
    """The job with a line that bounds nothing and lies on nothing."""
    _known(network, line)
    choice = FieldChoice(what="leave out", lines=(line,))
    return _with(job, choice, instead=("leave out",))


def taken_back(job: Job, number: int) -> Job:
    """The job without one of its corrections, counted from 0; JobError if there is none."""
    if not 0 <= number < len(job.fields):
        raise JobError("That correction is gone already.", "Reload the page and look again.")
    kept = (*job.fields[:number], *job.fields[number + 1 :])
    return job.model_copy(update={"fields": kept})


def take_fields(job: Job, found: FoundFields) -> Job:
    """The job with what was found as its regions; those that are as before stay untouched.

    Raises JobError where nothing was found to be metal.
    """
    metal = found.metal()
    if not metal:
        raise JobError(
            "Nothing was found that is metal.", "Trace a line on each region, or say which is."
        )
    before = {spec.name: spec for spec in job.regions}
    kept = [_unless_same(spec, before.get(spec.name)) for spec in metal]
    order = list(before)
    kept.sort(key=lambda spec: order.index(spec.name) if spec.name in before else len(order))
    return job.model_copy(update={"regions": tuple(kept)})


def orphaned_panels(job: Job) -> tuple[str, ...]:
    """Names of panels whose region the job does not have."""
    regions = {spec.name for spec in job.regions}
    return tuple(panel.name for panel in job.panels if panel.region not in regions)


def _unless_same(spec: RegionSpec, before: RegionSpec | None) -> RegionSpec:
    """The spec as it was, if it says the same of the same lines."""
    if before is None:
        return spec
    same = (
        sorted(before.boundary) == sorted(spec.boundary)
        and set(before.inner) == set(spec.inner)
        and set(before.holes) == set(spec.holes)
        and before.side == spec.side
        and {c.line for c in spec.creases} <= {c.line for c in before.creases}
    )
    return before if same else spec


def _named(found: FoundFields, name: str) -> FoundRegion:
    try:
        return found.region(name)
    except KeyError:
        names = ", ".join(f.spec.name for f in found.regions)
        raise JobError(f"Nothing here is called '{name}'.", f"There are: {names}.") from None


def _known(network: LineNetwork, line: str) -> None:
    names = [one.name for one in network.lines]
    if line not in names:
        raise JobError(f"There is no line '{line}'.", f"There are: {', '.join(names)}.")


def _with(job: Job, choice: FieldChoice, *, instead: Iterable[str]) -> Job:
    """The job with a choice in place of those of its kind about the same thing."""
    kinds = set(instead)
    kept = [c for c in job.fields if not (c.what in kinds and _same_field(c, choice))]
    return job.model_copy(update={"fields": (*kept, choice)})


def _same_field(one: FieldChoice, other: FieldChoice) -> bool:
    if set(one.lines) != set(other.lines) or one.bare != other.bare:
        return False
    return sum((a - b) ** 2 for a, b in zip(one.at, other.at, strict=True)) < 100.0**2
