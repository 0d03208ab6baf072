"""How answers reach the terminal: lines for people, or one JSON object."""

import json
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, TextIO

from tqdm import tqdm

from buckwright.flow import findings_of
from buckwright.model.finding import Finding
from buckwright.model.job import STEPS, Products

__all__ = ["finding_lines", "progress_bar", "say", "say_findings", "say_json"]


def say(*lines: str) -> None:
    """Print lines for people."""
    print("\n".join(lines))


def say_json(content: Mapping[str, Any]) -> None:
    """Print one JSON object."""
    print(json.dumps(content, ensure_ascii=False, indent=1))


def finding_lines(findings: tuple[Finding, ...]) -> list[str]:
    """One line for each doubt: where, what, what to do."""
    return [f"  ! {f.where}: {f.message} {f.remedy}" for f in findings]


def say_findings(products: Products, *, most: int = 6) -> None:
    """The doubts that remain, the first few of them."""
    found = [finding for _, finding in findings_of(products)]
    if found:
        say("", f"{len(found)} doubt{'s' if len(found) > 1 else ''}:")
        say(*finding_lines(tuple(found[:most])))
        if len(found) > most:
            say(f"  ... and {len(found) - most} more on the page and the cover sheet.")


class _Bar:
    """A bar over all steps: each step is one unit."""

    def __init__(self, bar: Any) -> None:
        self.bar = bar

    def __call__(self, step: str, share: float) -> None:
        if not self.bar.disable:
            self.bar.set_description(f"{step:<9}")
            self.bar.n = STEPS.index(step) + share
            self.bar.refresh()


@contextmanager
def progress_bar(*, quiet: bool, stream: TextIO = sys.stderr) -> Iterator[_Bar]:
    """A progress bar over the steps on a terminal; nothing when `quiet`."""
    form = "{desc} {percentage:3.0f} % |{bar}| {elapsed}"
    with tqdm(total=len(STEPS), bar_format=form, file=stream, disable=quiet) as bar:
        yield _Bar(bar)
        if not quiet:
            bar.n = len(STEPS)
            bar.set_description("done     ")
