"""The command `seams`: where a region's seams should go."""

import argparse
import signal
import sys
from pathlib import Path
from threading import Event
from types import FrameType

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.model.seams import SeamOption, SeamStudy, ShopReach
from buckwright.units import parse_length

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    parser = commands.add_parser(
        "seams",
        help="propose where the seams of a region should go",
        description="Propose seams: along lines first, then straight over the skin. Ctrl-C stops "
        "the search and shows the best so far.",
    )
    parser.add_argument("job", type=Path, help="a file that ends in .buck")
    parser.add_argument("region", help="a region of the skin, as 'front wing'")
    shop = ShopReach()
    parser.add_argument("--throat", default=f"{shop.throat:g} mm", help="reach in from an edge")
    parser.add_argument("--longest", default=f"{shop.longest:g} mm", help="longest panel to hold")
    parser.add_argument("--pieces", type=int, default=shop.most_pieces, help="pieces at most")
    parser.add_argument("--accept", metavar="OPTION", help="make this option (or 'best') the job's")
    parser.add_argument("--workers", type=int, help="processes; default: one for each core")
    parser.add_argument("-o", "--out", type=Path, help="a folder for the trade-off as PDF and SVG")
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.set_defaults(run=_seams)


def _seams(args: argparse.Namespace) -> None:
    from buckwright.flow.seams import accept_seams, study_seams

    reach = ShopReach(
        throat=parse_length(args.throat),
        longest=parse_length(args.longest),
        most_pieces=args.pieces,
    )
    stop = Event()
    before = signal.signal(signal.SIGINT, lambda number, frame: _stop(stop, number, frame))
    try:
        study = study_seams(
            args.job,
            args.region,
            reach=reach,
            workers=args.workers,
            progress=(lambda share: None) if args.json else _tell,
            stopped=stop.is_set,
        )
    finally:
        signal.signal(signal.SIGINT, before)
    if args.out is not None:
        _write(args.out, study)
    taken = study.chosen if args.accept == "best" else args.accept
    if taken is not None:
        accept_seams(args.job, study, taken)
    if args.json:
        say_json({**study.model_dump(mode="json"), "accepted": taken})
        return
    say(*_lines(study))
    say(*finding_lines(study.findings))
    if taken is not None:
        say("", f"Option {taken} is the job's now. Next: buckwright solve {args.job}")


def _stop(stop: Event, _number: int, _frame: FrameType | None) -> None:
    stop.set()


def _tell(share: float) -> None:
    print(f"seams {100.0 * share:3.0f} %", file=sys.stderr, flush=True)


def _lines(study: SeamStudy) -> list[str]:
    lines = [f"{study.region}: {len(study.options)} options, {study.tried} pieces laid flat"]
    for option in study.options:
        mark = "*" if option.name == study.chosen else " "
        lines += [f"{mark} {option.name}  {option.words}", *_detail(option)]
    return [*lines, "", f"Take {study.chosen}. {study.why}"]


def _detail(option: SeamOption) -> list[str]:
    return [
        *(f"      {seam.name}, {seam.length:.0f} mm: {seam.why}" for seam in option.seams),
        *(
            f"      {piece.name}: {piece.size[0]:.0f} x {piece.size[1]:.0f} mm flat"
            for piece in option.pieces
        ),
    ]


def _write(out: Path, study: SeamStudy) -> None:
    from buckwright.drawings.tradeoff import tradeoff_sheet
    from buckwright.files.pdf import roll_pdf
    from buckwright.files.svg import svg_text
    from buckwright.files.writing import empty_folder, write_atomically

    folder, sheet = empty_folder(out), tradeoff_sheet(study)
    write_atomically(folder / "seams.pdf", roll_pdf((sheet,), title=sheet.title))
    write_atomically(folder / "seams.svg", svg_text(sheet))
