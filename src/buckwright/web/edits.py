"""Decisions that can be changed on the page: each takes the job and what was typed.

Each gives back the new job and a description for the history. Lengths come as they were typed;
`units` reads them, so the page and the command line understand the same.
"""

from collections.abc import Callable

from buckwright.errors import JobError
from buckwright.model.job import Job
from buckwright.units import format_length, parse_length
from buckwright.web.buck_choices import CHOICE_EDITS
from buckwright.web.buck_edits import BUCK_EDITS, BUILDING_EDITS
from buckwright.web.crease_edits import CREASE_EDITS
from buckwright.web.departure_edits import DEPARTURE_EDITS, DIMENSION_EDITS
from buckwright.web.desk import View
from buckwright.web.field_edits import FIELD_EDITS
from buckwright.web.gauge_edits import GAUGE_EDITS
from buckwright.web.hold_edits import HOLD_EDITS
from buckwright.web.line_edits import LINE_EDITS, PIN_EDITS
from buckwright.web.offset_edits import OFFSET_EDITS
from buckwright.web.opening_edits import OPENING_EDITS
from buckwright.web.panel_edits import PANEL_EDITS, SEAM_EDITS
from buckwright.web.people_edits import PEOPLE_EDITS, STRETCH_EDITS
from buckwright.web.picture_edits import CARD_EDITS, PICTURE_EDITS
from buckwright.web.piece_edits import PIECE_EDITS
from buckwright.web.scan_answers import SCAN_EDITS
from buckwright.web.skin_edits import SKIN_EDITS
from buckwright.web.stock_edits import STOCK_EDITS
from buckwright.web.table_answers import TABLE_EDITS
from buckwright.web.tape_edits import SCALE_EDITS, TAPE_EDITS
from buckwright.web.treatment_edits import TREATMENT_EDITS
from buckwright.web.typed import Edited, Typed
from buckwright.web.view_edits import SINGLE_VIEW_EDITS

__all__ = ["EDITS", "VIEW_EDITS", "edit_job"]

LONGEST_REVISION = 8


def edit_job(view: View, typed: Typed) -> Edited:
    """The job after the edit named in `typed['what']`, and its description.

    Raises JobError where what was typed cannot be, ValueError for an edit that does not exist.
    """
    what = str(typed.get("what"))
    if what in VIEW_EDITS:
        return VIEW_EDITS[what](view, typed)
    if what not in EDITS:
        message = "there is no such edit"
        raise ValueError(message)
    return EDITS[what](view.job, typed)


def _set_tolerance(job: Job, typed: Typed) -> Edited:
    tolerance = parse_length(str(typed.get("length", "")))
    if not 0.0 < tolerance <= 100.0:
        raise JobError(
            "A tolerance must be more than nothing and at most 100 mm.",
            "Type what the eye and the filler allow, like 1.5 mm.",
        )
    words = f"tolerance of checking is now {format_length(tolerance, system='mm')}"
    return job.model_copy(update={"check_tolerance": tolerance}), words


def _set_revision(job: Job, typed: Typed) -> Edited:
    revision = str(typed.get("text", "")).strip().upper()
    if not (revision.isascii() and revision.isalnum() and len(revision) <= LONGEST_REVISION):
        raise JobError(
            "A revision is a letter or a short mark without spaces.", "Type it like B or C2."
        )
    return job.model_copy(update={"revision": revision}), f"revision is now {revision}"


EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "tolerance": _set_tolerance,
    "revision": _set_revision,
    **BUCK_EDITS,
    **CHOICE_EDITS,
    **CREASE_EDITS,
    **DIMENSION_EDITS,
    **GAUGE_EDITS,
    **HOLD_EDITS,
    **LINE_EDITS,
    **OPENING_EDITS,
    **PANEL_EDITS,
    **PEOPLE_EDITS,
    **PICTURE_EDITS,
    **PIECE_EDITS,
    **SCAN_EDITS,
    **SINGLE_VIEW_EDITS,
    **SKIN_EDITS,
    **STOCK_EDITS,
    **TABLE_EDITS,
    **TAPE_EDITS,
}
"""By the name that the page sends."""

VIEW_EDITS: dict[str, Callable[[View, Typed], Edited]] = {
    **BUILDING_EDITS,
    **CARD_EDITS,
    **FIELD_EDITS,
    **DEPARTURE_EDITS,
    **PIN_EDITS,
    **OFFSET_EDITS,
    **SEAM_EDITS,
    **STRETCH_EDITS,
    **TREATMENT_EDITS,
    **SCALE_EDITS,
}
"""Edits that need what was worked out beside the job itself."""
