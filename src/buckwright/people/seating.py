"""Where the parts of seated people are.

The trunk is upright at the shoulders' station and leans back with the seat, so that the hips are
farther forward; heights stay those measured erect. Legs reach forward to the floor. The buck keeps
its frame off simpler boxes round the same seats.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.model.package import PackageSpec
from buckwright.model.people import FitQuestion
from buckwright.people.sizes import Body, size_up

__all__ = ["Seated", "seat_people"]

Array = NDArray[np.float64]

HIP_FORWARD, HIP_UP = 134.0, 97.0
"""mm from the back and the bottom of a seated trunk to the hip joint (SAE J826, from memory)."""
EYE_BACK = 15.0
"""mm from the foremost of the head back to the eye (from memory)."""
LEG_HALF = 65.0
"""mm, half the thickness of a lower leg (from memory)."""


@dataclass(frozen=True, slots=True)
class Seated:
    """One person in place; points are x and z unless said."""

    body: Body
    y: float
    seat: float
    """Height of the seat."""
    back: float
    """x of the buttocks' back."""
    shoulder: tuple[float, float]
    hip: tuple[float, float]
    knee: tuple[float, float]
    """Foremost of the knee, and the seat's height."""
    heel: tuple[float, float]
    toe: float
    """x of the foremost of the foot."""
    crown: float
    eye: tuple[float, float]
    """Erect."""

    @property
    def name(self) -> str:
        """Of the person."""
        return self.body.person.name

    def eyes(self, lower: float = 0.0) -> Array:
        """(2, 3) left and right eye, `lower` mm below where they are erect."""
        half = 0.5 * self.body["eye_spacing"]
        x, z = self.eye
        return np.array([[x, self.y - half, z - lower], [x, self.y + half, z - lower]])


def seat_people(question: FitQuestion, spec: PackageSpec, *, floor: float) -> tuple[Seated, ...]:
    """All people from left to right as listed, centred in the body, heels at height `floor`."""
    bodies = [size_up(person) for person in question.people]
    breadths = [max(b["shoulder_breadth"], b["elbow_breadth"]) + question.clothing for b in bodies]
    edge = -0.5 * (sum(breadths) + question.between * (len(breadths) - 1))
    seated = []
    for body, breadth in zip(bodies, breadths, strict=True):
        seated.append(_seat(body, edge + 0.5 * breadth, question, spec, floor))
        edge += breadth + question.between
    return tuple(seated)


def _seat(body: Body, y: float, question: FitQuestion, spec: PackageSpec, floor: float) -> Seated:
    x, seat = question.seat_x, question.seat_z
    shoulder = body["shoulder_height"]
    back = x + 0.5 * body["chest_depth"] - float(np.tan(spec.lean)) * shoulder
    knee = back - body["buttock_knee"]
    shin = body["popliteal_height"]
    drop = min(max(seat - floor, 0.0), shin)
    heel = knee + LEG_HALF - float(np.sqrt(shin**2 - drop**2))
    return Seated(
        body=body,
        y=y,
        seat=seat,
        back=back,
        shoulder=(x, seat + shoulder),
        hip=(back - HIP_FORWARD, seat + HIP_UP),
        knee=(knee, seat),
        heel=(heel, seat - drop),
        toe=heel - 0.75 * body["foot_length"],
        crown=seat + body["sitting_height"],
        eye=(x - 0.5 * body["head_length"] + EYE_BACK, seat + body["eye_height"]),
    )
