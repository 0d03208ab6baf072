"""What is done to the skin once it is spanned, in the order of the shop."""

from buckwright.errors import JobError
from buckwright.model.finding import Finding
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin
from buckwright.skin.meetings import skin_meetings
from buckwright.skin.trimming import trim_skin

__all__ = ["treated_skin"]


def treated_skin(skin: Skin, job: Job, network: LineNetwork | None) -> Skin:
    """The skin with the lines in which its regions meet, and trimmed as the job asks.

    A trim that cannot be done, as when its line has moved off the region, is left out and told.
    """
    skin = skin.model_copy(update={"meetings": skin_meetings(skin)})
    for trim in job.trims:
        try:
            skin = trim_skin(skin, trim, network)
        except JobError as error:
            skin = _told(skin, "trim-not-done", trim.region, error)
    return skin


def _told(skin: Skin, code: str, where: str, error: JobError) -> Skin:
    doubt = Finding(code=code, where=where, message=error.problem, remedy=error.remedy)
    return skin.model_copy(update={"findings": (*skin.findings, doubt)})
