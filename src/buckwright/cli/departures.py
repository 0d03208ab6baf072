"""The command `departures`: what was changed from the reference on purpose, and what it adds."""

import argparse
from pathlib import Path
from typing import Any

from buckwright.cli.report import say, say_json
from buckwright.errors import JobError
from buckwright.model.job import Job
from buckwright.model.lines import Dimension
from buckwright.store import JobFile
from buckwright.units import format_length

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    told = commands.add_parser(
        "departures",
        help="list what was changed from the reference, switch it on and off, see what it adds",
    )
    told.add_argument("job", type=Path, help="a file that ends in .buck")
    told.add_argument("--on", metavar="NAME", help="switch this departure on")
    told.add_argument("--off", metavar="NAME", help="switch this departure off")
    told.add_argument("--json", action="store_true", help="print one JSON object")
    told.set_defaults(run=_departures)


def _departures(args: argparse.Namespace) -> None:
    # Imported here, so that the parser stays light.
    from buckwright.flow.departures import watched_dimensions

    with JobFile.open(args.job) as file:
        job = file.job()
        for name, on in ((args.on, True), (args.off, False)):
            if name is not None:
                job = _switched(file, job, name, on=on)
        reference = file.products(("lines",)).lines
    dimensions = () if reference is None else watched_dimensions(job, reference)
    if args.json:
        say_json(_told(job, dimensions))
        return
    say(*_lines(job, dimensions))
    if reference is None:
        say("", f"What they add is known once the lines are: buckwright solve {args.job}")


def _switched(file: JobFile, job: Job, name: str, *, on: bool) -> Job:
    if name not in [departure.name for departure in job.departures]:
        known = ", ".join(f"'{one.name}'" for one in job.departures) or "none"
        raise JobError(f"There is no departure '{name}'.", f"The job has: {known}.")
    departures = tuple(
        one.model_copy(update={"on": on}) if one.name == name else one for one in job.departures
    )
    job = job.model_copy(update={"departures": departures})
    file.change(f"departure '{name}' switched {'on' if on else 'off'}", job)
    return job


def _lines(job: Job, dimensions: tuple[Dimension, ...]) -> list[str]:
    lines = [
        f"{number}. {one.name}{'' if one.on else ' (off)'}: {one.change()}; because: {one.reason}"
        for number, one in enumerate(job.departures, start=1)
    ] or ["Nothing departs from the reference."]
    if dimensions:
        lines += ["", f"{'':28s}{'reference':>14s}{'departure':>14s}{'now':>14s}"]
    for one in dimensions:
        name = f"{one.name} ({one.code})" if one.code else one.name
        figures = (one.reference, one.now - one.reference, one.now)
        words = [format_length(figure, system="mm") for figure in figures]
        lines.append(f"{name:28s}" + "".join(f"{word:>14s}" for word in words))
    return lines


def _told(job: Job, dimensions: tuple[Dimension, ...]) -> dict[str, Any]:
    return {
        "departures": [one.model_dump() | {"change": one.change()} for one in job.departures],
        "dimensions": [one.model_dump() for one in dimensions],
    }
