"""A job's tapes held against its lines as they were worked out."""

from buckwright.lines.tape_check import check_tapes
from buckwright.lines.taping import tape_ground
from buckwright.model.job import Job, Reference
from buckwright.model.tapes import TapeCheck

__all__ = ["tape_check"]


def tape_check(job: Job, lines: Reference | None) -> TapeCheck:
    """All tapes of the job, worst first; an empty check without lines or tapes."""
    if lines is None or not job.tapes:
        return TapeCheck(rows=())
    return check_tapes(job.tapes, tape_ground(lines, job.lines, job.scale))
