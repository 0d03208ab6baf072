"""What departures do to the dimensions that people watch."""

from buckwright.lines.dimensions import Measured, dimension_table
from buckwright.lines.sides import mirror_names
from buckwright.model.job import Job, Reference
from buckwright.model.lines import Dimension

__all__ = ["watched_dimensions"]


def watched_dimensions(job: Job, reference: Reference) -> tuple[Dimension, ...]:
    """Wheelbase, dimensions over all and those of the job, before and after each departure.

    Raises JobError for a dimension that cannot be taken, or a departure that cannot be.
    """
    measured = Measured(
        reference=reference.reference,
        wheelbase=reference.placement.wheelbase,
        rear=() if job.datum is None else job.datum.rear_axle,
        mirrors=mirror_names(job.lines),
        body=tuple(spec.name for spec in job.lines if spec.use == "body"),
    )
    return dimension_table(measured, job.departures, job.dimensions)
