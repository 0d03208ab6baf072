"""Tables of offsets taken into a job, as lines of their own beside or in place of pictures."""

from collections.abc import Sequence
from typing import Protocol

import numpy as np

from buckwright.errors import JobError
from buckwright.files.line_tables import read_line_table
from buckwright.lines.tabled import TabledLines, lines_of_rows
from buckwright.model.finding import Finding
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork, LineSpec, PlacedLine
from buckwright.model.tabled import LineTable

__all__ = ["TableKeeper", "keep_table", "without_table"]

SIGMAS = (0.01, 50.0)
"""mm: least and most that figures of a table may be sure to."""
BODY = (300.0, 20_000.0)
"""mm: what is shorter or longer in full size is hardly the lines of a body."""
WHEELBASES = (300.0, 8_000.0)
UNITS = {25.4: "in inches", 10.0: "in cm", 1000.0: "in metres", 304.8: "in feet"}
ALIKE = 0.05
"""Share of a ratio of units that a size may be off."""


class TableKeeper(Protocol):
    """An open job that keeps originals, as `buckwright.store.JobFile` is."""

    def job(self) -> Job:
        """The job as it stands now."""

    def add_blob(self, data: bytes) -> str:
        """Keep these bytes; their SHA-256."""

    def change(self, description: str, job: Job, *, who: str = "") -> int:
        """Replace the job in one transaction that can be undone."""


def keep_table(
    store: TableKeeper,
    network: LineNetwork | None,
    data: bytes,
    name: str,
    *,
    sigma: float,
    unit: str = "",
    wheelbase: float = 0.0,
) -> LineTable:
    """The table taken into the job as lines; the store keeps its bytes.

    `network`: the lines that are there already, against which its unit is held. An older table of
    the same name is replaced. Nothing is kept of one that is refused: FileError for what is no
    table, JobError for one that gives no line or is plainly in another unit.
    """
    if not SIGMAS[0] <= sigma <= SIGMAS[1]:
        raise JobError(
            f"Figures of a table cannot be sure to {sigma:g} mm.", "Give 0.01 mm to 50 mm."
        )
    if wheelbase and not WHEELBASES[0] <= wheelbase <= WHEELBASES[1]:
        raise JobError(
            f"A wheelbase of {wheelbase:g} mm cannot be.", "Give it at full size, 0.3 m to 8 m."
        )
    read = read_line_table(data, name, unit=unit)
    found = lines_of_rows(read.rows, sigma=sigma, half=read.half)
    if not found.lines:
        first = (*found.findings, *read.findings)[0]
        raise JobError(f"{name} gives no line: {first.message}", first.remedy)
    if network is not None:
        _refuse_unit(name, found.lines, network)
    findings = (*read.findings, *found.findings, *_size_doubt(name, found.lines))
    table = LineTable(
        name=name,
        sha256=store.add_blob(data),
        sigma=sigma,
        lines=found.lines,
        wheelbase=wheelbase,
        findings=findings,
    )
    job = store.job()
    if any(one.name == name for one in job.tables):
        job = without_table(job, name)
    job = job.model_copy(
        update={"tables": (*job.tables, table), "lines": _with_specs(job.lines, found)}
    )
    store.change(f"table '{name}' taken in with {len(found.lines)} lines", job)
    return table


def without_table(job: Job, name: str) -> Job:
    """The job without that table and the lines that nothing else gives; JobError if none."""
    kept = tuple(table for table in job.tables if table.name != name)
    if len(kept) == len(job.tables):
        known = ", ".join(f"'{table.name}'" for table in job.tables) or "none"
        raise JobError(f"There is no table '{name}'.", f"The job has: {known}.")
    gone = {line.name for table in job.tables for line in table.lines}
    gone -= {line.name for table in kept for line in table.lines}
    gone -= {trace.line for trace in job.traces}
    if job.datum is not None:
        gone -= {*job.datum.front_axle, *job.datum.rear_axle, *job.datum.forward_of}
    lines = tuple(spec for spec in job.lines if spec.name not in gone)
    return job.model_copy(update={"tables": kept, "lines": lines})


def _with_specs(specs: Sequence[LineSpec], found: TabledLines) -> tuple[LineSpec, ...]:
    """The job's lines and those that are new; what was decided of a line stands."""
    known = {spec.name for spec in specs}
    return (*specs, *(spec for spec in found.specs if spec.name not in known))


def _size(lines: Sequence[PlacedLine]) -> float:
    return float(np.ptp(np.vstack([line.points for line in lines]), axis=0).max())


def _size_doubt(name: str, lines: Sequence[PlacedLine]) -> tuple[Finding, ...]:
    size = _size(lines)
    if BODY[0] <= size <= BODY[1]:
        return ()
    return (
        Finding(
            code="size-of-table",
            where=name,
            message=f"The lines of {name} reach over {size:.0f} mm only."
            if size < BODY[0]
            else f"The lines of {name} reach over {size / 1000.0:.1f} m.",
            remedy="Look whether its unit is right, and whether it is at full size.",
        ),
    )


def _refuse_unit(name: str, lines: Sequence[PlacedLine], network: LineNetwork) -> None:
    """JobError where lines that are there already are larger by a ratio of units."""
    known = {line.name: line for line in network.lines}
    ratios = [
        float(
            np.ptp(known[line.name].points(200), axis=0).max() / np.ptp(line.points, axis=0).max()
        )
        for line in lines
        if line.name in known
    ]
    if not ratios:
        return
    ratio = float(np.median(ratios))
    for factor, words in UNITS.items():
        if abs(ratio / factor - 1.0) < ALIKE or abs(ratio * factor - 1.0) < ALIKE:
            said = words if ratio > 1.0 else "in mm, read " + words
            raise JobError(
                f"The lines of {name} are {1.0 / ratio:.3g} times as long as those of that name "
                f"that are there: its figures seem to be {said}.",
                "Say the unit of the table.",
            )
