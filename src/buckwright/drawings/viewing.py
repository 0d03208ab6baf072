"""How a piece that lies anywhere in space is laid on the paper, and which way is which there."""

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import FIGURE, arrow, words
from buckwright.geometry.plane import Plane, fit_plane
from buckwright.model.drawings import Label, Stroke

__all__ = ["compass", "end_words", "seen_from", "view_from"]

Array = NDArray[np.float64]

DIRECTIONS = (
    ("forward", np.array([-1.0, 0.0, 0.0])),
    ("up", np.array([0.0, 0.0, 1.0])),
    ("right", np.array([0.0, 1.0, 0.0])),
)
SHOWN = 0.6
"""Share of a direction that must lie in the paper for an arrow to be honest."""


def view_from(points: Array, towards: Array) -> Plane:
    """The best plane of the points (n, 3), seen by someone who stands on the side `towards`.

    The long way lies across; then up is up if it shows, else the front is to the left, else up
    is to the right.
    """
    plane = fit_plane(points)
    u, _, normal = plane.axes
    if normal @ towards < 0.0:
        normal = -normal
    v = np.cross(normal, u)
    upright = next((part for part in (v[2], u[0]) if abs(part) > 0.2), u[2])
    if upright < 0.0:
        u, v = -u, -v
    return Plane(plane.origin, np.stack([u, v, normal]))


def seen_from(axes: Array) -> str:
    """Where the viewer stands, in a word or two, for paper with those axes (3, 3)."""
    places = (("the front", "behind"), ("the left", "the right"), ("below", "above"))
    towards = axes[2]
    order = np.argsort(-np.abs(towards))
    near = [places[k][int(towards[k] > 0.0)] for k in order if abs(towards[k]) > 0.4]
    return " and ".join(near[:2])


def compass(at: tuple[float, float], axes: Array) -> tuple[list[Stroke], list[Label]]:
    """Arrows with names for the vehicle's directions that lie in the paper, from `at`."""
    strokes: list[Stroke] = []
    labels: list[Label] = []
    start = np.asarray(at)
    for name, direction in DIRECTIONS:
        shadow = axes[:2] @ direction
        if np.linalg.norm(shadow) < SHOWN:
            continue
        tip = start + 70.0 * shadow
        strokes += arrow(start, tip)
        beyond = start + 84.0 * shadow - (0.0, 0.5 * FIGURE)
        if shadow[0] < -0.3:
            labels.append(_ending_at(beyond, name))
        elif shadow[0] > 0.3:
            labels.append(words(beyond, name, FIGURE))
        else:
            labels.append(words(beyond, name, FIGURE, centred=True))
    return strokes, labels


def end_words(start: Array, end: Array) -> tuple[str, str]:
    """Names of the two ends of a piece by where they lie on the vehicle."""
    names = (("front", "rear"), ("left", "right"), ("lower", "upper"))
    axis = int(np.argmax(np.abs(end - start)))
    low, high = names[axis]
    return (low, high) if end[axis] >= start[axis] else (high, low)


def _ending_at(at: Array, text: str) -> Label:
    label = words(at, text, FIGURE)
    width = float(np.ptp(label.corners()[:, 0]))
    return words((at[0] - width, at[1]), text, FIGURE)
