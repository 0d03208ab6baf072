"""What is done to the skin once it is spanned, in the order of the shop."""

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

from buckwright.errors import JobError
from buckwright.model.finding import Finding
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin
from buckwright.skin.beads import beads_beside, make_bead
from buckwright.skin.edge_strips import edge_strips
from buckwright.skin.louvres import make_louvres
from buckwright.skin.meetings import skin_meetings
from buckwright.skin.trimming import trim_skin

__all__ = ["treated_skin"]

Asked = TypeVar("Asked")
Made = TypeVar("Made")


def treated_skin(skin: Skin, job: Job, network: LineNetwork | None) -> Skin:
    """The skin trimmed, its edges turned and its beads pressed in, as the job asks.

    The lines in which regions meet are those before any trim. What cannot be done, as when a
    line has moved off its region, is left out and told.
    """
    doubts: list[Finding] = []
    skin = skin.model_copy(update={"meetings": skin_meetings(skin)})
    for trim in job.trims:
        try:
            skin = trim_skin(skin, trim, network)
        except JobError as error:
            doubts.append(_left_out("trim-not-done", trim.name, error))
    trimmed = skin
    strips = _each(
        job.edge_treatments,
        lambda one: edge_strips(trimmed, (one,)),
        lambda one, error: doubts.append(_left_out("edge-not-turned", one.edge.along, error)),
    )
    beads = _each(
        job.beads,
        lambda one: make_bead(trimmed, one),
        lambda one, error: doubts.append(_left_out("bead-not-made", one.name, error)),
    )
    louvres = _each(
        job.louvres,
        lambda one: make_louvres(trimmed, one),
        lambda one, error: doubts.append(_left_out("louvres-not-made", one.name, error)),
    )
    kept = {
        "strips": tuple(strips),
        "beads": beads_beside(tuple(beads)),
        "louvres": tuple(louvres),
    }
    return skin.model_copy(update={**kept, "findings": (*skin.findings, *doubts)})


def _each(
    asked: Iterable[Asked],
    make: Callable[[Asked], Iterable[Made]],
    refuse: Callable[[Asked, JobError], None],
) -> Iterator[Made]:
    for one in asked:
        try:
            made = tuple(make(one))
        except JobError as error:
            refuse(one, error)
        else:
            yield from made


def _left_out(code: str, where: str, error: JobError) -> Finding:
    return Finding(code=code, where=where, message=error.problem, remedy=error.remedy)
