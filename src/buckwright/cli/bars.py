"""The command `bar`: what was measured on the mat, which puts all pictures to scale."""

import argparse
from pathlib import Path

from buckwright.cli.report import say, say_json
from buckwright.errors import JobError
from buckwright.model.job import Job
from buckwright.model.mats import bar_words, between_cards, mark_words
from buckwright.model.pictures import Bar, Mat
from buckwright.store import JobFile
from buckwright.units import parse_length

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    told = commands.add_parser("bar", help="a length measured between two cards of the mat")
    told.add_argument("job", type=Path, help="a file that ends in .buck")
    told.add_argument(
        "--between",
        nargs=2,
        metavar="CARD,COLUMN,ROW",
        help="the two marks, where four squares meet: 1,1,1 is the first, top left, of card 1",
    )
    told.add_argument("--size", help="what was read, like 3140.5 mm")
    told.add_argument("--sigma", default="0.5 mm", help="how far off it may be; default 0.5 mm")
    told.add_argument("--drop", type=int, metavar="NUMBER", help="take this one off again")
    told.add_argument("--json", action="store_true", help="print one JSON object")
    told.set_defaults(run=_bar)


def _bar(args: argparse.Namespace) -> None:
    with JobFile.open(args.job) as file:
        job = file.job()
        changed = _changed(args, job, file)
        if changed is not None:
            file.change(changed[1], job.model_copy(update={"mat": changed[0]}))
        mat = file.job().mat
    if mat is None:
        raise JobError("The job has no mat.", "Choose the mat on the page, or begin with one.")
    if args.json:
        say_json({"bars": [bar.model_dump(mode="json") for bar in mat.bars]})
        return
    say(*_lines(mat))
    if changed is not None:
        say(f"The rest follows with: buckwright solve {args.job}")


def _changed(args: argparse.Namespace, job: Job, file: JobFile) -> tuple[Mat, str] | None:
    from buckwright.flow.cardbars import keep_card_bar, take_card_bar_off

    if args.drop is not None:
        return take_card_bar_off(job.mat, args.drop), f"length {args.drop} between cards taken off"
    if args.between is None and args.size is None:
        return None
    if args.between is None or args.size is None:
        raise JobError("A length has two marks and a figure.", "Give --between and --size.")
    first, second = (_mark(text) for text in args.between)
    mm = parse_length(args.size)
    mat = keep_card_bar(
        job.mat,
        first,
        second,
        mm=mm,
        sigma=parse_length(args.sigma),
        solved=file.products(("pictures",)).calibration,
    )
    return mat, f"card {first[0]} to card {second[0]} measures {mm:.2f} mm"


def _mark(text: str) -> tuple[int, int, int]:
    parts = text.split(",")
    if len(parts) != 3 or not all(part.strip().isdigit() for part in parts):
        raise JobError(f"'{text}' is no mark of a card.", "Type card, column and row, like 5,1,1.")
    card, column, row = (int(part) for part in parts)
    return card, column, row


def _lines(mat: Mat) -> list[str]:
    lines = [
        f"  {number}: {_ends(mat, bar)}: {bar.mm:.2f} mm, to {bar.sigma or 0.05:g} mm"
        for number, bar in enumerate(between_cards(mat), start=1)
    ]
    printed = [bar for bar in mat.bars if bar not in between_cards(mat)]
    lines += [f"  {bar_words(mat, bar)}: {bar.mm:.2f} mm" for bar in printed]
    return lines or ["No bar of the mat is measured: the scale rests on the printer."]


def _ends(mat: Mat, bar: Bar) -> str:
    start = mark_words(mat, bar.start_card, bar.start)
    return f"{start} to {mark_words(mat, bar.end_card, bar.end)}"
