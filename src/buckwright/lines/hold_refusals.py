"""What no line can keep, refused with one sentence and what to do."""

import itertools

import numpy as np

from buckwright.errors import JobError
from buckwright.lines.sides import SidedLine
from buckwright.model.holds import LineHold, Stretch

__all__ = ["CLOSE", "refuse_far", "refuse_hold", "refuse_numbers", "refuse_turned"]

CLOSE = 8.0
"""mm along a line within which two places are one."""
STEEPEST = np.cos(np.radians(75.0))
"""A line is not turned farther than this at its end by a word."""
FARTHEST = 0.1
"""Of its own length: a line that far from its points is another line."""
LEAST_TIMES, MOST_TIMES = 0.01, 100.0


def refuse_hold(hold: LineHold, sided: SidedLine, whole: float) -> None:
    """JobError for what this line, `whole` mm long, cannot keep."""
    name = hold.line
    refuse_numbers(hold)
    if sided.kind == "datum":
        raise JobError(
            f"'{name}' fixes the axes and is not changed by hand.",
            "Trace it again where it is wrong.",
        )
    if sided.placed.closed and hold.tangents:
        raise JobError(
            f"'{name}' is closed and has no ends whose direction could be set.",
            "Set a straight run or a corner instead.",
        )
    _refuse_close_corners(hold, sided, whole)
    _refuse_short_runs(hold, whole)
    _refuse_meeting_runs(hold, whole)


def refuse_numbers(hold: LineHold) -> None:
    """JobError for numbers that say nothing on any line."""
    name = hold.line
    stretches: list[Stretch] = [*hold.straights, *hold.weights]
    shares = [share for run in stretches for share in (run.start, run.end)]
    if not all(0.0 <= share <= 1.0 for share in (*shares, *hold.corners)):
        raise JobError(
            f"'{name}' would keep something beyond its ends.", "Give places between 0 and 100 %."
        )
    if any(run.start >= run.end for run in stretches):
        raise JobError(
            f"A stretch of '{name}' would end where it begins, or before.",
            "Give the place nearer to the first end first.",
        )
    tolerance = hold.tolerance
    if tolerance is not None and not 0.0 < tolerance < np.inf:
        raise JobError(
            f"A tolerance of nothing leaves '{name}' no room to be fair.",
            "Type how far it may lie from its points, like 1.5 mm.",
        )
    if not all(LEAST_TIMES <= weight.times <= MOST_TIMES for weight in hold.weights):
        raise JobError(
            f"Points of '{name}' cannot count so many times.",
            f"Give a number from {LEAST_TIMES:g} to {MOST_TIMES:g}.",
        )
    for tangent in hold.tangents:
        way = np.array(tangent.direction or (0.0, 0.0, 0.0))
        if tangent.way == "direction" and not 1e-9 < float(np.linalg.norm(way)) < np.inf:
            raise JobError(
                f"A direction without length does not say how the end of '{name}' runs.",
                "Give how far it goes rearward, to the right and up, like 1, 0, 0.2.",
            )
    if len({tangent.end for tangent in hold.tangents}) < len(hold.tangents):
        raise JobError(f"One end of '{name}' has two directions.", "Keep one of them.")


def refuse_far(name: str, gap: float, whole: float) -> None:
    """JobError where a line would leave its points by `gap` mm, a good part of its length."""
    if not gap <= FARTHEST * whole:
        raise JobError(
            f"'{name}' would have to leave its points by {gap:.0f} mm to keep all that.",
            "Make the straight runs shorter, or set corners where the line breaks.",
        )


def refuse_turned(name: str, along: float) -> None:
    """JobError where an end would be turned too far; `along` is the cosine of the angle."""
    if abs(along) < STEEPEST:
        angle = np.degrees(np.arccos(min(abs(along), 1.0)))
        raise JobError(
            f"The end of '{name}' would have to turn by {angle:.0f} degrees to run that way.",
            "Check the direction, or set a corner near that end.",
        )


def _refuse_close_corners(hold: LineHold, sided: SidedLine, whole: float) -> None:
    name = hold.line
    places = sorted(share * whole for share in hold.corners)
    if any(b - a < CLOSE for a, b in itertools.pairwise(places)):
        raise JobError(
            f"'{name}' would have two corners at one place.",
            f"Take one away, or set them more than {CLOSE:.0f} mm apart.",
        )
    if places and (places[0] < CLOSE or places[-1] > whole - CLOSE):
        what = "where it was begun" if sided.placed.closed else "at its end"
        raise JobError(
            f"'{name}' would have a corner {what}, where nothing breaks.",
            f"Set it more than {CLOSE:.0f} mm from there.",
        )
    for run in hold.straights:
        low, high = run.start * whole + CLOSE, run.end * whole - CLOSE
        if any(low <= at <= high for at in places):
            raise JobError(
                f"A corner lies inside a straight run of '{name}'.",
                "Take the corner away, or end the run there.",
            )


def _refuse_short_runs(hold: LineHold, whole: float) -> None:
    for run in hold.straights:
        if (run.end - run.start) * whole < 2.0 * CLOSE:
            raise JobError(
                f"A straight run of '{hold.line}' is shorter than {2 * CLOSE:.0f} mm.",
                "Make it longer, or take it away.",
            )


def _refuse_meeting_runs(hold: LineHold, whole: float) -> None:
    runs = sorted((run.start * whole, run.end * whole) for run in hold.straights)
    corners = np.array(hold.corners) * whole
    for (_, end), (start, _) in itertools.pairwise(runs):
        broken = bool(np.any(np.abs(corners - 0.5 * (start + end)) < CLOSE))
        if start - end < (-CLOSE if broken else CLOSE):
            raise JobError(
                f"Two straight runs of '{hold.line}' meet without a corner between them.",
                "Make one run of them, or set a corner where they meet.",
            )
