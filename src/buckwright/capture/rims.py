"""The circle in space whose pictures run through the marks set round a rim.

A circle's picture is a conic. With the circle as the picture of the unit circle by a homography H
its matrix is H^-T diag(1, 1, -1) H^-1, and the distance of a mark from it to first order is that
of P. D. Sampson, 'Fitting conic sections to very scattered data', Computer Graphics and Image
Processing 18 (1982), doi:10.1016/0146-664X(82)90101-0.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from buckwright.capture.views import Views

__all__ = ["Rim", "fit_rim"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Rim:
    """The circle, and how the marks lie off it."""

    centre: Array
    """(3,) mm."""
    axis: Array
    """(3,) unit vector square to its plane, to the side of the cameras."""
    radius: float
    gaps: tuple[Array, ...]
    """px of each view's marks from the circle's picture."""
    spread: Array
    """(3, 3) mm^2 of the centre to a px^2 of the marks."""


def fit_rim(views: Views, flats: Sequence[Array], start: Array) -> Rim:
    """The circle nearest to the marks: (m, 2) x / z, y / z of each of two views or more.

    `start` (3,) is a rough centre. The plane is found from four starts: a rim seen from one side
    has two planes that look nearly alike.
    """
    _, depth = views.flat(start[None])
    spans = [np.ptp(flat, axis=0).max() for flat in flats]
    radius = 0.5 * float(np.median(np.array(spans) * depth[:, 0]))
    towards = views.centre.mean(axis=0) - start
    towards /= np.linalg.norm(towards)
    best = None
    for axis in (*np.eye(3), towards):
        frame = _frame(axis)
        # Lengths in radii, so that all six numbers are of one size.
        found = least_squares(
            _gaps_of, np.zeros(6), args=(frame, start, radius, views, flats), loss="soft_l1",
            f_scale=2.0, max_nfev=60,
        )  # fmt: skip
        if best is None or found.cost < best[0].cost:
            best = found, frame
    assert best is not None
    found, frame = best
    centre, axes, size = _circle(found.x, frame, start, radius)
    normal = np.cross(axes[0], axes[1])
    spread = np.linalg.pinv(found.jac.T @ found.jac)[:3, :3] * radius**2
    return Rim(
        centre=centre,
        axis=normal if normal @ towards > 0.0 else -normal,
        radius=size,
        gaps=tuple(_gaps(centre, axes, size, views, flats)),
        spread=frame.T @ spread @ frame,
    )


def _frame(axis: Array) -> Array:
    """(3, 3) rows: two directions square to the axis, and the axis."""
    other = np.eye(3)[int(np.argmin(np.abs(axis)))]
    first = np.cross(axis, other)
    first /= np.linalg.norm(first)
    return np.array([first, np.cross(axis, first), axis])


def _circle(
    unknown: Array, frame: Array, start: Array, radius: float
) -> tuple[Array, Array, float]:
    """Centre, (2, 3) unit directions in the plane, radius."""
    centre = start + radius * unknown[:3] @ frame
    normal = frame[2] + unknown[3] * frame[0] + unknown[4] * frame[1]
    normal /= np.linalg.norm(normal)
    return centre, _frame(normal)[:2], float(radius * np.exp(unknown[5]))


def _gaps_of(
    unknown: Array,
    frame: Array,
    start: Array,
    radius: float,
    views: Views,
    flats: Sequence[Array],
) -> Array:
    return np.concatenate(_gaps(*_circle(unknown, frame, start, radius), views, flats))


def _gaps(
    centre: Array, axes: Array, radius: float, views: Views, flats: Sequence[Array]
) -> list[Array]:
    found = []
    for view, flat in enumerate(flats):
        turn = views.rotation[view]
        plane = np.column_stack(
            [turn @ (radius * axes[0]), turn @ (radius * axes[1]),
             turn @ (centre - views.centre[view])]
        )  # fmt: skip
        back = np.linalg.pinv(plane)
        conic = back.T @ np.diag([1.0, 1.0, -1.0]) @ back
        marks = np.column_stack([flat, np.ones(len(flat))])
        slope = marks @ conic
        value = np.einsum("ij,ij->i", slope, marks)
        steep = 2.0 * np.linalg.norm(slope[:, :2], axis=1)
        found.append(views.focal[view] * value / np.maximum(steep, 1e-12))
    return found
