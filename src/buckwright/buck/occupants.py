"""Boxes round the people who sit in the body, so that the frame can be kept off them.

A person's own measured sizes are used; those that the job does not ask for are taken large:
95th percentile of men, hips of women (Gordon et al. 2014, NATICK/TR-15/007, ANSUR II). Each box
holds its part of the body in a driver's or passenger's posture, arms bent, legs forward.
"""

from itertools import pairwise

import numpy as np

from buckwright.model.frame import BodyPart
from buckwright.model.people import FitQuestion, Person

__all__ = ["PEOPLE_SOURCE", "boxes_of_people"]

CHEST_DEPTH, HEAD_BREADTH, HEAD_LENGTH = 298.0, 163.0, 211.0
HIP_BREADTH = 456.0
BUTTOCK_KNEE, THIGH = 669.0, 207.0
KNEE_TO_HEEL, FOOT = 471.0, 293.0
FOREARM = 520.0
"""mm from the back of the elbow to the fingertips, 95th percentile of men (from memory)."""
LEG_THICK, LEGS_BREADTH = 130.0, 340.0
"""mm, a lower leg, and both side by side a little apart (from memory)."""
LEG_STEPS = 30
"""Boxes that step down a slanting lower leg."""

PEOPLE_SOURCE = (
    "Boxes round trunk, head, forearms, thighs, lower legs and feet: breadths, shoulder, elbow "
    "and sitting height as measured; depths and legs 95th percentile of ANSUR II (NATICK/"
    "TR-15/007), forearm from memory; heels on a floor at the height of the lowest metal."
)


def boxes_of_people(question: FitQuestion, *, floor: float) -> tuple[BodyPart, ...]:
    """Boxes for all, from left to right as they are listed, centred in the body.

    `floor` is the height (mm) of the heels. Half the clothing allowance lies on every side.
    """
    breadths = [
        max(p.shoulder_breadth, p.elbow_breadth) + question.clothing for p in question.people
    ]
    total = sum(breadths) + question.between * (len(breadths) - 1)
    edge, parts = -0.5 * total, []
    for person, breadth in zip(question.people, breadths, strict=True):
        parts += _boxes(person, question, edge + 0.5 * breadth, floor)
        edge += breadth + question.between
    return tuple(parts)


def _boxes(person: Person, question: FitQuestion, y: float, floor: float) -> list[BodyPart]:
    x, seat, cloth = question.seat_x, question.seat_z, 0.5 * question.clothing
    back = x + 0.5 * CHEST_DEPTH
    knee = back - BUTTOCK_KNEE
    shoulder = seat + person.shoulder_height
    sizes = {
        "trunk": ((x - 0.5 * CHEST_DEPTH, back), person.shoulder_breadth, (seat, shoulder)),
        "head": (
            (x - 0.5 * HEAD_LENGTH, x + 0.5 * HEAD_LENGTH),
            HEAD_BREADTH,
            (shoulder, seat + person.sitting_height),
        ),
        "forearms": (
            (x + 60.0 - FOREARM, x + 60.0),
            person.elbow_breadth,
            (seat + person.elbow_height, seat + person.elbow_height + 120.0),
        ),
        "thighs": ((knee, back), HIP_BREADTH, (seat, seat + THIGH)),
    }
    drop = min(max(seat - floor, 0.0), KNEE_TO_HEEL)
    heel = knee + LEG_THICK - float(np.sqrt(KNEE_TO_HEEL**2 - drop**2))
    ends = np.linspace([knee, seat], [heel - LEG_THICK, seat - drop], LEG_STEPS + 1)
    for k, (upper, lower) in enumerate(pairwise(ends), 1):
        sizes[f"lower legs {k}"] = (
            (lower[0], upper[0] + LEG_THICK),
            LEGS_BREADTH,
            (lower[1], upper[1] + LEG_THICK),
        )
    sizes["feet"] = (
        (heel - 0.5 * FOOT, heel + 60.0),
        LEGS_BREADTH,
        (seat - drop, seat - drop + FOOT),
    )
    grow = np.array([cloth, cloth, 0.0])
    return [
        BodyPart(
            person=person.name,
            part=part,
            low=np.array([xs[0], y - 0.5 * breadth, zs[0]]) - grow,
            high=np.array([xs[1], y + 0.5 * breadth, zs[1] + cloth]) + grow,
        )
        for part, (xs, breadth, zs) in sizes.items()
    ]
