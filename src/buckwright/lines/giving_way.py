"""Where a moved family meets the other lines again, and which of them must give way there."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.spline import foot_parameters
from buckwright.lines.meetings import Meeting
from buckwright.model.lines import Line

__all__ = ["Met", "meet_again"]

Array = NDArray[np.float64]

SLIDES = 0.35
"""Share of the move by which lines may miss each other and the family still slides along."""

ROUNDS = 80
SETTLED = 1e-12
"""Of a line's parameter, 0 to 1."""


@dataclass(frozen=True, eq=False, slots=True)
class Met:
    """A meeting where it now lies, and how far each of its lines must be drawn to it."""

    meeting: Meeting
    moves: dict[str, Array]


def meet_again(
    meeting: Meeting,
    family: frozenset[str],
    before: Mapping[str, Line],
    after: Mapping[str, Line],
    called: str,
) -> Met:
    """The meeting after the family moved.

    Parameters: lines by name before the move and after it (others are the same in both);
    `called` names the departure. Raises JobError where the family leaves a line behind.
    """
    movers = [name for name in meeting.at if name in family]
    # One that runs through says where the family lies better than one that ends here.
    movers.sort(key=lambda name: name in meeting.ends)
    mover = movers[0]
    # By name, so that both sides choose alike.
    crossed = sorted(n for n in meeting.at if n not in family and meeting.runs_through(n))
    gone = after[mover].curve()(meeting.at[mover])
    at = dict(meeting.at)
    point = np.asarray(gone, dtype=np.float64)
    if len(movers) < len(meeting.at):
        here = np.asarray(before[mover].curve()(meeting.at[mover]))
        if crossed:
            point = _shared(meeting, mover, crossed[0], after, float(np.linalg.norm(point - here)))
        elif meeting.runs_through(mover):
            at[mover] = _foot(after[mover], here, meeting.at[mover])
            point = np.asarray(after[mover].curve()(_inside(after[mover], at[mover])))
    moves = {}
    for name in meeting.at:
        line = after[name]
        if meeting.runs_through(name):
            at[name] = _foot(line, point, at[name])
            if not line.closed and not 0.0 < at[name] < 1.0:
                raise JobError(
                    f"'{called}' goes past the end of '{name}'.",
                    "Move it less far, or take that line along.",
                )
        moves[name] = point - np.asarray(line.curve()(at[name]))
    return Met(replace(meeting, point=point, at=at), moves)


def _shared(
    meeting: Meeting, mover: str, other: str, lines: Mapping[str, Line], far: float
) -> Array:
    """The point where both meet: on the other line if the family may slide, else on the family."""
    first, second = lines[mover], lines[other]
    a, b = meeting.at[mover], meeting.at[other]
    if meeting.runs_through(mover):
        for _ in range(ROUNDS):
            last = a
            b = _inside(second, _foot(second, np.asarray(first.curve()(a)), b))
            a = _inside(first, _foot(first, np.asarray(second.curve()(b)), a))
            if abs(a - last) < SETTLED:
                break
    else:
        b = _inside(second, _foot(second, np.asarray(first.curve()(a)), b))
    on_family, on_other = np.asarray(first.curve()(a)), np.asarray(second.curve()(b))
    slides = np.linalg.norm(on_family - on_other) <= SLIDES * far
    return on_other if slides else on_family


def _foot(line: Line, point: Array, guess: float) -> float:
    """Parameter nearest to the point; beyond 0 or 1 where it lies past an open end."""
    found = foot_parameters(
        line.curve(), point[None], np.array([guess]), closed=line.closed, rounds=6
    )
    return float(found[0])


def _inside(line: Line, at: float) -> float:
    return at if line.closed else float(np.clip(at, 0.0, 1.0))
