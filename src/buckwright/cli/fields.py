"""The command `fields`: what the lines bound, corrected by hand, made the job's regions."""

import argparse
from pathlib import Path

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.errors import JobError
from buckwright.model.fields import FoundFields
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    parser = commands.add_parser(
        "fields",
        help="find the regions and open fields that the lines bound",
        description="Find what the lines bound: smooth regions with all their lines, and open "
        "fields. Corrections are kept in the job; --take makes the regions the job's own.",
    )
    parser.add_argument("job", type=Path, help="a file that ends in .buck")
    parser.add_argument("--open", action="append", default=[], metavar="FIELD", help="no metal")
    parser.add_argument("--metal", action="append", default=[], metavar="FIELD", help="metal")
    parser.add_argument(
        "--join", action="append", default=[], nargs=2, metavar="FIELD", help="two made one"
    )
    parser.add_argument(
        "--part", action="append", default=[], metavar="LINE", help="divided along a line"
    )
    parser.add_argument(
        "--leave-out", action="append", default=[], metavar="LINE", help="a line not looked at"
    )
    parser.add_argument(
        "--name", action="append", default=[], nargs=2, metavar="NAME", help="old and new name"
    )
    parser.add_argument("--anew", action="store_true", help="forget the corrections kept so far")
    parser.add_argument("--take", action="store_true", help="make the regions the job's own")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=_fields)


def _fields(args: argparse.Namespace) -> None:
    from buckwright.flow.fields import found_fields, orphaned_panels, take_fields
    from buckwright.store import JobFile

    with JobFile.open(args.job) as file:
        before, reference = file.job(), file.products(("lines",)).lines
        if reference is None:
            raise JobError("The job has no fair lines yet.", "Work them out: buckwright solve.")
        job = _corrected(before, reference.network, args)
        found = found_fields(job, reference.network)
        if args.take:
            job = take_fields(job, found)
        if job.fields != before.fields or job.regions != before.regions:
            file.change("regions found from the lines" if args.take else "fields corrected", job)
    lost = orphaned_panels(job) if args.take else ()
    if args.json:
        told = found.model_dump(mode="json")
        say_json({**told, "taken": args.take, "panels_without_region": list(lost)})
        return
    say(*_lines(found))
    say(*finding_lines(found.findings))
    if lost:
        say(f"  ! Panels whose region is gone: {', '.join(lost)}. Drop them or name the region so.")
    if args.take:
        say("", f"The regions are the job's now. Next: buckwright solve {args.job}")
    else:
        say("", "To make these the job's regions: --take")


def _corrected(job: Job, network: LineNetwork, args: argparse.Namespace) -> Job:
    """The job with what was typed, lines first: fields are named as they are without them."""
    from buckwright.flow.fields import (
        found_fields,
        join_fields,
        leave_out_line,
        name_field,
        part_field,
        set_field,
    )

    if args.anew:
        job = job.model_copy(update={"fields": ()})
    for line in args.leave_out:
        job = leave_out_line(job, network, line)
    for line in args.part:
        job = part_field(job, network, line)
    for one, other in args.join:
        job = join_fields(job, found_fields(job, network), one, other)
    for names, metal in ((args.open, False), (args.metal, True)):
        for name in names:
            job = set_field(job, found_fields(job, network), name, metal=metal)
    for name, new in args.name:
        job = name_field(job, found_fields(job, network), name, new)
    return job


def _lines(found: FoundFields) -> list[str]:
    regions = [f for f in found.regions if f.metal]
    opened = [f for f in found.regions if not f.metal]
    lines = [f"{_count(len(regions), 'region')}, {_count(len(opened), 'open field')}"]
    for field in (*regions, *opened):
        spec = field.spec
        side = ", left and mirrored" if spec.side == "left" else ""
        lines.append(f"  {spec.name}{side}: {', '.join(spec.boundary)}")
        for words, names in (("on it", spec.inner), ("holes", spec.holes)):
            if names:
                lines.append(f"      {words}: {', '.join(names)}")
        lines.append(f"      {field.why}")
    return lines


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
