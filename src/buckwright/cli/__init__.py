"""The command line: a thin edge; every command prints lines for people, or JSON on request.

Exit code 0; 1 when the job or the input has no answer (one sentence on stderr); 2 for a
command that was typed wrongly.
"""

import argparse
import os
import sys
from collections.abc import Sequence

from buckwright import __version__
from buckwright.errors import BuckwrightError

__all__ = ["main", "parser"]


def parser() -> argparse.ArgumentParser:
    """The parser of all commands."""
    # Imported here, so that importing this package stays light.
    from buckwright.cli import (
        bars,
        buck,
        crowns,
        demo,
        departures,
        fields,
        gauges,
        handed,
        jobs,
        lines,
        measure,
        offsets,
        openings,
        scan,
        seams,
        sections,
        shape,
        table,
        tape,
        treatments,
        view,
    )

    top = argparse.ArgumentParser(
        prog="buckwright",
        description="From pictures of a scale model to the packet on the shop floor.",
    )
    top.add_argument("--version", action="version", version=f"buckwright {__version__}")
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")
    steps = (
        demo,
        jobs,
        buck,
        departures,
        lines,
        offsets,
        sections,
        measure,
        bars,
        shape,
        table,
        tape,
        gauges,
        scan,
        seams,
        fields,
        openings,
        handed,
        crowns,
        view,
        treatments,
    )
    for module in steps:
        module.add_commands(commands)
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; its exit code."""
    # Work goes on side by side in processes; threads below them would only fight for the cores.
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(name, "1")
    args = parser().parse_args(arguments)
    try:
        args.run(args)
    except BuckwrightError as error:
        print(error, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("Stopped. What was finished before is kept.", file=sys.stderr)
        return 1
    return 0
