"""Commands on a job file: new, open, solve, packet, export, import, survey, history, undo, redo.

What takes long to load (solvers, the server) is imported by the command that needs it, so that
`history` or `undo` answer at once.
"""

import argparse
from collections.abc import Mapping
from datetime import date
from pathlib import Path

from buckwright.cli.report import finding_lines, progress_bar, say, say_findings, say_json
from buckwright.cli.summary import summary_json, summary_lines
from buckwright.errors import JobError
from buckwright.files.surveys import read_survey
from buckwright.model.job import Job
from buckwright.store import JobFile, back_up, export_job, import_job, other_copies

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's commands to the parser."""
    _add_new(commands)
    for name, words, run in (
        ("open", "show the job in the browser", _open),
        ("solve", "work out whatever is missing or stale", _solve),
        ("packet", "write the bundle for the shop floor", _packet),
        ("export", "write the job as a folder of readable files", _export),
        ("survey", "hold measured points against the skin", _survey),
        ("history", "list every edit", _history),
        ("undo", "take back the last edit", _undo),
        ("redo", "make the last undone edit again", _redo),
    ):
        parser = commands.add_parser(name, help=words, description=words.capitalize() + ".")
        parser.add_argument("job", type=Path, help="a file that ends in .buck")
        parser.set_defaults(run=run)
        if name != "open":
            parser.add_argument("--json", action="store_true", help="print one JSON object")
        if name == "open":
            parser.add_argument("--port", type=int, default=0, help="default: a free one")
            parser.add_argument("--no-browser", action="store_true", help="only print the address")
            parser.add_argument("--lan", action="store_true", help="let tablets in the shop look")
        if name == "solve":
            parser.add_argument("--anew", action="store_true", help="also what is not stale")
        if name in ("packet", "export"):
            parser.add_argument("folder", type=Path, help="a new or empty folder")
        if name == "packet":
            parser.add_argument("--paper", choices=["A4", "A3", "Letter"], default="A4")
            parser.add_argument(
                "--changes", action="store_true", help="only wires that are new or bent again"
            )
            parser.add_argument("--stage", type=int, help="with --changes: only of this stage")
        if name == "survey":
            parser.add_argument("points", type=Path, help="a CSV file; see docs/guide")
    parser = commands.add_parser(
        "import", help="make a job file from an exported folder", description="The way back."
    )
    parser.add_argument("folder", type=Path)
    parser.add_argument("job", type=Path, help="the file to make, ending in .buck")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=_import)


def _add_new(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    parser = commands.add_parser("new", help="make a job file", description="Make a job file.")
    parser.add_argument("job", type=Path, help="the file to make, ending in .buck")
    parser.add_argument("--name", help="what the vehicle is called")
    parser.add_argument(
        "--from",
        dest="folder",
        type=Path,
        help="a folder with job.json, mat.json, traces.json, ...",
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=_new)


def _new(args: argparse.Namespace) -> None:
    from buckwright.files.jobfolder import read_job_folder

    job, originals = Job(name=args.name or args.job.stem.capitalize()), dict[str, bytes]()
    if args.folder is not None:
        job, originals = read_job_folder(args.folder)
        job = job.model_copy(update={"name": args.name}) if args.name else job
    with JobFile.create(args.job, job) as file:
        for data in originals.values():
            file.add_blob(data)
    _answer(
        args,
        {"job": str(args.job), "pictures": len(job.pictures), "lines": len(job.lines)},
        f"{args.job} is ready. Next: buckwright solve {args.job}",
    )


def _open(args: argparse.Namespace) -> None:
    from buckwright.web import serve

    with JobFile.open(args.job) as file:
        _warn_of_copies(file)
        back_up(file, today=date.today())  # noqa: DTZ011 - the shop's own calendar day
    serve(args.job, port=args.port, open_browser=not args.no_browser, lan=args.lan)


def _solve(args: argparse.Namespace) -> None:
    from buckwright.flow import solve_file

    with progress_bar(quiet=args.json) as bar:
        products = solve_file(args.job, anew=args.anew, progress=bar)
    with JobFile.open(args.job) as file:
        job = file.job()
        if args.json:
            say_json(summary_json(job, products))
            return
        _warn_of_copies(file)
    say(f"{job.name}, revision {job.revision}", *summary_lines(job, products))
    say_findings(job, products)
    say("", f"Next: buckwright packet {args.job} FOLDER, or buckwright open {args.job}")


def _packet(args: argparse.Namespace) -> None:
    from buckwright.flow import issue_packet
    from buckwright.flow.change_packet import issue_change

    if args.stage is not None and not args.changes:
        raise JobError("--stage belongs to the packet of a change.", "Give --changes too.")
    with JobFile.open(args.job) as file:
        if args.changes:
            written = issue_change(file, args.folder, stage=args.stage, paper=args.paper)
        else:
            written = issue_packet(file, args.folder, paper=args.paper)
    _answer(
        args,
        {"folder": str(args.folder), "files": [str(path) for path in written]},
        f"{len(written)} files are in {args.folder}. Begin with cover.pdf.",
    )


def _export(args: argparse.Namespace) -> None:
    with JobFile.open(args.job) as file:
        export_job(file, args.folder)
    _answer(args, {"folder": str(args.folder)}, f"The job is in {args.folder}.")


def _import(args: argparse.Namespace) -> None:
    with import_job(args.folder, args.job) as file:
        name = file.job().name
    _answer(args, {"job": str(args.job)}, f"{name} is back as {args.job}.")


def _survey(args: argparse.Namespace) -> None:
    from buckwright.flow import solve_file

    survey = read_survey(args.points)
    with JobFile.open(args.job) as file:
        job = file.job()
        kept = tuple(s for s in job.surveys if s.name != survey.name)
        file.change(f"survey of {survey.name}", job.model_copy(update={"surveys": (*kept, survey)}))
    with progress_bar(quiet=args.json) as bar:
        products = solve_file(args.job, progress=bar)
    for check in products.checks:
        if check.survey != survey.name:
            continue
        if args.json:
            say_json(check.model_dump(mode="json", exclude={"seated", "distance", "sigma"}))
            return
        say(f"{survey.name}: {len(check.spots)} spots beyond {check.tolerance} mm")
        say(*(f"  {spot.words} (give or take {spot.doubt:.1f} mm)" for spot in check.spots))
        say(*finding_lines(check.findings))


def _history(args: argparse.Namespace) -> None:
    with JobFile.open(args.job) as file:
        log = file.history()
    lines = [f"{o.id:>4}  {o.made}  {o.kind:<4}  {o.description}" for o in log]
    content = {"operations": [operation.model_dump(mode="json") for operation in log]}
    _answer(args, content, *(lines or ["No edits yet."]))


def _undo(args: argparse.Namespace) -> None:
    with JobFile.open(args.job) as file:
        done = file.undo()
    _answer(args, {"undone": done}, f"Taken back: {done}" if done else "Nothing to take back.")


def _redo(args: argparse.Namespace) -> None:
    with JobFile.open(args.job) as file:
        done = file.redo()
    _answer(args, {"redone": done}, f"Made again: {done}" if done else "Nothing to make again.")


def _warn_of_copies(file: JobFile) -> None:
    for copy in other_copies(file):
        say(f"Note: {copy.name} beside it holds the same job. Keep one, and move the other away.")


def _answer(args: argparse.Namespace, content: Mapping[str, object], *lines: str) -> None:
    if args.json:
        say_json(content)
    else:
        say(*lines)
