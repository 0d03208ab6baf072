"""Lines moved by hand without working the whole job out: laid once, pulled at once."""

from buckwright.errors import JobError
from buckwright.flow.scale import scale_in_force
from buckwright.lines import Felt, Lofted, feel_line, finish_reference, lay_reference
from buckwright.model.job import Job, Products, Reference

__all__ = ["feel", "lay_lines", "pull_lines"]


def lay_lines(job: Job, products: Products) -> Lofted:
    """The job's lines, fair, before hand and departures: some seconds of work.

    Raises JobError where the job has no measured lines yet, or they cannot be placed.
    """
    calibration = products.calibration
    seen = calibration is not None and job.datum is not None and bool(products.measured)
    if not seen and not job.tables:
        raise JobError(
            "The lines of this job were not worked out from its pictures, so there is no batten "
            "to pull.",
            "Work out the pictures and the lines first.",
        )
    scale, scale_sigma = scale_in_force(job, calibration)
    return lay_reference(
        products.measured,
        job.lines,
        job.datum,
        scale=scale,
        scale_sigma=scale_sigma,
        holds=job.holds,
        marks=products.points,
        tables=job.tables,
    )


def pull_lines(job: Job, lofted: Lofted) -> Reference:
    """The answer of the lines step with the job's pins, from lines that are laid: milliseconds.

    The same as the whole step gives. Raises JobError for a pin or a departure that cannot be.
    """
    return finish_reference(lofted, job.departures, job.pins, job.battens)


def feel(job: Job, lofted: Lofted, name: str) -> Felt:
    """One line in the hand; KeyError if there is none of that name."""
    return feel_line(lofted.laid, name, job.pins, job.battens)
