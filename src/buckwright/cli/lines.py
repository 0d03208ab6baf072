"""The command `lines`: how fair each line is, and what it is told to keep."""

import argparse
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.errors import JobError
from buckwright.model.holds import EndTangent, LineHold
from buckwright.model.job import Job, Products, Reference, step_digests
from buckwright.model.lines import Line
from buckwright.store import JobFile

__all__ = ["add_commands"]

WHY = ("band-left", "runs-off")
"""Findings that say where a line could not do what it was asked."""


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    told = commands.add_parser(
        "lines",
        help="list the lines with their fairness; say what a line is to keep",
        description="Places along a line are in per cent of its length.",
    )
    told.add_argument("job", type=Path, help="a file that ends in .buck")
    told.add_argument("--line", metavar="NAME", help="only this line, and the one to change")
    told.add_argument(
        "--straight", nargs=2, metavar=("FROM", "TO"), help="exactly straight from here to there"
    )
    told.add_argument("--corner", metavar="AT", help="the direction may break here")
    for end in ("first", "last"):
        told.add_argument(
            f"--{end}",
            metavar="WAY",
            help=f"how its {end} end runs: square, on:LINE, X,Y,Z or free",
        )
    told.add_argument(
        "--tolerance", metavar="LENGTH", help="how far it may lie from its points, or 'measured'"
    )
    told.add_argument(
        "--weight", nargs=3, metavar=("FROM", "TO", "TIMES"), help="how much its points count"
    )
    told.add_argument(
        "--pin", nargs=4, metavar=("AT", "X", "Y", "Z"), help="pass here, in mm; '-' is free"
    )
    told.add_argument("--batten", metavar="NAME", help="limber, ordinary, stiff or very stiff")
    told.add_argument(
        "--drop",
        nargs=2,
        metavar=("WHAT", "NUMBER"),
        help="take away a straight, corner, weight or pin, as numbered in the list",
    )
    told.add_argument("--json", action="store_true", help="print one JSON object")
    told.set_defaults(run=_lines)


def _lines(args: argparse.Namespace) -> None:
    with JobFile.open(args.job) as file:
        job, changes = file.job(), list[tuple[Job, str]]()
        for typed in _typed(args, job):
            changes.append(_changed(job, typed))
            job = changes[-1][0]
        # What cannot be is found out before anything is changed.
        reference = _worked_out(file, job) if changes else file.products(("lines",)).lines
        for changed, words in changes:
            file.change(words, changed)
        if changes and reference is not None:
            digests = {"lines": step_digests(job)["lines"]}
            file.keep_products(Products(lines=reference), digests)
        done = [words for _, words in changes]
    if args.line is not None and args.line not in {spec.name for spec in job.lines}:
        raise JobError(f"There is no line '{args.line}'.", "Give the name as the job has it.")
    rows = (
        []
        if reference is None
        else [_row(job, reference, line) for line in reference.network.lines]
    )
    rows = [row for row in rows if args.line in (None, row["name"])]
    if args.json:
        say_json({"done": done, "lines": rows})
        return
    say(*(f"{words}." for words in done))
    if reference is None:
        say(f"The lines are not worked out yet: buckwright solve {args.job}")
        return
    say(*_table(rows))
    named = {row["name"] for row in rows}
    say(*finding_lines(tuple(f for f in reference.network.findings
                             if f.code in WHY and f.where in named)))  # fmt: skip


def _typed(args: argparse.Namespace, job: Job) -> Iterator[dict[str, Any]]:
    """What was asked, as the page would send it."""
    asked = {name: getattr(args, name) for name in _EDITS if getattr(args, name) is not None}
    if asked and args.line is None:
        raise JobError("It is not said which line is to be changed.", "Name it with --line.")
    for name, value in asked.items():
        yield {"line": args.line, **_EDITS[name](value, job, args.line)}


def _changed(job: Job, typed: Mapping[str, Any]) -> tuple[Job, str]:
    from buckwright.web.hold_edits import HOLD_EDITS
    from buckwright.web.line_edits import LINE_EDITS

    return (HOLD_EDITS | LINE_EDITS)[typed["what"]](job, dict(typed))


def _worked_out(file: JobFile, job: Job) -> Reference | None:
    """The lines with the change; None where nothing was measured yet."""
    from buckwright.flow.loft import lay_lines, pull_lines

    products = file.products(("pictures", "lines"))
    if file.step_states().get("pictures") != "done" or not products.measured:
        return None
    return pull_lines(job, lay_lines(job, products))


def _way(end: str, text: str) -> dict[str, Any]:
    typed: dict[str, Any] = {"what": "keep tangent", "end": end}
    if text in ("free", "square"):
        return {**typed, "way": text}
    if text.startswith("on:"):
        return {**typed, "way": "line", "other": text.removeprefix("on:")}
    return {**typed, "way": "direction", "direction": text.replace(",", " ")}


def _pin(value: list[str], job: Job, line: str) -> dict[str, Any]:
    try:
        share = float(value[0].rstrip("%")) / 100.0
        point = [None if text == "-" else float(text) for text in value[1:]]
    except ValueError:
        raise JobError(
            f"'{' '.join(value)}' is not a pin.", "Give per cent, then x y z in mm; '-' is free."
        ) from None
    return {"what": "pull line", "share": share, "point": point, "by": 0.0, "pin": None}


def _drop(value: list[str], job: Job, line: str) -> dict[str, Any]:
    kind, number = value[0], int(value[1]) - 1 if value[1].isdigit() else -1
    if kind == "pin":
        own = [place for place, pin in enumerate(job.pins) if pin.line == line]
        return {"what": "drop pin", "pin": own[number] if 0 <= number < len(own) else -1}
    if kind not in ("straight", "corner", "weight"):
        raise JobError(
            f"A line keeps no '{kind}'.", "Take away a straight, a corner, a weight or a pin."
        )
    return {"what": "keep no more", "kind": kind, "number": number}


_EDITS: dict[str, Any] = {
    "drop": _drop,
    "straight": lambda v, job, line: {"what": "keep straight", "from": v[0], "to": v[1]},
    "corner": lambda v, job, line: {"what": "keep corner", "at": v},
    "first": lambda v, job, line: _way("first", v),
    "last": lambda v, job, line: _way("last", v),
    "tolerance": lambda v, job, line: {
        "what": "keep tolerance",
        "length": "" if v == "measured" else v,
    },
    "weight": lambda v, job, line: {
        "what": "keep weight",
        "from": v[0],
        "to": v[1],
        "times": v[2],
    },
    "batten": lambda v, job, line: {"what": "batten", "batten": v},
    "pin": _pin,
}


def _row(job: Job, reference: Reference, line: Line) -> dict[str, Any]:
    from buckwright.geometry.spline import curve_length
    from buckwright.lines.hold_choices import told_hold

    fair = reference.unpulled or reference.reference
    laid = fair.line(line.name)
    hold = told_hold(job.holds, job.lines, line.name)
    return {
        "name": line.name,
        "length": curve_length(line.curve()),
        "extrema": line.curvature_extrema,
        "deviation": laid.moved_most,
        "tolerance": laid.tolerance,
        "beyond": laid.beyond,
        "beyond_at": laid.beyond_at,
        "keeps": _kept(hold),
        "pins": sum(pin.line == line.name for pin in job.pins),
    }


def _kept(hold: LineHold) -> list[str]:
    told = [
        f"straight {number}: {100 * run.start:g} to {100 * run.end:g} %"
        for number, run in enumerate(hold.straights, start=1)
    ]
    told += [f"corner {n}: {100 * at:g} %" for n, at in enumerate(hold.corners, start=1)]
    told += [f"{tangent.end} end {_ways(tangent)}" for tangent in hold.tangents]
    told += [
        f"weight {number}: {100 * one.start:g} to {100 * one.end:g} % count {one.times:g} times"
        for number, one in enumerate(hold.weights, start=1)
    ]
    return told if hold.tolerance is None else [*told, f"tolerance typed: {hold.tolerance:g} mm"]


def _ways(tangent: EndTangent) -> str:
    if tangent.way == "square":
        return "square to the centre plane"
    if tangent.way == "line":
        return f"on from '{tangent.line}'"
    return "along " + ", ".join(f"{part:g}" for part in tangent.direction or ())


def _table(rows: list[dict[str, Any]]) -> list[str]:
    head = ("line", "length", "curvature peaks", "farthest from its points", "tolerance", "beyond")
    lines = [f"{head[0]:24s}{head[1]:>10s}{head[2]:>17s}{head[3]:>26s}{head[4]:>12s}{head[5]:>9s}"]
    for row in rows:
        lines.append(
            f"{row['name']:24s}{row['length']:10.0f}{row['extrema']:17d}{row['deviation']:26.1f}"
            f"{row['tolerance']:12.1f}{row['beyond']:9.1f}"
        )
        lines += [f"    {words}" for words in row["keeps"]]
    return [*lines, "Lengths in mm; 'beyond' is how far a point lies outside the tolerance."]
