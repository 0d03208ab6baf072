"""The scale of the whole: the job's, as trusted tapes correct it."""

from buckwright.errors import JobError
from buckwright.lines.tape_check import scale_from_tapes
from buckwright.lines.taping import tape_ground
from buckwright.model.job import Job, Reference
from buckwright.model.pictures import Calibration

__all__ = ["scale_in_force", "with_tape_scale"]


def scale_in_force(job: Job, calibration: Calibration | None) -> tuple[float, float]:
    """Full-size over mat length, and its relative standard error."""
    if job.tape_scale is not None:
        return job.scale * job.tape_scale.factor, job.tape_scale.sigma
    return job.scale, 0.0 if calibration is None else calibration.scale_sigma


def with_tape_scale(job: Job, reference: Reference, names: tuple[str, ...]) -> Job:
    """The job with its scale corrected from the tapes of these names, or from all.

    `reference` is worked out with the scale that the job has now. Raises JobError where the lines
    come from tables, which are at full size already, or the tapes do not give a scale.
    """
    if not job.pictures:
        raise JobError(
            "The lines come from tables at full size, so tapes do not scale them.",
            "Look at the unit of the table, or mend its figures.",
        )
    known = {tape.name for tape in job.tapes}
    for name in names:
        if name not in known:
            raise JobError(f"There is no tape '{name}'.", "Name one of the job's tapes.")
    trusted = [tape for tape in job.tapes if not names or tape.name in names]
    ground = tape_ground(reference, job.lines, job.scale)
    scale = scale_from_tapes(trusted, ground, job.tape_scale)
    return job.model_copy(update={"tape_scale": scale})
