"""What lines of a network keep: each on its own batten, and lines that run on from another.

A line that runs on takes its direction from the other line as that is laid, at the place nearest
to its end; so such lines are laid after those they run on from.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.spline import closest_parameters, tangents
from buckwright.lines.drafting import Draft
from buckwright.lines.holding import given_way, hold_draft, wish_of
from buckwright.lines.keeping import Kept
from buckwright.lines.sides import MIRROR, SidedLine
from buckwright.model.holds import EndTangent, LineHold

__all__ = ["RunOn", "hold_lines", "run_direction", "with_direction"]

Array = NDArray[np.float64]

APART = 50.0
"""mm; a line does not run on from one that its end is farther from."""


@dataclass(frozen=True, slots=True)
class RunOn:
    """One end of a laid line that runs on from another."""

    line: int
    end: int
    """0 or 1."""
    other: int
    mirrored: bool
    """Whether from the other line's mirror image."""


def hold_lines(
    drafts: Sequence[Draft],
    sided: Sequence[SidedLine],
    spans: Sequence[tuple[float, float]],
    holds: tuple[LineHold, ...],
) -> tuple[tuple[Draft, ...], tuple[RunOn, ...]]:
    """The drafts with what they keep, from plain drafts and where these end at crossings.

    Raises JobError for what cannot be kept.
    """
    held, run_ons = list(drafts), list[RunOn]()
    placed = _by_line(sided, holds)
    for k, (hold, mirrored) in placed.items():
        ways: dict[str, Array | None] = {}
        for tangent in hold.tangents:
            way = given_way(tangent, sided[k])
            ways[tangent.end] = way if way is None or not mirrored else way * MIRROR
            if way is None:
                run_ons.append(_run_on(k, tangent, sided, mirrored=mirrored))
        both = (ways.get("first"), ways.get("last"))
        held[k] = hold_draft(drafts[k], wish_of(hold, sided[k], drafts[k], spans[k], both))
    # The directions of lines that run on are known once the others are drafted.
    for k in dict.fromkeys(run_on.line for run_on in run_ons):
        hold, mirrored = placed[k]
        found = {run.end: run_direction(run, held, [d.control for d in held], held[k].control)
                 for run in run_ons if run.line == k}  # fmt: skip
        kept = held[k].batten.kept
        both = found.get(0, kept.first), found.get(1, kept.last)
        held[k] = hold_draft(drafts[k], wish_of(hold, sided[k], drafts[k], spans[k], both))
    return tuple(held), tuple(run_ons)


def run_direction(
    run_on: RunOn, drafts: Sequence[Draft], controls: Sequence[Array], control: Array
) -> Array:
    """(3,) unit vector along the line that runs on, in whose sense it runs.

    `controls` of all lines as they lie; `control` of the line that runs on.
    """
    own, other = drafts[run_on.line], drafts[run_on.other]
    at = np.array([own.end if run_on.end else own.start])
    end = own.batten.rows(at) @ control
    run = own.batten.rows(at, derivative=1) @ control
    flip = MIRROR if run_on.mirrored else np.ones(3)
    curve = other.batten.curve(controls[run_on.other] * flip)
    place, gap = closest_parameters(curve, end, closed=other.closed)
    if gap[0] > APART:
        raise JobError(
            f"The end of '{own.name}' is {gap[0]:.0f} mm from '{other.name}' and cannot run on "
            "from it.",
            "Name a line that it ends on, or give a direction.",
        )
    way = tangents(curve, place)[0]
    return np.asarray(way if way @ run[0] >= 0.0 else -way)


def with_direction(draft: Draft, run_on: RunOn, way: Array, *, both: bool) -> Kept:
    """What the draft keeps, with another direction at that end; at both of its own mirror image."""
    kept = draft.batten.kept
    ways = [kept.first, kept.last]
    ways[run_on.end] = way
    if both:
        ways[1 - run_on.end] = -way * MIRROR
    return replace(kept, first=ways[0], last=ways[1])


def _by_line(
    sided: Sequence[SidedLine], holds: tuple[LineHold, ...]
) -> dict[int, tuple[LineHold, bool]]:
    """Of each laid line that keeps something: what, and whether it was said of its mirror image."""
    found: dict[int, tuple[LineHold, bool]] = {}
    for hold in holds:
        if hold.is_empty:
            continue
        k, mirrored = _place(sided, hold.line, "to keep anything")
        if k in found:
            raise JobError(
                f"'{hold.line}' and its mirror image '{found[k][0].line}' keep different things.",
                "Say it of one of them: the other follows.",
            )
        found[k] = hold, mirrored
    return found


def _run_on(k: int, tangent: EndTangent, sided: Sequence[SidedLine], *, mirrored: bool) -> RunOn:
    other, flipped = _place(sided, tangent.line, "to run on from")
    if other == k:
        raise JobError(
            f"'{tangent.line}' cannot run on from itself.", "Name the line that it ends on."
        )
    return RunOn(k, 0 if tangent.end == "first" else 1, other, flipped != mirrored)


def _place(sided: Sequence[SidedLine], name: str, why: str) -> tuple[int, bool]:
    for k, line in enumerate(sided):
        if name in (line.placed.name, line.partner):
            return k, name == line.partner
    raise JobError(f"There is no line '{name}' {why}.", "Drop that, or trace that line.")
