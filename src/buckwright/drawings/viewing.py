"""How a piece that lies anywhere in space is laid on the paper, and which way is which there."""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import FIGURE, arrow, words
from buckwright.geometry.plane import Plane, fit_plane
from buckwright.model.drawings import Label, Stroke
from buckwright.model.skin import SkinRegion

__all__ = ["chart_compass", "compass", "end_words", "outside_of", "seen_from", "view_from"]

Array = NDArray[np.float64]

DIRECTIONS = (
    ("forward", np.array([-1.0, 0.0, 0.0])),
    ("up", np.array([0.0, 0.0, 1.0])),
    ("right", np.array([0.0, 1.0, 0.0])),
)
SHOWN = 0.6
"""Share of a direction that must lie in the paper for an arrow to be honest."""


def outside_of(side: Literal["whole", "left", "right"]) -> Array:
    """Where to stand to look at a piece of that side: above, and to its own side, or before it.

    Never square to a plane that a body is likely to have, so that small doubts decide nothing.
    """
    across = {"left": -0.8, "right": 0.8, "whole": -0.4}[side]
    return np.array([-0.5 if side == "whole" else 0.0, across, 1.0])


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
    upright = next((part for part in (v[2], u[0]) if abs(part) > 0.5), u[2])
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
    shadows = {name: axes[:2] @ direction for name, direction in DIRECTIONS}
    return _arrows(at, {n: s for n, s in shadows.items() if np.linalg.norm(s) > SHOWN})


def chart_compass(at: tuple[float, float], region: SkinRegion) -> tuple[list[Stroke], list[Label]]:
    """The same for a region laid flat: directions that hold on the whole over the flat picture."""
    flat = region.chart - region.chart.mean(axis=0)
    shadows = {}
    for name, direction in DIRECTIONS:
        way = region.vertices @ direction
        slope, *_ = np.linalg.lstsq(flat, way - way.mean(), rcond=None)
        left = np.var(way - flat @ slope)
        if np.var(way) > 0.0 and 1.0 - left / np.var(way) > SHOWN:
            shadows[name] = slope / np.linalg.norm(slope)
    return _arrows(at, shadows)


def _arrows(at: tuple[float, float], shadows: dict[str, Array]) -> tuple[list[Stroke], list[Label]]:
    strokes: list[Stroke] = []
    labels: list[Label] = []
    start = np.asarray(at)
    for name, shadow in shadows.items():
        strokes += arrow(start, start + 70.0 * shadow)
        beyond = start + 84.0 * shadow - np.array([0.0, 0.5 * FIGURE])
        if shadow[0] < -0.3:
            labels.append(_ending_at(beyond, name))
        else:
            labels.append(words(beyond, name, FIGURE, centred=bool(shadow[0] <= 0.3)))
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
