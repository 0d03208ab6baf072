"""The commands `section` and `between`: where a plane meets the lines, how far places lie apart."""

import argparse
from pathlib import Path

import numpy as np

from buckwright.cli.offsets import lines_of
from buckwright.cli.report import say, say_json
from buckwright.errors import JobError
from buckwright.store import JobFile
from buckwright.units import format_length, parse_length

__all__ = ["add_commands"]

AXES = ("station", "buttock", "level")


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's commands to the parser."""
    cut = commands.add_parser("section", help="where the lines pass through a plane")
    cut.add_argument("job", type=Path, help="a file that ends in .buck")
    plane = cut.add_mutually_exclusive_group(required=True)
    plane.add_argument("--station", metavar="LENGTH", help="behind the front axle")
    plane.add_argument("--buttock", metavar="LENGTH", help="to the right of the centre plane")
    plane.add_argument("--level", metavar="LENGTH", help="above the ground")
    plane.add_argument(
        "--through",
        nargs=2,
        metavar="X,Y",
        help="an upright plane through two points in plan, each as X,Y",
    )
    cut.add_argument("--json", action="store_true", help="print one JSON object")
    cut.set_defaults(run=_section)
    apart = commands.add_parser("between", help="how far two places on lines lie apart")
    apart.add_argument("job", type=Path, help="a file that ends in .buck")
    apart.add_argument("first", help="LINE@PERCENT, in per cent along the line")
    apart.add_argument("second", help="LINE@PERCENT")
    apart.add_argument("--json", action="store_true", help="print one JSON object")
    apart.set_defaults(run=_between)


def _section(args: argparse.Namespace) -> None:
    from buckwright.lines.measuring import plane_crossings

    origin, normal = _plane(args)
    with JobFile.open(args.job) as file:
        network = lines_of(file, args.job).network
    found = plane_crossings(network, origin=origin, normal=normal)
    if args.json:
        say_json({"crossings": [one.model_dump(mode="json") for one in found]})
        return
    if not found:
        say("No line passes through it.")
        return
    say(f"{'line':28s}{'station':>12s}{'half-breadth':>16s}{'height':>12s}")
    for one in found:
        x, y, z = (float(value) for value in one.point)
        a, b, c = (format_length(value, system="mm") for value in (x, abs(y), z))
        say(f"{one.line:28s}{a:>12s}{b:>16s}{c:>12s}")


def _plane(args: argparse.Namespace) -> tuple[np.ndarray, np.ndarray]:
    """Origin and normal (3,) of the plane that was asked for."""
    origin, normal = np.zeros(3), np.zeros(3)
    for axis, name in enumerate(AXES):
        if (text := getattr(args, name)) is not None:
            origin[axis], normal[axis] = parse_length(text), 1.0
            return origin, normal
    (x0, y0), (x1, y1) = (_pair(text) for text in args.through)
    if np.hypot(x1 - x0, y1 - y0) < 1.0:
        raise JobError(
            "Those two points lie at one place in plan.", "Give two that are farther apart."
        )
    return np.array([x0, y0, 0.0]), np.array([y0 - y1, x1 - x0, 0.0])


def _pair(text: str) -> tuple[float, float]:
    parts = text.split(",")
    if len(parts) != 2:
        raise JobError(f"'{text}' is no point in plan.", "Write it as X,Y, like 1200,-400.")
    return parse_length(parts[0]), parse_length(parts[1])


def _between(args: argparse.Namespace) -> None:
    from buckwright.lines.measuring import measure_between

    with JobFile.open(args.job) as file:
        network = lines_of(file, args.job).network
    names = {line.name for line in network.lines}
    first, second = (_place(text, names) for text in (args.first, args.second))
    got = measure_between(network, [first], [second])
    if args.json:
        say_json(got.model_dump(mode="json"))
        return
    x, y, z = (format_length(step, system="mm") for step in got.steps)
    say(f"{format_length(got.true, system='mm')} apart: {x} rearward, {y} to the right, {z} up")
    if got.along is not None:
        say(f"{format_length(got.along, system='mm')} along '{got.line}'")


def _place(text: str, names: set[str]) -> tuple[str, float]:
    name, _, share = text.rpartition("@")
    try:
        percent = float(share.replace(",", ".").removesuffix("%"))
    except ValueError:
        percent = -1.0
    if not 0.0 <= percent <= 100.0:
        raise JobError(f"'{text}' is no place on a line.", "Write it as LINE@50, from 0 to 100.")
    if name not in names:
        raise JobError(f"There is no line '{name}'.", "Write its name as the job has it.")
    return name, percent / 100.0
