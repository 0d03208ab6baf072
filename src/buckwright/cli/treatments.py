"""The command `treatments`: where skins meet, trims, turned edges, beads, louvres."""

import argparse
from pathlib import Path
from typing import Any

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.errors import JobError
from buckwright.model.finding import Finding
from buckwright.model.louvres import LouvreField
from buckwright.model.skin import Skin
from buckwright.model.treatments import Bead, EdgeStrip, TreatmentRow
from buckwright.store import JobFile
from buckwright.units import format_both, parse_length

__all__ = ["add_commands"]

CODES = ("trim-not-done", "edge-not-turned", "bead-not-made", "louvres-not-made")
NONE = "No skins meet, nothing is trimmed or turned, and there are no beads or louvres."


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    told = commands.add_parser(
        "treatments",
        help="where skins meet; trims, turned edges, beads, louvres; what the sheet says",
    )
    told.add_argument("job", type=Path, help="a file that ends in .buck")
    told.add_argument(
        "--meet",
        metavar="REGION",
        help="where that region, set off by --offset, meets the others as they are",
    )
    told.add_argument("--offset", default="0 mm", metavar="LENGTH", help="as --offset=-9mm")
    told.add_argument("-o", "--out", type=Path, help="a new or empty folder for the CSV tables")
    told.add_argument("--json", action="store_true", help="print one JSON object")
    told.set_defaults(run=_treatments)


def _treatments(args: argparse.Namespace) -> None:
    from buckwright.flow.treatment_rows import treatment_rows

    with JobFile.open(args.job) as file:
        job, skin = file.job(), file.products(("skin",)).skin
    if skin is None:
        raise JobError(
            "The skin is not worked out yet.", f"Work it out: buckwright solve {args.job}"
        )
    rows = treatment_rows(job, skin) if args.meet is None else _set_off(skin, args)
    if args.out is not None:
        _write(rows, args.out)
    doubts = _doubts(skin)
    if args.json:
        say_json({"treatments": [_told(row) for row in rows], "findings": _dumped(doubts)})
        return
    say(*(_line(row) for row in rows))
    if not rows:
        say(NONE if args.meet is None else "It meets nothing.")
    say(*finding_lines(doubts))


def _set_off(skin: Skin, args: argparse.Namespace) -> tuple[TreatmentRow, ...]:
    from buckwright.skin.meetings import set_off_meetings

    return tuple(
        TreatmentRow(
            what="meeting",
            name=one.name,
            region=", ".join(one.regions),
            length=one.length,
            closed=one.closed,
            words="a closed line" if one.closed else "an open line",
            line=one.points,
        )
        for one in set_off_meetings(skin, args.meet, parse_length(args.offset))
    )


def _doubts(skin: Skin) -> tuple[Finding, ...]:
    own = [f for f in skin.findings if f.code in CODES]
    parts: list[EdgeStrip | Bead | LouvreField] = [*skin.strips, *skin.beads, *skin.louvres]
    return (*own, *(f for part in parts for f in part.findings))


def _line(row: TreatmentRow) -> str:
    length = "" if row.length is None else f", {format_both(row.length)}"
    return f"{row.what} '{row.name}' ({row.region}){length}: {row.words}"


def _told(row: TreatmentRow) -> dict[str, Any]:
    told = row.model_dump(mode="json", exclude={"line", "length"})
    return {**told, "length_mm": row.length, "points": len(row.line)}


def _dumped(findings: tuple[Finding, ...]) -> list[dict[str, Any]]:
    return [finding.model_dump() for finding in findings]


def _write(rows: tuple[TreatmentRow, ...], out: Path) -> None:
    from buckwright.files.treatment_tables import treatment_lines_csv, treatments_csv
    from buckwright.files.writing import empty_folder, write_atomically

    folder = empty_folder(out)
    write_atomically(folder / "treatments.csv", treatments_csv(rows))
    write_atomically(folder / "treatment-lines.csv", treatment_lines_csv(rows))
