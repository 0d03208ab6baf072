"""`buckwright demo`: the whole job on the example, with its errors against the known truth."""

import argparse
from pathlib import Path
from time import perf_counter

from buckwright.cli.report import progress_bar, say, say_findings, say_json
from buckwright.cli.summary import summary_json, summary_lines
from buckwright.cli.truth import errors_against_truth, truth_lines
from buckwright.errors import FileError
from buckwright.files.writing import empty_folder
from buckwright.store import JobFile

__all__ = ["add_commands"]

_SOURCE = Path(__file__).parents[3] / "examples" / "wren"


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    demo = commands.add_parser("demo", help="the whole job on the example, in under three minutes")
    demo.add_argument("--from", dest="source", type=Path, default=_SOURCE, help="example's folder")
    demo.add_argument("--out", type=Path, default=Path("demo"), help="default: demo")
    demo.add_argument("--json", action="store_true", help="print one JSON object")
    demo.set_defaults(run=_demo)


def _demo(args: argparse.Namespace) -> None:
    from buckwright.flow import issue_packet, solve_file

    if not (args.source / "job.json").exists():
        raise FileError(
            f"The example is not at {args.source}.",
            "Run this in a checkout of buckwright, or name the folder with --from.",
        )
    began = perf_counter()
    path = _job_file(args.source, args.out)
    with progress_bar(quiet=args.json) as bar:
        products = solve_file(path, anew=True, progress=bar)
        with JobFile.open(path) as file:
            job = file.job()
            folder = empty_folder(args.out / "packet")
            written = issue_packet(file, folder, progress=lambda share: bar("drawings", share))
    seconds = perf_counter() - began
    truth = errors_against_truth(args.source, products)
    if args.json:
        content = summary_json(job, products)
        packet = [str(path) for path in written]
        say_json({**content, "truth": truth, "packet": packet, "seconds": seconds})
        return
    say("", f"{job.name}, revision {job.revision}, solved in {seconds:.0f} s")
    say(*summary_lines(job, products))
    say("", "Against the known truth of the example:", *truth_lines(truth))
    say_findings(job, products, most=3)
    say(
        "",
        f"The packet: {folder} ({len(written)} files; begin with {folder / 'cover.pdf'})",
        f"The page:   .venv/bin/buckwright open {path}",
    )


def _job_file(source: Path, out: Path) -> Path:
    """A job file with the example in it; one that is there keeps its history."""
    from buckwright.files.jobfolder import read_job_folder

    job, originals = read_job_folder(source)
    path = out / "wren.buck"
    out.mkdir(parents=True, exist_ok=True)
    if path.exists():
        file = JobFile.open(path)
        file.change("begin the demo again", job)
    else:
        file = JobFile.create(path, job)
    with file:
        for data in originals.values():
            file.add_blob(data)
    return path
