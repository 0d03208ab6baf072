"""The command `tape`: lengths measured with a tape, held against the lines."""

import argparse
from pathlib import Path

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.errors import JobError
from buckwright.model.job import Job, Reference
from buckwright.store import JobFile
from buckwright.units import parse_length

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    told = commands.add_parser(
        "tape", help="lengths measured with a tape, held against the lines; the scale from them"
    )
    told.add_argument("job", type=Path, help="a file that ends in .buck")
    told.add_argument(
        "--between",
        nargs=2,
        metavar=("A", "B"),
        help="straight between two places, like 'belt left: front' or 'belt left + rear edge'",
    )
    told.add_argument("--along", metavar="LINE", help="along a line: a girth")
    told.add_argument("--from-to", nargs=2, metavar=("A", "B"), help="places on that line")
    told.add_argument("--over", choices=["wheelbase", "length", "width", "height"])
    told.add_argument("--size", help="what the tape says, like 1660 mm or 5' 5 3/8\"")
    told.add_argument("--sigma", default="1 mm", help="how far off the reading may be")
    told.add_argument("--name", default="", help="what it is called")
    told.add_argument("--on-model", action="store_true", help="it was laid on the scale model")
    told.add_argument("--drop", metavar="NAME", help="leave this tape out")
    told.add_argument(
        "--use-for-scale", nargs="*", metavar="NAME", help="correct the scale from these, or all"
    )
    told.add_argument("--no-scale", action="store_true", help="give the corrected scale up")
    told.add_argument("--json", action="store_true", help="print one JSON object")
    told.set_defaults(run=_tape)


def _tape(args: argparse.Namespace) -> None:
    with JobFile.open(args.job) as file:
        for change in (_dropped, _added, _scaled):
            job = file.job()
            made = change(args, job, file)
            if made is not None:
                file.change(made[1], made[0])
        job, lines = file.job(), file.products(("lines",)).lines
        current = file.step_states().get("lines") == "done"
    _say(args, job, lines if current else None)


def _dropped(args: argparse.Namespace, job: Job, _: JobFile) -> tuple[Job, str] | None:
    from buckwright.lines.tape_choices import without_tape

    if args.drop is not None:
        tapes = without_tape(job.tapes, args.drop, job.tape_scale)
        return job.model_copy(update={"tapes": tapes}), f"tape '{args.drop}' left out"
    if args.no_scale:
        return job.model_copy(update={"tape_scale": None}), "the scale from tapes given up"
    return None


def _added(args: argparse.Namespace, job: Job, _: JobFile) -> tuple[Job, str] | None:
    from buckwright.lines.tape_choices import told_tape, with_tape

    laid = [one for one in (args.between and "between", args.along and "along", args.over) if one]
    if not laid and args.size is None:
        return None
    if len(laid) != 1 or args.size is None:
        raise JobError(
            "A tape has one way that it was laid, and its length.",
            "Give one of --between, --along or --over, and --size.",
        )
    tape = told_tape(
        laid[0],
        size=parse_length(args.size),
        sigma=parse_length(args.sigma),
        name=args.name,
        line=args.along or "",
        places=args.between or args.from_to or (),
        on_model=args.on_model,
    )
    tapes = with_tape(job.tapes, tape)
    return job.model_copy(update={"tapes": tapes}), f"tape '{tape.name}' says {args.size}"


def _scaled(args: argparse.Namespace, job: Job, file: JobFile) -> tuple[Job, str] | None:
    from buckwright.flow.scale import with_tape_scale

    if args.use_for_scale is None:
        return None
    lines = file.products(("lines",)).lines
    if lines is None or file.step_states().get("lines") != "done":
        raise JobError(
            "The lines have not been worked out as the job now stands.",
            f"Run 'buckwright solve {args.job}' first.",
        )
    job = with_tape_scale(job, lines, tuple(args.use_for_scale))
    assert job.tape_scale is not None
    return job, f"the scale corrected {job.tape_scale.factor:.5f} times from tapes"


def _say(args: argparse.Namespace, job: Job, lines: Reference | None) -> None:
    from buckwright.flow.tapes import tape_check

    check = tape_check(job, lines)
    if args.json:
        say_json(check.model_dump() | {"scale": job.tape_scale and job.tape_scale.model_dump()})
        return
    if job.tape_scale is not None:
        scale = job.tape_scale
        say(
            f"The lines are {scale.factor:.5f} times as large as the pictures say (known to "
            f"{100.0 * scale.sigma:.2f} %), from: {', '.join(scale.tapes)}"
            + (f"; contradicted: {', '.join(scale.left_out)}" if scale.left_out else "")
        )
    if not job.tapes:
        say("The job has no tapes.")
    elif lines is None:
        say(
            *(f"{tape.name}: {tape.size:.1f} mm on {tape.on}" for tape in job.tapes),
            f"They are held against the lines after: buckwright solve {args.job}",
        )
    else:
        say(f"{'tape':40s}{'says':>12s}{'lines':>12s}{'off':>10s}{'sigmas':>9s}")
        for row in check.rows:
            off = row.typed - row.lines
            say(f"{row.name:40s}{row.typed:12.1f}{row.lines:12.1f}{off:+10.1f}{row.sigmas:+9.1f}")
        say(*finding_lines(check.findings))
