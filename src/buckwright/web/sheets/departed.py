"""What departures did, for the sheet of lines: dimensions, and families that were moved."""

from typing import Any

import numpy as np

from buckwright.errors import JobError
from buckwright.flow.departures import watched_dimensions
from buckwright.model.job import Job, Reference
from buckwright.web.words import rounded

__all__ = ["SHIFT_POINTS", "departure_rows"]

SHIFT_POINTS = 121
"""Places along a line, evenly in its parameter, at which its shift is told."""


def departure_rows(job: Job, reference: Reference) -> dict[str, Any]:
    """The table of dimensions, and for each line that a family took along how far, on the way."""
    try:
        dimensions = [one.model_dump() for one in watched_dimensions(job, reference)]
    except JobError as refusal:
        # A line may have been renamed since; the rest of the sheet stands all the same.
        return {"dimensions": [], "unmeasured": str(refusal), "shifts": _shifts(reference)}
    watched = [spec.name for spec in job.dimensions]
    return {"dimensions": dimensions, "watched": watched, "shifts": _shifts(reference)}


def _shifts(reference: Reference) -> dict[str, list[Any]]:
    if reference.moved is None:
        return {}
    shifts = {}
    for before, after in zip(reference.reference.lines, reference.moved.lines, strict=True):
        shift = after.points(SHIFT_POINTS) - before.points(SHIFT_POINTS)
        if np.abs(shift).max() > 1e-6:
            shifts[after.name] = rounded(shift, 4)
    return shifts
