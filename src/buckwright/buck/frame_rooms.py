"""The room that the finished frame leaves: least distances to skin, wires, wheels, people."""

from collections.abc import Sequence

import numpy as np

from buckwright.buck.frame import member_bar
from buckwright.buck.inner_face import InnerFaces
from buckwright.buck.post_room import gaps_to_wheel
from buckwright.buck.rods import Rod
from buckwright.geometry.box_gaps import square_gaps_to_boxes
from buckwright.model.buck import BuckSpec, FrameMember
from buckwright.model.frame import BodyPart, FrameRooms, Wheel

__all__ = ["frame_rooms"]

STEP = 12.0
"""mm between points along the edges and faces of the members."""


def frame_rooms(
    spec: BuckSpec,
    members: Sequence[FrameMember],
    faces: InnerFaces,
    rods: Sequence[Rod],
    wheels: Sequence[Wheel],
    people: Sequence[BodyPart],
) -> FrameRooms:
    """Least rooms of the members' surfaces; to the flat triangles of the skin."""
    bars = [member_bar(member, spec.frame_section) for member in members]
    points = np.vstack([bar.surface(STEP) for bar in bars])
    below = spec.frame_clearance + 5.0
    while (
        skin := float(faces.gap(points, below=below).min()) - faces.sheet
    ) >= below - faces.sheet:
        below *= 2.0
    axes = np.vstack([rod.points for rod in rods])
    wires = min(float(bar.gaps(_near(axes, bar.box())).min(initial=np.inf)) for bar in bars)
    return FrameRooms(
        skin=skin,
        wires=wires - 0.5 * spec.rod_diameter if np.isfinite(wires) else None,
        wheels=min(float(gaps_to_wheel(points, wheel).min()) for wheel in wheels)
        if wheels
        else None,
        people=_to_people(spec, [m for m in members if not m.bolted], people),
    )


def _near(points: np.ndarray, box: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    reach = 100.0
    inside = np.all((points > box[0] - reach) & (points < box[1] + reach), axis=1)
    return np.asarray(points[inside])


def _to_people(
    spec: BuckSpec, members: Sequence[FrameMember], people: Sequence[BodyPart]
) -> float | None:
    if not people or not members:
        return None
    lows, highs = np.array([part.low for part in people]), np.array([part.high for part in people])
    points = np.vstack([member_bar(m, spec.frame_section).surface(STEP) for m in members])
    return float(np.sqrt(square_gaps_to_boxes(points, lows, highs).min()))
