"""What is done to the skin once it is spanned, in the order of the shop."""

from buckwright.model.job import Job
from buckwright.model.skin import Skin
from buckwright.skin.meetings import skin_meetings

__all__ = ["treated_skin"]


def treated_skin(skin: Skin, job: Job) -> Skin:
    """The skin with the lines in which its regions meet."""
    return skin.model_copy(update={"meetings": skin_meetings(skin)})
