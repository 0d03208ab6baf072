"""What is known of laid lines before anybody pulls them: told once, and kept for the next pull."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from buckwright.lines.both_sides import Meeting, meetings_of
from buckwright.lines.doubts import (
    band_doubts,
    end_doubts,
    miss_doubts,
    self_doubts,
    side_doubts,
)
from buckwright.lines.fairing import line_of
from buckwright.lines.gaps import double_doubts, island_notes
from buckwright.lines.laying import Laid, LaidLine
from buckwright.lines.sides import MIRROR
from buckwright.model.finding import Finding
from buckwright.model.lines import Crossing, Line

__all__ = ["Standing", "crossings_at", "line_now", "standing"]

Array = NDArray[np.float64]

HARDLY = 0.01
"""mm: what fairing did to a line is told anew where the hand moves it farther than this."""


@dataclass(frozen=True, eq=False, slots=True)
class Standing:
    """The lines as laid, what is in doubt about them, and which lines share which node."""

    lines: tuple[Line, ...]
    doubts: tuple[Finding, ...]
    meetings: tuple[Meeting, ...]


@lru_cache(maxsize=2)
def standing(laid: Laid) -> Standing:
    """What is known of these laid lines."""
    sided = tuple(line.sided for line in laid.lines)
    drafts = tuple(line.draft for line in laid.lines)
    doubts = [*side_doubts(sided), *miss_doubts(laid.nodes, laid.misses, sided)]
    doubts += end_doubts(drafts, laid.nodes, sided)
    doubts += double_doubts(drafts, sided)
    doubts += island_notes(laid.nodes, sided)
    lines = tuple(_line(line, line.control) for line in laid.lines)
    for fair, line in zip(lines, laid.lines, strict=True):
        doubts += [*band_doubts(fair, line.band, line.draft), *self_doubts(fair)]
    numbered = dict(enumerate(drafts))
    meetings = tuple(
        meeting
        for number, node in enumerate(laid.nodes)
        for meeting in meetings_of(number, node, numbered, sided)
    )
    return Standing(lines, tuple(doubts), meetings)


def line_now(still: Line, line: LaidLine, control: Array) -> Line:
    """The line of these control points (m, 3), pulled from where it stood."""
    if control is line.control:
        return still
    # A curve moves no farther than the farthest of its control points.
    if np.linalg.norm(control - line.control, axis=1).max() > HARDLY:
        return _line(line, control)
    moved = np.asarray(line.draft.batten.curve(control).c)
    return still.model_copy(update={"control": moved})


def crossings_at(meetings: Sequence[Meeting], points: Array) -> tuple[Crossing, ...]:
    """The crossings with their nodes at `points` (nodes, 3)."""
    if not meetings:
        return ()
    at = points[[meeting.node for meeting in meetings]]
    at = np.where(np.array([m.mirrored for m in meetings])[:, None], at * MIRROR, at)
    if not np.all(np.isfinite(at)):
        message = "a crossing has no place"
        raise ValueError(message)
    at.setflags(write=False)
    # The points are checked together, not one by one: there may be ten thousand of them.
    return tuple(
        Crossing.model_construct(
            lines=meeting.lines,
            parameters=meeting.parameters,
            point=point,
            gap=meeting.gap,
            said=meeting.said,
        )
        for meeting, point in zip(meetings, at, strict=True)
    )


def _line(line: LaidLine, control: Array) -> Line:
    return line_of(line.draft, control, line.sided.placed, band=line.band)
