"""What lines are told to keep, said and taken back: the same for the page and the command line."""

from collections.abc import Mapping
from typing import Literal

from buckwright.errors import JobError
from buckwright.lines.hold_refusals import refuse_numbers
from buckwright.lines.sides import mirror_names
from buckwright.model.holds import EndTangent, LineHold, PointWeight, StraightRun
from buckwright.model.lines import LineSpec

__all__ = ["FIELDS", "Kind", "drop_kept", "told_hold", "with_corner", "with_hold", "with_straight",
           "with_tangent", "with_tolerance", "with_weight"]  # fmt: skip

Kind = Literal["straight", "corner", "weight"]
FIELDS: Mapping[Kind, str] = {"straight": "straights", "corner": "corners", "weight": "weights"}


def told_hold(holds: tuple[LineHold, ...], specs: tuple[LineSpec, ...], line: str) -> LineHold:
    """What a line keeps, said of itself or of its mirror image; JobError if there is no line."""
    if line not in {spec.name for spec in specs}:
        raise JobError(f"There is no line '{line}'.", "Give the name as the job has it.")
    mirrors = mirror_names(specs)
    for hold in holds:
        if hold.line == line:
            return hold
        if hold.line == mirrors.get(line):
            return _mirrored(hold, line, mirrors)
    return LineHold(line=line)


def with_hold(
    holds: tuple[LineHold, ...], specs: tuple[LineSpec, ...], hold: LineHold
) -> tuple[LineHold, ...]:
    """All that lines keep, with this in the place of what the line or its mirror image kept."""
    refuse_numbers(hold)
    mirror = mirror_names(specs).get(hold.line)
    others = [one for one in holds if one.line not in (hold.line, mirror)]
    return tuple(others) if hold.is_empty else (*others, hold)


def with_straight(hold: LineHold, start: float, end: float) -> LineHold:
    """The hold with a straight run more, in order."""
    runs = [*hold.straights, StraightRun(start=min(start, end), end=max(start, end))]
    runs.sort(key=lambda run: run.start)
    return hold.model_copy(update={"straights": tuple(runs)})


def with_corner(hold: LineHold, at: float) -> LineHold:
    """The hold with a corner more, in order."""
    return hold.model_copy(update={"corners": tuple(sorted((*hold.corners, at)))})


def with_weight(hold: LineHold, start: float, end: float, times: float) -> LineHold:
    """The hold with points of a stretch that count so many times; the last one said counts."""
    weight = PointWeight(start=min(start, end), end=max(start, end), times=times)
    return hold.model_copy(update={"weights": (*hold.weights, weight)})


def with_tangent(hold: LineHold, end: str, tangent: EndTangent | None) -> LineHold:
    """The hold with this direction at that end, or none."""
    others = tuple(one for one in hold.tangents if one.end != end)
    kept = others if tangent is None else (*others, tangent)
    return hold.model_copy(update={"tangents": kept})


def with_tolerance(hold: LineHold, tolerance: float | None) -> LineHold:
    """The hold with a typed tolerance in mm, or the measured one again."""
    return hold.model_copy(update={"tolerance": tolerance})


def drop_kept(hold: LineHold, kind: Kind, number: int) -> LineHold:
    """The hold without one straight run, corner or weight; JobError if it is not there."""
    kept = getattr(hold, FIELDS[kind])
    if not 0 <= number < len(kept):
        raise JobError(
            f"'{hold.line}' keeps no {kind} of that number.", "Look again at what it keeps."
        )
    return hold.model_copy(update={FIELDS[kind]: kept[:number] + kept[number + 1 :]})


def _mirrored(hold: LineHold, line: str, mirrors: Mapping[str, str]) -> LineHold:
    """The same, said of the mirror image."""
    tangents = tuple(_mirrored_tangent(tangent, mirrors) for tangent in hold.tangents)
    return hold.model_copy(update={"line": line, "tangents": tangents})


def _mirrored_tangent(tangent: EndTangent, mirrors: Mapping[str, str]) -> EndTangent:
    way = tangent.direction
    flipped = None if way is None else (way[0], 0.0 - way[1], way[2])
    other = mirrors.get(tangent.line, tangent.line)
    return tangent.model_copy(update={"direction": flipped, "line": other})
