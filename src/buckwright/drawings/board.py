"""The draughtsman's small things: strokes, words, dimensions, arrows, the station grid."""

import re
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.lettering import ascii_text, lettering_width
from buckwright.model.drawings import Ink, Label, Stroke

__all__ = [
    "BIG",
    "FIGURE",
    "NAME",
    "arrow",
    "box_of",
    "cross",
    "dimension",
    "line",
    "ring",
    "short_name",
    "station_grid",
    "words",
    "words_outward",
]

Array = NDArray[np.float64]
Point = Sequence[float] | Array

BIG, NAME, FIGURE = 18.0, 10.0, 7.0
"""mm of capitals (steps of ISO 3098): a piece's name, a line's name, figures and small print."""

GRID_STEP = 100.0


def line(ink: Ink, *points: Point, name: str = "") -> Stroke:
    """A polyline through the points."""
    return Stroke(ink=ink, points=np.array([tuple(p) for p in points]), name=name)


def words(
    at: Point, text: str, height: float, *, angle: float = 0.0, centred: bool = False
) -> Label:
    """Words from `at`, or, centred, with the middle of their base line there."""
    x, y = float(at[0]), float(at[1])
    if centred:
        half = 0.5 * lettering_width(text, height)
        x, y = x - half * np.cos(angle), y - half * np.sin(angle)
    return Label(at=(x, y), text=text, height=height, angle=angle)


def words_outward(at: Point, direction: Array, text: str) -> Label:
    """Words that run away from `at` along the unit direction, turned to read from below."""
    angle = float(np.arctan2(direction[1], direction[0]))
    down = 0.5 * FIGURE * np.array([direction[1], -direction[0]])
    if direction[0] >= -1e-9:
        return words(np.asarray(at) + down, text, FIGURE, angle=angle)
    end = np.asarray(at) + lettering_width(text, FIGURE) * direction
    return words(end - down, text, FIGURE, angle=angle + np.pi)


def short_name(text: str, taken: Iterable[str] = ()) -> str:
    """ASCII name of small letters, digits and hyphens, at most 40 long and none of `taken`."""
    signed = re.sub(r"(?<!\w)-(?=\d)", "minus ", ascii_text(text).lower())
    plain = re.sub(r"[^a-z0-9]+", "-", signed).strip("-")[:40].strip("-")
    plain = plain or "sheet"
    used, name, number = set(taken), plain, 2
    while name in used:
        name, number = f"{plain[:36].rstrip('-')}-{number}", number + 1
    return name


def box_of(strokes: Iterable[Stroke]) -> tuple[Array, Array]:
    """Lower left and upper right corner (2,) of the strokes."""
    points = np.vstack([stroke.points for stroke in strokes])
    return points.min(axis=0), points.max(axis=0)


def cross(at: Point, size: float, ink: Ink = "mark") -> tuple[Stroke, Stroke]:
    """An upright cross, `size` from the middle to each end."""
    x, y = float(at[0]), float(at[1])
    return (
        line(ink, (x - size, y), (x + size, y)),
        line(ink, (x, y - size), (x, y + size)),
    )


def ring(ink: Ink, at: Point, radius: float, name: str = "") -> Stroke:
    """A circle, drawn so finely that no side is more than 0.02 mm off."""
    count = max(24, int(np.ceil(np.pi / np.arccos(max(1.0 - 0.02 / max(radius, 0.1), 0.0)))))
    angle = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    points = np.column_stack([np.cos(angle), np.sin(angle)]) * radius + np.asarray(at, dtype=float)
    return Stroke(ink=ink, points=points, closed=True, name=name)


def arrow(tail: Point, tip: Point, *, ink: Ink = "mark", head: float = 12.0) -> tuple[Stroke, ...]:
    """A line with an open head at `tip`."""
    start, end = np.asarray(tail, dtype=float), np.asarray(tip, dtype=float)
    along = (end - start) / np.linalg.norm(end - start)
    across = np.array([-along[1], along[0]])
    barb = end - head * along
    return (
        line(ink, start, end),
        line(ink, barb + 0.35 * head * across, end, barb - 0.35 * head * across),
    )


def dimension(
    start: Point, end: Point, text: str, *, off: float, height: float = NAME
) -> tuple[tuple[Stroke, ...], Label]:
    """A dimension line beside start-end, `off` mm to the left of that direction.

    Extension lines pass it by 3 mm; heads point at them; the text stands over the line.
    """
    first, last = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    along = (last - first) / np.linalg.norm(last - first)
    across = np.array([-along[1], along[0]])
    a, b = first + off * across, last + off * across
    past = np.sign(off) * 3.0 * across
    middle = 0.5 * (a + b)
    strokes = (
        line("thin", first + np.sign(off) * 2.0 * across, a + past),
        line("thin", last + np.sign(off) * 2.0 * across, b + past),
        *arrow(middle, b, ink="thin", head=10.0),
        *arrow(middle, a, ink="thin", head=10.0),
    )
    angle = float(np.arctan2(along[1], along[0]))
    if not -np.pi / 2 < angle <= np.pi / 2 + 1e-9:
        angle += np.pi
    lift = np.array([-np.sin(angle), np.cos(angle)]) * 0.5 * height
    return strokes, words(middle + lift, text, height, angle=angle, centred=True)


def station_grid(
    low: Array, high: Array, names: tuple[str, str], *, flip: bool = False
) -> tuple[list[Stroke], list[Label]]:
    """Lines every 100 mm over the box, each with its figure at both ends.

    `names` are those of the axes across and up ("x", "z"); with `flip` figures across run
    the other way, as y does in a front elevation. The zero lines are centre lines.
    """
    left, bottom = np.floor(low / GRID_STEP) * GRID_STEP
    right, top = np.ceil(high / GRID_STEP) * GRID_STEP
    strokes, labels = [], []
    for u in np.arange(left, right + 1.0, GRID_STEP):
        figure = f"{names[0]} {(-u if flip else u) + 0.0:.0f}"
        strokes.append(line("grid" if u else "centre", (u, bottom), (u, top), name=figure))
        labels += [
            words((u, bottom - 2.2 * FIGURE), figure, FIGURE, centred=True),
            words((u, top + 1.2 * FIGURE), figure, FIGURE, centred=True),
        ]
    for v in np.arange(bottom, top + 1.0, GRID_STEP):
        figure = f"{names[1]} {v + 0.0:.0f}"
        strokes.append(line("grid" if v else "centre", (left, v), (right, v), name=figure))
        width = lettering_width(figure, FIGURE)
        labels += [
            words((left - width - FIGURE, v - 0.5 * FIGURE), figure, FIGURE),
            words((right + FIGURE, v - 0.5 * FIGURE), figure, FIGURE),
        ]
    return strokes, labels
