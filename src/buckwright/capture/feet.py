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


def feet_on(curve: Curve, views: Views, marks: Marks) -> Feet:
    """Feet of all marks: the nearest point of the curve's picture, once refined."""
    samples = curve.samples()
    seen, _ = views.flat(curve.points(samples))
    near = np.zeros(len(marks.view), dtype=np.int64)
    for view in range(len(views.names)):
        mine = marks.view == view
        _, near[mine] = cKDTree(seen[view]).query(marks.flat[mine])
    at, past = samples[near], np.zeros(len(near))
    for _ in range(2):
        place, _, along, _, _ = picture_at(curve, at, views, marks)
        square = np.maximum(np.einsum("ij,ij->i", along, along), 1e-18)
        step = np.einsum("ij,ij->i", marks.flat - place, along) / square
        at = at + np.clip(step, -0.05 * curve.length, 0.05 * curve.length)
        if not curve.closed:
            past = at - np.clip(at, 0.0, curve.length)
            at = at - past
    place, slope, along, depth, speed = picture_at(curve, at, views, marks)
    size = np.linalg.norm(along, axis=1)
    along = along / np.maximum(size, 1e-12)[:, None]
    across = np.column_stack([-along[:, 1], along[:, 0]])
    focal = views.focal[marks.view]
    offset = marks.flat - place
    leaning = np.abs(np.einsum("ij,ij->i", along, marks.along)) > _GATE_COSINE
    beyond = np.abs(past) * size * focal > 2.0
    return Feet(
        at=at,
        past=past,
        pace=size * focal / np.maximum(speed, 1e-9),
        gap=focal * np.einsum("ij,ij->i", offset, across),
        pull=focal[:, None] * np.einsum("ij,ijk->ik", across, slope),
        usable=leaning & ~beyond & (depth > 0.0),
    )


def picture_at(
    curve: Curve, at: Array, views: Views, marks: Marks
) -> tuple[Array, Array, Array, Array, Array]:
    """The curve's picture for each mark: place (n, 2), slope (n, 2, 3) by the point, direction
    (n, 2) by the parameter, depth (n,), and speed (n,) in space.
    """
    rotation = views.rotation[marks.view]
    local = np.einsum(
        "nij,nj->ni", rotation, curve.basis(at) @ curve.control - views.centre[marks.view]
    )
    depth = np.where(np.abs(local[:, 2]) > 1e-6, local[:, 2], 1e-6)
    place = local[:, :2] / depth[:, None]
    slope = rotation[:, :2] - place[:, :, None] * rotation[:, 2:3]
    slope = slope / depth[:, None, None]
    tangent = curve.basis(at, derivative=1) @ curve.control
    speed = np.linalg.norm(tangent, axis=1)
    return place, slope, np.einsum("nij,nj->ni", slope, tangent), local[:, 2], speed
