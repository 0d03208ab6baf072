"""Which members of the frame stand where people sit."""

from collections.abc import Sequence

import numpy as np

from buckwright.buck.frame import Box, frame_members, member_bar
from buckwright.geometry.box_gaps import near_boxes, square_gaps_to_boxes
from buckwright.model.buck import BuckSpec, FrameMember
from buckwright.model.frame import BodyPart

__all__ = ["bolted_out", "rails_clear", "stretches_of_trunks"]

TALL = 350.0
"""mm of height from which a part of a person (the trunk) stands in the way of a ring."""
STEP = 10.0
"""mm between the points of a member that are looked at."""
TOUCH = 0.5
"""mm within which a member stands on another."""


def bolted_out(
    members: Sequence[FrameMember], people: Sequence[BodyPart], spec: BuckSpec
) -> list[FrameMember]:
    """The members, those nearer to the people than the clearance marked as bolted in.

    Arms and legs that stand on one of these, and the drop of an arm, go with it.
    """
    loose = {m.name for m in members if m.bolted or _too_near(m, people, spec)}
    bodies = [member_bar(m, spec.frame_section) for m in members if m.name in loose]
    loose |= {
        member.name
        for member in members
        if member.role == "arm"
        and any(float(body.gaps(member.start[None])[0]) < TOUCH for body in bodies)
    }
    loose |= {m.name for m in members if m.name.split(" of ")[-1] in loose}
    return [
        member.model_copy(update={"bolted": True}) if member.name in loose else member
        for member in members
    ]


def rails_clear(box: Box, people: Sequence[BodyPart], spec: BuckSpec) -> bool:
    """Whether the rails, which run through and cannot be taken out, keep off the people."""
    rails = [member for member in frame_members(box, spec) if member.role == "rail"]
    return not any(_too_near(rail, people, spec) for rail in rails)


def stretches_of_trunks(people: Sequence[BodyPart], spec: BuckSpec) -> list[tuple[float, float]]:
    """Stretches of x where no ring may stand: there a person sits from floor to shoulder."""
    keep = spec.frame_clearance + 0.5 * spec.frame_section + 1.0
    return [
        (float(part.low[0]) - keep, float(part.high[0]) + keep)
        for part in people
        if part.high[2] - part.low[2] > TALL
    ]


def _too_near(member: FrameMember, people: Sequence[BodyPart], spec: BuckSpec) -> bool:
    if not people:
        return False
    lows, highs = np.array([part.low for part in people]), np.array([part.high for part in people])
    bar = member_bar(member, spec.frame_section)
    near = near_boxes(*bar.box(), lows, highs, spec.frame_clearance)
    gaps = square_gaps_to_boxes(bar.surface(STEP), lows[near], highs[near])
    return float(gaps.min()) < spec.frame_clearance**2
