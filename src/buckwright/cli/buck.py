"""The command `wires`: what they are cut to, which stand, and what a change asks of them."""

import argparse
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

from buckwright.cli.report import say, say_json
from buckwright.errors import JobError
from buckwright.model.buck import Buck, Wire, WireChange
from buckwright.model.job import Job
from buckwright.store import JobFile

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    parser = commands.add_parser(
        "wires",
        help="list the wires of the buck, mark those that are built, see what a change asks",
        description="List the wires; mark built ones; say what a change asks of what stands.",
    )
    parser.add_argument("job", type=Path, help="a file that ends in .buck")
    parser.add_argument(
        "--built",
        metavar="NAMES",
        help="these stand as drawn: names with commas between, 'stage 1', or 'all'",
    )
    parser.add_argument("--not-built", metavar="NAMES", help="these do not stand after all")
    parser.add_argument("--day", metavar="YYYY-MM-DD", help="when they were built; default: today")
    parser.add_argument(
        "--changes", action="store_true", help="only what stands and must change, and what is new"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=_wires)


def _wires(args: argparse.Namespace) -> None:
    with JobFile.open(args.job) as file:
        buck = file.products(("buck",)).buck
        if buck is None:
            raise JobError(
                "The buck is not worked out yet.", f"Work it out: buckwright solve {args.job}"
            )
        stale = file.step_states()["buck"] != "done"
        job = file.job()
        for names, on in ((args.built, True), (args.not_built, False)):
            if names is not None:
                job = _marked(file, job, buck, names, on=on, day=args.day)
    changes = _changes(job, buck)
    if args.json:
        say_json(_told(job, buck, changes, stale=stale))
        return
    say(*(_change_lines(job, changes) if args.changes else _lines(job, buck, changes)))
    if stale and args.built is None and args.not_built is None:
        say("", f"The job has changed since. Next: buckwright solve {args.job}")


def _marked(file: JobFile, job: Job, buck: Buck, text: str, *, on: bool, day: str | None) -> Job:
    from buckwright.buck import mark_built, unmark_built

    if on:
        names = _named(text, [(wire.name, wire.stage) for wire in buck.wires])
        today = date.today().isoformat()  # noqa: DTZ011 - the shop's own calendar day
        new = mark_built(job, buck, names, day or today)
    else:
        stages = {wire.name: wire.stage for wire in buck.wires}
        names = _named(text, [(one.name, stages.get(one.name, 0)) for one in job.built])
        new = unmark_built(job, names)
    told = f"'{names[0]}'" if len(names) == 1 else f"{len(names)} wires"
    file.change(f"{told} {'built' if on else 'not built after all'}", new)
    return file.job()


def _named(text: str, known: Sequence[tuple[str, int]]) -> tuple[str, ...]:
    """Names as typed, or those of a stage, or all of them."""
    word, _, number = text.strip().partition(" ")
    if text.strip() == "all":
        names = [name for name, _ in known]
    elif word == "stage" and number.isdigit():
        names = [name for name, stage in known if stage == int(number)]
    else:
        names = [part.strip() for part in text.split(",") if part.strip()]
    if not names:
        raise JobError(f"'{text}' names no wire.", "Name wires with commas between, or say 'all'.")
    return tuple(names)


def _changes(job: Job, buck: Buck) -> tuple[WireChange, ...]:
    """What stands, held against the wires as they were worked out last."""
    from buckwright.buck import changes_of

    if job.buck is None or not job.built:
        return ()
    return changes_of(job.built, buck.wires, tolerance=job.buck.built_tolerance)


def _lines(job: Job, buck: Buck, changes: Sequence[WireChange]) -> list[str]:
    by_wire = {change.wire: change for change in changes}
    width = max(len(wire.name) for wire in buck.wires)
    built = sum(bool(change.built_as) and change.verdict != "goes" for change in changes)
    rod = sum(wire.cut_length for wire in buck.wires) / 1000.0
    lines = [f"{job.name}, revision {job.revision}: {len(buck.wires)} wires, {rod:.1f} m of rod, "
             f"{built} built"]  # fmt: skip
    for wire in buck.wires:
        state = _state(by_wire.get(wire.name))
        lines.append(
            f"  {wire.name:<{width}}  {wire.cut_length:8.1f} mm  {_way(wire):<8}  "
            f"layer {wire.layer}  stage {wire.stage}  {state}"
        )
    return [*lines, *(f"  {c.wire}: goes. {c.words}" for c in changes if c.verdict == "goes")]


def _way(wire: Wire) -> str:
    if wire.bending is not None:
        return wire.bending.way
    return "sprung" if wire.sprung else "bent"


def _state(change: WireChange | None) -> str:
    if change is None or change.verdict == "new":
        return "to make"
    return "built" if change.verdict == "right" else f"built: {change.verdict}"


def _change_lines(job: Job, changes: Sequence[WireChange]) -> list[str]:
    if not changes:
        return ["Nothing is marked as built yet, so there is nothing to change."]
    right = sum(change.verdict == "right" for change in changes)
    wanted = [change for change in changes if change.verdict != "right"]
    lines = [
        f"{job.name}, revision {job.revision}: {right} of {len(changes)} wires are still right"
    ]
    return lines + [f"  {change.wire}: {change.verdict}. {change.words}" for change in wanted]


def _told(job: Job, buck: Buck, changes: Sequence[WireChange], *, stale: bool) -> dict[str, Any]:
    by_wire = {change.wire: change for change in changes}
    return {
        "job": job.name,
        "revision": job.revision,
        "stale": stale,
        "wires": [
            {
                **wire.model_dump(
                    mode="json", include={"name", "line", "side", "layer", "stage", "closed"}
                ),
                "length_mm": wire.length,
                "cut_length_mm": wire.cut_length,
                "way": _way(wire),
                "mass_kg": wire.mass,
                "state": _state(by_wire.get(wire.name)),
            }
            for wire in buck.wires
        ],
        "built": [
            one.model_dump(mode="json", include={"name", "revision", "day"}) for one in job.built
        ],
        "changes": [change.model_dump(mode="json") for change in changes],
        "to_make": [
            wire.name
            for wire in buck.wires
            if not by_wire or by_wire[wire.name].verdict in ("new", "bend again")
        ],
    }
