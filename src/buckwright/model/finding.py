"""Doubts that leave an answer standing, and notes of what was decided on the way to it."""

import re
from collections.abc import Iterable, Sequence
from typing import Literal

from buckwright.model.fact import Fact

__all__ = [
    "Finding",
    "Place",
    "PlacedFinding",
    "alike",
    "doubts_of",
    "notes_of",
    "told_place",
    "who_else",
]

Place = tuple[float, float, float]
"""x, y, z, mm."""


class Finding(Fact):
    """A doubt or a note about an answer: printed on the sheet with what to do about it."""

    code: str
    """Short and stable, words joined by hyphens: `few-pictures`."""
    where: str
    """The named thing it is about: a line, a picture, a wire."""
    message: str
    """One sentence: what is in doubt, with its number."""
    remedy: str
    """One sentence: what to do."""
    kind: Literal["doubt", "note"] = "doubt"
    """A doubt may make the answer wrong; a note says what was decided, and holds either way."""


class PlacedFinding(Finding):
    """A finding with the place in space where it shows."""

    place: Place


def told_place(point: Iterable[float]) -> Place:
    """A point (3,) as it is told and kept: to a tenth of a millimetre."""
    x, y, z = (round(float(v), 1) for v in point)
    return x, y, z


def doubts_of(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Those that somebody must look into."""
    return tuple(finding for finding in findings if finding.kind == "doubt")


def notes_of(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Those that only say what was decided."""
    return tuple(finding for finding in findings if finding.kind == "note")


def alike(findings: Iterable[Finding]) -> tuple[tuple[Finding, ...], ...]:
    """Findings that say one sentence of several things, together; groups in the order of firsts.

    Two sentences are one where only their figures and the names in quotes differ.
    """
    groups: dict[tuple[str, ...], list[Finding]] = {}
    for finding in findings:
        key = (finding.code, finding.kind, _bare(finding.message), _bare(finding.remedy))
        groups.setdefault(key, []).append(finding)
    return tuple(tuple(group) for group in groups.values())


def who_else(group: Sequence[Finding]) -> tuple[str, ...]:
    """What else than the first finding's thing a group from `alike` is about, each once."""
    names = dict.fromkeys(finding.where for finding in group)
    return tuple(name for name in names if name != group[0].where)


_NAME_OR_FIGURE = re.compile(r"'[^']*'|[-+]?\d+(?:\.\d+)?")
_SEVERAL = re.compile(r"#(?:(?:, | and )#)+")


def _bare(sentence: str) -> str:
    """The sentence without its figures, and with any list of names as one name."""
    return _SEVERAL.sub("#", _NAME_OR_FIGURE.sub("#", sentence))
