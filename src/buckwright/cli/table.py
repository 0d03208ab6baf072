"""The command `table`: a table of offsets taken in as lines, beside pictures or without any."""

import argparse
from pathlib import Path

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.model.tabled import LineTable
from buckwright.store import JobFile
from buckwright.units import format_length, parse_length

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    told = commands.add_parser(
        "table", help="take in a table of offsets as lines, beside pictures or without any"
    )
    told.add_argument("job", type=Path, help="a file that ends in .buck")
    told.add_argument(
        "table", type=Path, nargs="?", help="CSV: line, station, half_breadth, height or x, y, z"
    )
    told.add_argument("--unit", default="", help="of columns that name none: mm, cm, m, in, ft")
    told.add_argument("--sigma", default="1 mm", help="how sure the figures are")
    told.add_argument("--wheelbase", default="", help="where no picture gives it")
    told.add_argument("--drop", metavar="NAME", help="leave this table out again")
    told.add_argument("--json", action="store_true", help="print one JSON object")
    told.set_defaults(run=_table)


def _table(args: argparse.Namespace) -> None:
    from buckwright.flow.scans import read_scan_file
    from buckwright.flow.tables import keep_table, without_table

    with JobFile.open(args.job) as file:
        if args.drop is not None:
            file.change(f"table '{args.drop}' left out", without_table(file.job(), args.drop))
        if args.table is None:
            _list(file, as_json=args.json)
            return
        lines = file.products(("lines",)).lines
        table = keep_table(
            file,
            None if lines is None else lines.reference,
            read_scan_file(args.table),
            args.table.name,
            sigma=parse_length(args.sigma),
            unit=args.unit,
            wheelbase=parse_length(args.wheelbase) if args.wheelbase else 0.0,
        )
    if args.json:
        say_json(_told(table) | {"findings": [one.model_dump() for one in table.findings]})
        return
    say(
        f"{table.name}: {len(table.lines)} lines taken in: "
        + ", ".join(line.name for line in table.lines),
        *finding_lines(table.findings),
        f"Next: buckwright solve {args.job}",
    )


def _list(file: JobFile, *, as_json: bool) -> None:
    tables = file.job().tables
    if as_json:
        say_json({"tables": [_told(table) for table in tables]})
        return
    say(
        *(
            f"{table.name}: {len(table.lines)} lines, good to "
            f"{format_length(table.sigma, system='mm')}"
            + (f", {len(table.findings)} rows or sizes to look at" if table.findings else "")
            for table in tables
        )
        if tables
        else ("The job has no tables of lines.",)
    )


def _told(table: LineTable) -> dict[str, object]:
    return {
        "table": table.name,
        "sha256": table.sha256,
        "sigma_mm": table.sigma,
        "wheelbase_mm": table.wheelbase,
        "lines": [{"name": line.name, "places": len(line.points)} for line in table.lines],
    }
