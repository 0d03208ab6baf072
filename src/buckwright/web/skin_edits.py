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


WIDEST_ROLL = 50.0
"""mm by which no region is moved to be rolled: it would be another shape."""


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


def _roll(job: Job, typed: Typed) -> Edited:
    """A region to be made exactly flat or singly curved within a length; empty leaves it."""
    name = str(typed.get("name", ""))
    if name not in [spec.name for spec in job.regions]:
        raise JobError(f"There is no region '{name}'.", "Reload the page and try again.")
    near = 0.0
    if str(typed.get("length", "")).strip():
        near = typed_length(typed, "how far it may move to be rolled", 0.0, WIDEST_ROLL)
    regions = tuple(
        spec.model_copy(update={"rolled": near}) if spec.name == name else spec
        for spec in job.regions
    )
    words = f"made exactly so within {in_words(near)}" if near else "left as it is spanned"
    return job.model_copy(update={"regions": regions}), f"region '{name}' is {words}"


SKIN_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "crown limit": _set_limit,
    "roll region": _roll,
}
"""By the name that the page sends."""
