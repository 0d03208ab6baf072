"""How answers reach the terminal: lines for people, or one JSON object."""

import json
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from time import monotonic
from typing import TYPE_CHECKING, Any, TextIO

from tqdm import tqdm

from buckwright.model.finding import Finding, alike, doubts_of, notes_of, who_else
from buckwright.model.job import STEPS, Job, Products

if TYPE_CHECKING:
    from buckwright.flow import Progress

__all__ = ["finding_lines", "progress_bar", "say", "say_findings", "say_json"]

_REDRAW = 0.1
"""Seconds between two drawings of the bar."""


def say(*lines: str) -> None:
    """Print lines for people."""
    print("\n".join(lines))


def say_json(content: Mapping[str, Any]) -> None:
    """Print one JSON object."""
    print(json.dumps(content, ensure_ascii=False, indent=1))


def finding_lines(findings: tuple[Finding, ...]) -> list[str]:
    """Where, what, what to do: a line for each doubt, then for each note; alike ones in one."""
    doubts = [f"  ! {_told(group)}" for group in alike(doubts_of(findings))]
    return doubts + [f"  - {_told(group)}" for group in alike(notes_of(findings))]


def _told(group: tuple[Finding, ...]) -> str:
    first, others = group[0], who_else(group)
    likewise = f" (likewise: {', '.join(others)})" if others else ""
    return f"{first.where}{likewise}: {first.message} {first.remedy}"


def say_findings(job: Job, products: Products, *, most: int = 6) -> None:
    """The doubts that remain, the first few of them, and how many notes there are besides."""
    from buckwright.flow import findings_of

    found = tuple(finding for _, finding in findings_of(products, job))
    doubts, notes = doubts_of(found), notes_of(found)
    lines = finding_lines(doubts)
    if lines:
        say("", f"{_count(len(doubts), 'doubt')}:", *lines[:most])
    if len(lines) > most:
        say(f"  ... and {len(lines) - most} more on the page and the cover sheet.")
    if notes:
        say(
            "",
            f"{_count(len(notes), 'note')} of what was decided, on the page and the cover sheet.",
        )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


class _Bar:
    """A bar over all steps, each step one unit."""

    def __init__(self, stream: TextIO) -> None:
        form = "{desc} {percentage:3.0f} % |{bar}| {elapsed}"
        self._bar = tqdm(total=len(STEPS), bar_format=form, file=stream, leave=True)
        self._drawn = 0.0

    def __call__(self, step: str, share: float) -> None:
        self._bar.set_description_str(f"{step:<9}", refresh=False)
        self._bar.n = STEPS.index(step) + share
        now = monotonic()
        if share in (0.0, 1.0) or now - self._drawn > _REDRAW:
            self._drawn = now
            self._bar.refresh()

    def close(self) -> None:
        self._bar.close()


class _Steps:
    """A line for each step that ends: for logs, where a bar would fill pages."""

    def __init__(self, stream: TextIO) -> None:
        self._stream, self._began, self._said = stream, monotonic(), ""

    def __call__(self, step: str, share: float) -> None:
        if share == 1.0 and step != self._said:
            self._said = step
            seconds = monotonic() - self._began
            print(f"{step:<9} done, {seconds:3.0f} s", file=self._stream, flush=True)

    def close(self) -> None:
        """Nothing to put away."""


@contextmanager
def progress_bar(*, quiet: bool, stream: TextIO | None = None) -> "Iterator[Progress]":
    """Progress over the steps: a bar on a terminal, lines in a log, nothing when `quiet`."""
    out = stream or sys.stderr
    if quiet:
        yield lambda step, share: None
        return
    bar = _Bar(out) if out.isatty() else _Steps(out)
    try:
        yield bar
    finally:
        bar.close()
