"""The commands `offsets` and `views`: the table of offsets out and in, and where views disagree."""

import argparse
from pathlib import Path

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.errors import JobError
from buckwright.model.job import Job, Reference
from buckwright.model.offsets import Disagreement
from buckwright.store import JobFile
from buckwright.units import format_length, parse_length

__all__ = ["add_commands", "lines_of"]

SHOWN = 12


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's commands to the parser."""
    told = commands.add_parser(
        "offsets", help="the table of offsets of a job, as CSV; read a table that was changed"
    )
    told.add_argument("job", type=Path, help="a file that ends in .buck")
    told.add_argument("--csv", action="store_true", help="print the table as CSV")
    told.add_argument("--every", default="200 mm", help="from station to station")
    told.add_argument("--unit", choices=["mm", "in"], default="mm", help="of the CSV")
    told.add_argument(
        "--read", type=Path, metavar="FILE", help="hold the lines to the figures of this CSV"
    )
    told.add_argument("--reason", default="", help="why, kept with each figure that is held")
    told.add_argument("--json", action="store_true", help="print one JSON object")
    told.set_defaults(run=_offsets)
    seen = commands.add_parser(
        "views", help="where side elevation, plan, sections and both sides disagree, worst first"
    )
    seen.add_argument("job", type=Path, help="a file that ends in .buck")
    seen.add_argument("--csv", action="store_true", help="print all of them as CSV")
    seen.add_argument("--json", action="store_true", help="print one JSON object")
    seen.set_defaults(run=_views)


def _offsets(args: argparse.Namespace) -> None:
    from buckwright.files.offset_tables import offset_table_csv
    from buckwright.lines.offsets import even_stations, table_of_offsets

    every = parse_length(args.every)
    if not 5.0 <= every <= 5000.0:
        raise JobError(f"Stations every {every:g} mm make no table.", "Give 5 mm to 5 m.")
    with JobFile.open(args.job) as file:
        job, reference = file.job(), lines_of(file, args.job)
        if args.read is not None:
            _read(args, file, job, reference)
            return
    network = reference.network
    table = table_of_offsets(network, even_stations(network, every))
    if args.csv:
        print(offset_table_csv(table, unit=args.unit), end="")
    elif args.json:
        say_json({"offsets": [one.model_dump() for one in table]})
    else:
        say(f"{'line':28s}{'station':>12s}{'half-breadth':>16s}{'height':>12s}")
        for one in table:
            figures = (one.station, one.half_breadth, one.height)
            a, b, c = (format_length(figure, system="mm") for figure in figures)
            say(f"{one.line:28s}{a:>12s}{b:>16s}{c:>12s}")


def _read(args: argparse.Namespace, file: JobFile, job: Job, reference: Reference) -> None:
    from buckwright.files.offset_tables import read_offsets
    from buckwright.lines.offsets import hold_offsets

    rows, unread = read_offsets(args.read)
    held = hold_offsets(
        rows,
        reference.network,
        job.departures,
        job.pins,
        reason=args.reason or f"table of offsets {args.read.name}",
    )
    if held.held:
        words = f"{held.held} figures of the table of offsets held"
        file.change(words, job.model_copy(update={"pins": held.pins}))
    findings = (*unread, *held.findings)
    if args.json:
        told = {"held": held.held, "same": held.same, "rows": len(rows) + len(unread)}
        say_json({**told, "findings": [one.model_dump() for one in findings]})
        return
    say(f"{held.held} figures are held now; {held.same} were so already.")
    say(*finding_lines(findings))
    if held.held:
        say(f"The lines follow with: buckwright solve {args.job}")


def _views(args: argparse.Namespace) -> None:
    from buckwright.files.offset_tables import views_csv
    from buckwright.lines.agreement import view_agreement

    with JobFile.open(args.job) as file:
        found = view_agreement(lines_of(file, args.job), file.job().lines)
    if args.csv:
        print(views_csv(found), end="")
    elif args.json:
        say_json({"views": [one.model_dump() | {"point": list(one.point)} for one in found]})
    elif not found:
        say("No two views say anything of the same place.")
    else:
        far = sum(one.unlikely for one in found)
        say(f"{len(found)} places are seen in two views; at {far} measuring does not explain it.")
        say(*(_told(one) for one in found[:SHOWN]))


def _told(one: Disagreement) -> str:
    first, second = (format_length(value, system="mm") for value in one.says)
    mark = "!" if one.unlikely else " "
    station = format_length(float(one.point[0]), system="mm")
    return (
        f"{mark} '{one.line}' at station {station}: {one.quantity} by its {one.views[0]} {first}, "
        f"by '{one.other}' ({one.views[1]}) {second}; {one.by:.1f} mm apart in all"
    )


def lines_of(file: JobFile, path: Path) -> Reference:
    """The job's lines; JobError if they have not been worked out."""
    reference = file.products(("lines",)).lines
    if reference is None:
        raise JobError("The lines have not been worked out.", f"First: buckwright solve {path}")
    return reference
