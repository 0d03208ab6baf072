"""For every mark of a trace the point of the curve that it belongs to."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.capture.curve import Curve
from buckwright.capture.views import Marks, Views

__all__ = ["Feet", "feet_on", "picture_at"]

Array = NDArray[np.float64]

_GATE_COSINE = 0.5


@dataclass(frozen=True, eq=False, slots=True)
class Feet:
    """For every mark the point of the curve that it belongs to."""

    at: Array
    """(n,) parameter."""
    past: Array
    """(n,) mm by which the mark lies beyond an end: negative at the start, else 0."""
    pace: Array
    """(n,) px in the picture to 1 mm along the curve."""
    gap: Array
    """(n,) px from the curve's picture to the mark, across the curve."""
    pull: Array
    """(n, 3) px per mm: how the gap shrinks when the curve's point moves."""
    usable: NDArray[np.bool_]
    """(n,) same direction, in front of the camera, not past an end."""


def feet_on(curve: Curve, views: Views, marks: Marks, *, near: Array | None = None) -> Feet:
    """Feet of all marks: the nearest point of the curve's picture, refined.

    `near` (n,) are parameters to start from, of a curve that has moved little since; without
    them the whole curve is looked at.
    """
    at = _nearest(curve, views, marks) if near is None else near
    past = np.zeros(len(at))
    turn, centre, focal = (
        table[marks.view] for table in (views.rotation, views.centre, views.focal)
    )
    for _ in range(2):
        place, along, _, _ = _seen(curve, at, turn, centre)
        square = np.maximum(np.einsum("ij,ij->i", along, along), 1e-18)
        step = np.einsum("ij,ij->i", marks.flat - place, along) / square
        at = at + np.clip(step, -0.05 * curve.length, 0.05 * curve.length)
        if not curve.closed:
            past = at - np.clip(at, 0.0, curve.length)
            at = at - past
    place, along, depth, speed = _seen(curve, at, turn, centre)
    size = np.sqrt(np.einsum("ij,ij->i", along, along))
    along = along / np.maximum(size, 1e-12)[:, None]
    across = np.column_stack([-along[:, 1], along[:, 0]])
    leaning = np.abs(np.einsum("ij,ij->i", along, marks.along)) > _GATE_COSINE
    beyond = np.abs(past) * size * focal > 2.0
    safe = np.where(np.abs(depth) > 1e-6, depth, 1e-6)
    pull = np.einsum("ij,ijk->ik", across, turn[:, :2])
    pull -= np.einsum("ij,ij->i", across, place)[:, None] * turn[:, 2]
    return Feet(
        at=at,
        past=past,
        pace=size * focal / np.maximum(speed, 1e-9),
        gap=focal * np.einsum("ij,ij->i", marks.flat - place, across),
        pull=(focal / safe)[:, None] * pull,
        usable=leaning & ~beyond & (depth > 0.0),
    )


def _nearest(curve: Curve, views: Views, marks: Marks) -> Array:
    """(n,) parameters of the samples of the curve whose pictures lie nearest."""
    samples = curve.samples()
    seen, _ = views.flat(curve.points(samples))
    near = np.zeros(len(marks.view), dtype=np.int64)
    for view in range(len(views.names)):
        mine = marks.view == view
        _, near[mine] = cKDTree(seen[view]).query(marks.flat[mine])
    return samples[near]


def _seen(curve: Curve, at: Array, turn: Array, centre: Array) -> tuple[Array, Array, Array, Array]:
    """The curve's picture for each mark: place (n, 2), direction (n, 2) by the parameter, depth
    (n,), and speed (n,) in space.
    """
    points, tangent = curve.moving(at)
    local = np.einsum("nij,nj->ni", turn, points - centre)
    ahead = np.einsum("nij,nj->ni", turn, tangent)
    depth = local[:, 2]
    safe = np.where(np.abs(depth) > 1e-6, depth, 1e-6)[:, None]
    place = local[:, :2] / safe
    along = (ahead[:, :2] - place * ahead[:, 2:]) / safe
    return place, along, depth, np.sqrt(np.einsum("ij,ij->i", tangent, tangent))


def picture_at(curve: Curve, at: Array, views: Views, marks: Marks) -> tuple[Array, Array, Array]:
    """The curve's picture for each mark: place (n, 2), slope (n, 2, 3) by the point, direction
    (n, 2) by the parameter.
    """
    turn = views.rotation[marks.view]
    place, along, depth, _ = _seen(curve, at, turn, views.centre[marks.view])
    safe = np.where(np.abs(depth) > 1e-6, depth, 1e-6)
    slope = (turn[:, :2] - place[:, :, None] * turn[:, 2:3]) / safe[:, None, None]
    return place, slope, along
