"""Families of lines moved or scaled on purpose, and the lines that meet them brought along.

The family keeps its shape. Where it meets other lines, one rule says who gives way: a line that
ends on the family follows it; where the move runs mostly along the other line the family slides
along it; else the other line bends. Who gives way bends as a batten does that is held at all
its other meetings.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.lines.following import drawn_by, free_control, with_control
from buckwright.lines.giving_way import Met, meet_again
from buckwright.lines.meetings import Meeting, crossings_at, find_meetings
from buckwright.lines.sides import MIRROR
from buckwright.lines.sliding import on_surface
from buckwright.model.finding import Finding
from buckwright.model.lines import Departure, Line, LineNetwork

__all__ = ["move_families"]

Array = NDArray[np.float64]

FARTHEST = 5000.0
"""mm: nobody moves a line farther on a vehicle."""

WORTH_A_WORD = 1.0
"""mm by which another line must bend before it is told."""
MUCH = 40.0
"""mm from which it is a doubt: no batten is bent that far and stays fair."""


def move_families(
    network: LineNetwork,
    departures: tuple[Departure, ...],
    mirrors: Mapping[str, str],
    *,
    firm: tuple[str, ...] = (),
) -> LineNetwork:
    """The network after all moves and scales that are switched on, in their order.

    Parameters: `mirrors` names the other line of each pair; `firm` lines must not be moved (the
    rims that the axes are measured from). Every crossing stays one, and lines of a pair stay
    mirror images. Raises JobError for a family that is not there or cannot go there.
    """
    for departure in departures:
        if departure.on and departure.kind != "stretch":
            network = _moved(network, departure, mirrors, firm)
    return network


def _moved(
    network: LineNetwork,
    departure: Departure,
    mirrors: Mapping[str, str],
    firm: tuple[str, ...],
) -> LineNetwork:
    family = _family(network, departure, mirrors, firm)
    others = [line.points(120) for line in network.lines if line.name not in family]
    # Wings may be drawn on one side only; both sides must slide alike.
    around = np.vstack([*others, *(points * MIRROR for points in others), np.empty((0, 3))])
    placed = _placing(departure, [network.line(name) for name in family])
    lines = {line.name: line for line in network.lines}
    for name in family:
        new = placed.line(lines[name])
        lines[name] = on_surface(lines[name], new, around) if departure.on_surface else new
    before = {line.name: line for line in network.lines}
    meetings = find_meetings(network)
    met = tuple(
        meet_again(meeting, family, before, lines, departure.name)
        for meeting in meetings
        if family & meeting.at.keys()
    )
    after, bent = _brought_along(lines, meetings, met)
    for old, line in zip(network.lines, after, strict=True):
        _refuse_passing(old, line, meetings, met, departure)
    notes = _notes(bent, family, departure)
    touched = tuple(one.meeting for one in met)
    return LineNetwork(
        lines=after,
        crossings=crossings_at(network, touched),
        findings=(*network.findings, *notes),
    )


def _family(
    network: LineNetwork,
    departure: Departure,
    mirrors: Mapping[str, str],
    firm: tuple[str, ...],
) -> frozenset[str]:
    known = {line.name for line in network.lines}
    if not departure.lines:
        raise JobError(f"'{departure.name}' names no line to move.", "Choose its lines.")
    for name in departure.lines:
        if name not in known:
            raise JobError(
                f"'{departure.name}' moves '{name}', but there is no such line.",
                "Choose a line of the job.",
            )
        if name in firm:
            raise JobError(
                f"'{departure.name}' moves '{name}', from which everything is measured.",
                "Move the rest of the body the other way instead.",
            )
    both = {*departure.lines, *(mirrors[name] for name in departure.lines if name in mirrors)}
    return frozenset(both & known)


@dataclass(frozen=True, eq=False, slots=True)
class _Placing:
    """Where a family goes: about a middle given on the left or right by its distance out."""

    about: Array
    factors: Array
    move: Array

    def line(self, line: Line) -> Line:
        """The line there, its control points sent along, which is exact."""
        side = _side(line)
        outward = np.array([1.0, side, 1.0])
        about, free = self.about * outward, free_control(line)
        gone = about + self.factors * (free - about) + self.move * outward
        return with_control(line, np.asarray(line.knots), gone)


def _side(line: Line) -> float:
    """-1 for a line on the left, 1 on the right, 0 for one that is its own mirror image."""
    across = line.points(100)[:, 1]
    middle = float(across.mean())
    # Its own mirror image balances about the centre plane but for rounding.
    return 0.0 if abs(middle) < 1e-6 * max(1.0, float(np.abs(across).max())) else np.sign(middle)


def _placing(departure: Departure, lines: list[Line]) -> _Placing:
    name = departure.name
    numbers = np.array([*departure.move, *departure.factors, *(departure.about or ())])
    if not np.all(np.isfinite(numbers)):
        raise JobError(f"The departure '{name}' has a number missing.", "Give all its numbers.")
    move, factors = np.array(departure.move), np.array(departure.factors)
    if departure.kind == "move":
        if np.abs(move).max() > FARTHEST:
            raise JobError(
                f"'{name}' moves lines by {np.abs(move).max():.0f} mm, off any vehicle.",
                "Move them less far.",
            )
        if move[1] != 0.0 and any(_side(line) == 0.0 for line in lines):
            raise JobError(
                f"'{name}' moves a line outward that lies on both sides of the centre plane.",
                "Scale it in breadth, or leave it where it is across.",
            )
        return _Placing(np.zeros(3), np.ones(3), move)
    if np.any(factors < 0.2) or np.any(factors > 5.0):
        raise JobError(
            f"'{name}' scales by {factors.min():g} to {factors.max():g}.",
            "Give factors between 0.2 and 5, 1 for no change.",
        )
    return _Placing(_middle(departure, lines), factors, np.zeros(3))


def _middle(departure: Departure, lines: list[Line]) -> Array:
    """What a scale leaves in place, its breadth counted outward."""
    whole = any(_side(line) == 0.0 for line in lines)
    if departure.about is not None:
        about = np.array(departure.about)
    else:
        points = np.vstack([line.points(200) for line in lines])
        points[:, 1] = np.abs(points[:, 1])
        about = 0.5 * (points.min(axis=0) + points.max(axis=0))
    return about * [1.0, 0.0, 1.0] if whole else about


def _brought_along(
    lines: dict[str, Line], meetings: tuple[Meeting, ...], met: tuple[Met, ...]
) -> tuple[tuple[Line, ...], dict[str, float]]:
    """All lines, those that give way drawn to where they must be, and by how many mm at most."""
    still = [one for one in meetings if not any(one.crossings == m.meeting.crossings for m in met)]
    after, bent = dict(lines), {}
    for name, line in lines.items():
        held = {m.meeting.at[name]: m.moves[name] for m in met if name in m.moves}
        most = max((float(np.linalg.norm(move)) for move in held.values()), default=0.0)
        if most < 1e-10:
            continue
        held |= {one.at[name]: np.zeros(3) for one in still if name in one.at}
        if not line.closed:
            for end in (0.0, 1.0):
                if not any(abs(end - at) < 1e-6 for at in held):
                    held[end] = np.zeros(3)
        after[name] = drawn_by(line, np.array(list(held)), np.array(list(held.values())))
        bent[name] = max(_across(line, at, move) for at, move in held.items())
    return tuple(after.values()), bent


def _across(line: Line, at: float, move: Array) -> float:
    """Mm of a move across the line; what runs along it does not bend it."""
    along = np.asarray(line.curve()(at, nu=1))
    along = along / max(float(np.linalg.norm(along)), 1e-300)
    return float(np.linalg.norm(move - (move @ along) * along))


def _refuse_passing(
    old: Line, line: Line, meetings: tuple[Meeting, ...], met: tuple[Met, ...], by: Departure
) -> None:
    """Meetings must follow one another along each line as they did."""
    moved = {one.meeting.crossings: one.meeting for one in met}
    pairs = [
        (one.at[old.name], moved.get(one.crossings, one).at[old.name])
        for one in meetings
        if old.name in one.at
    ]
    now = [after for _, after in sorted(pairs)]
    steps = np.diff([*now, now[0] + 1.0]) if now else np.empty(0)
    wrong = np.mod(steps, 1.0).sum() > 1.0 + 1e-9 if line.closed else np.any(np.diff(now) <= 0.0)
    if len(now) > 1 and wrong:
        raise JobError(
            f"'{by.name}' moves lines past one another along '{line.name}'.",
            "Move them less far, or take what lies in the way along.",
        )


def _notes(bent: dict[str, float], family: frozenset[str], by: Departure) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            code="bends-to-follow",
            where=name,
            message=f"'{name}' bends by {most:.1f} mm to follow '{by.name}'.",
            remedy="Look at its curvature; take it into the family if it should keep its shape.",
            kind="note" if most < MUCH else "doubt",
        )
        for name, most in bent.items()
        if name not in family and most > WORTH_A_WORD
    )
