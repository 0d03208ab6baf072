"""Edits of what counts as crown and as a dip."""

from collections.abc import Callable

from buckwright.errors import JobError
from buckwright.model.crowns import CrownLimits
from buckwright.model.job import Job
from buckwright.web.typed import Edited, Typed, chosen, in_words, typed_length

__all__ = ["SKIN_EDITS"]

RANGES: dict[str, tuple[str, float, float]] = {
    "flat": ("the radius of flat metal", 1.0, 1e6),
    "low": ("the radius where low crown ends", 1.0, 1e6),
    "medium": ("the radius where medium crown ends", 1.0, 1e6),
    "least_dip": ("the depth of a dip", 0.05, 10.0),
    "widest_dip": ("the width of a dip", 50.0, 1000.0),
}
"""What each limit is called, and the mm it may be."""


def _set_limit(job: Job, typed: Typed) -> Edited:
    name = chosen(typed, "name", tuple(RANGES))
    words, low, high = RANGES[name]
    length = typed_length(typed, words, low, high)
    limits = {**job.crowns.model_dump(), name: length}
    if not limits["flat"] > limits["low"] > limits["medium"]:
        raise JobError(
            "The radii must fall from flat over low to medium crown.",
            f"Now they would be {in_words(limits['flat'])}, {in_words(limits['low'])} and "
            f"{in_words(limits['medium'])}; type another.",
        )
    changed = job.model_copy(update={"crowns": CrownLimits(**limits)})
    return changed, f"{words} is now {in_words(length)}"


SKIN_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {"crown limit": _set_limit}
"""By the name that the page sends."""
