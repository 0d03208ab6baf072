"""Where names go: each beside its own line, clear of the other lines and names."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.lettering import lettering_width
from buckwright.geometry.polyline import arc_lengths, polyline_length, resample_polyline
from buckwright.model.drawings import Label, Stroke

__all__ = ["place_names", "spread_apart"]

Array = NDArray[np.float64]

PLACES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9, 0.03, 0.97)
GAPS = (0.45, -1.45, 1.3, -2.3, 2.4, -3.4)
"""Base line from the line, in heights: close above, close below, then farther off."""
LABEL_WEIGHT = 6.0
"""A name on a name is worse than a name on a line."""


def place_names(
    named: Sequence[tuple[str, Array]], strokes: Sequence[Stroke], height: float
) -> tuple[Label, ...]:
    """A label for each (name, polyline (n, 2)), along its line, where it covers least.

    `strokes` are what should stay clear. Each takes the best place that is left, in order, so
    put the longest lines last. Near its middle and close to its line are preferred.
    """
    ink = [_dotted(stroke.points, 0.4 * height, closed=stroke.closed) for stroke in strokes]
    ink += [_dotted(points, 0.4 * height) for _, points in named]
    dots, weights = np.vstack(ink), np.ones(sum(len(d) for d in ink))
    labels = []
    for text, points in named:
        # No place for the name is farther from its line than this.
        reach = lettering_width(text, height) + 6.0 * height
        low, high = points.min(axis=0) - reach, points.max(axis=0) + reach
        near = np.flatnonzero(((dots > low) & (dots < high)).all(axis=1))
        there, price = dots[near], weights[near]
        label = min(
            _candidates(text, points, height),
            key=lambda pair: pair[1] + _covered(pair[0], there, price),
        )[0]
        labels.append(label)
        own = _box_dots(label)
        dots = np.vstack([dots, own])
        weights = np.concatenate([weights, np.full(len(own), LABEL_WEIGHT)])
    return tuple(labels)


def spread_apart(wanted: Array, gap: float) -> Array:
    """Places (n,) nearest to the wanted ones (n,), ascending, at least `gap` apart.

    Least squares by pooling neighbours that are too close.
    """
    blocks: list[tuple[float, int]] = []
    for index, value in enumerate(wanted):
        total, count = float(value) - gap * index, 1
        while blocks and blocks[-1][0] / blocks[-1][1] > total / count:
            total, count = total + blocks[-1][0], count + blocks[-1][1]
            blocks.pop()
        blocks.append((total, count))
    level = np.repeat([total / count for total, count in blocks], [count for _, count in blocks])
    return np.asarray(level + gap * np.arange(len(level)))


def _dotted(points: Array, step: float, *, closed: bool = False) -> Array:
    length = polyline_length(points, closed=closed)
    if length <= 0.0:
        return points
    count = max(2, int(length / step))
    return resample_polyline(points, count, closed=closed)


def _candidates(text: str, points: Array, height: float) -> list[tuple[Label, float]]:
    """Labels along the line with the price of their place; beside it, level, if it is short."""
    along = arc_lengths(points)
    width = lettering_width(text, height)
    found = []
    for rank, place in enumerate(PLACES):
        at = np.array([np.interp(place * along[-1], along, points[:, k]) for k in range(2)])
        angle = _reading_angle(points, along, place * along[-1], 0.5 * width)
        up = np.array([-np.sin(angle), np.cos(angle)])
        across = np.array([np.cos(angle), np.sin(angle)])
        for gap in GAPS:
            left = at + gap * height * up - 0.5 * width * across
            found.append((_label(left, text, height, angle), 0.25 * rank + 1.5 * abs(gap + 0.5)))
        if np.linalg.norm(points[-1] - points[0]) < 1.2 * width:
            for shift in (0.9 * height, -0.9 * height - width):
                for drop in (-0.5, 0.7, -1.7):
                    left = at + np.array([shift, drop * height])
                    found.append((_label(left, text, height, 0.0), 0.25 * rank + 2.0))
    return found


def _label(at: Array, text: str, height: float, angle: float) -> Label:
    return Label(at=(float(at[0]), float(at[1])), text=text, height=height, angle=angle)


def _reading_angle(points: Array, along: Array, at: float, half: float) -> float:
    """Direction of the line over the label's length, turned so that it reads from below."""
    ends = np.clip([at - half, at + half], 0.0, along[-1])
    x, y = (np.interp(ends, along, points[:, k]) for k in range(2))
    angle = float(np.arctan2(y[1] - y[0], x[1] - x[0]))
    if angle > np.pi / 2 + 1e-6:
        return angle - np.pi
    return angle + np.pi if angle <= -np.pi / 2 + 1e-6 else angle


def _local(label: Label, points: Array) -> Array:
    cosine, sine = np.cos(label.angle), np.sin(label.angle)
    return np.asarray((points - label.at) @ np.array([[cosine, -sine], [sine, cosine]]))


def _covered(label: Label, dots: Array, weights: Array) -> float:
    place = _local(label, dots)
    width, height = lettering_width(label.text, label.height), label.height
    inside = (place[:, 0] > -0.3 * height) & (place[:, 0] < width + 0.3 * height)
    inside &= (place[:, 1] > -0.35 * height) & (place[:, 1] < 1.2 * height)
    return float(weights[inside].sum())


def _box_dots(label: Label) -> Array:
    width, height = lettering_width(label.text, label.height), label.height
    u = np.linspace(0.0, width, max(2, int(width / (0.4 * height))))
    grid = np.stack(np.meshgrid(u, np.linspace(0.0, height, 3)), axis=-1).reshape(-1, 2)
    cosine, sine = np.cos(label.angle), np.sin(label.angle)
    return np.asarray(grid @ np.array([[cosine, sine], [-sine, cosine]]) + label.at)
