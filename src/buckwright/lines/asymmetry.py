"""How far left and right differ, pair by pair, and where."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline
from buckwright.lines.sides import MIRROR
from buckwright.model.finding import Finding
from buckwright.model.lines import PlacedLine, SidesApart

__all__ = ["sides_apart", "sides_doubts"]

Array = NDArray[np.float64]
Lines = dict[str, PlacedLine]

_MOST_POINTS = 60
"""Places of a pair that are kept."""
_NO_PAIR = 0.05
"""Share of a line's length by which mirror images cannot differ."""


def sides_apart(lines: Lines, pairs: tuple[tuple[str, str], ...]) -> tuple[SidesApart, ...]:
    """For each pair of placed lines how far the left one lies off the right one's mirror image.

    Where one line of a pair reaches beyond the other there is nothing to compare.
    Raises JobError for a pair that cannot be one.
    """
    return tuple(_apart(lines[a], lines[b]) for a, b in pairs)


def _apart(line: PlacedLine, other: PlacedLine) -> SidesApart:
    if float(np.mean(np.asarray(line.points)[:, 1])) > 0.0:
        line, other = other, line
    points, image = np.asarray(line.points), np.asarray(other.points) * MIRROR
    gap, near, along = closest_on_polyline(points, image, closed=line.closed)
    if not line.closed:
        inside = (along > 0.0) & (along < arc_lengths(image)[-1])
        if np.any(inside):
            points, near, gap = points[inside], near[inside], gap[inside]
    rms = float(np.sqrt(np.mean(gap**2)))
    length = float(arc_lengths(np.asarray(line.points))[-1])
    if rms > _NO_PAIR * length:
        raise JobError(
            f"'{line.name}' and '{other.name}' are said to mirror each other, but they differ by "
            f"{rms:.0f} mm.",
            "Check that both traces follow the same line of the body, and their names.",
        )
    most = int(np.argmax(gap))
    some = np.unique(np.linspace(0, len(points) - 1, _MOST_POINTS).round().astype(np.int64))
    return SidesApart(
        left=line.name,
        right=other.name,
        rms=rms,
        most=float(gap[most]),
        most_at=points[most],
        # Two lines, each with the printed sigma in the two directions across it.
        doubt=float(np.sqrt(2.0 * _square(line) + 2.0 * _square(other))),
        points=points[some],
        apart=(points - near)[some],
    )


def _square(line: PlacedLine) -> float:
    return float(np.mean(np.asarray(line.sigma) ** 2))


def sides_doubts(apart: tuple[SidesApart, ...]) -> Iterator[Finding]:
    """A doubt for each pair that differs by more than measuring explains."""
    for pair in apart:
        if pair.rms > 2.0 * pair.doubt:
            yield Finding(
                code="sides-differ",
                where=pair.left,
                message=f"'{pair.left}' and '{pair.right}' differ by {pair.rms:.1f} mm rms where "
                f"measuring explains {pair.doubt:.1f} mm, most at x {pair.most_at[0]:.0f}: by "
                f"{pair.most:.1f} mm. The model is not the same on both sides.",
                remedy="The mean of both sides is used; trace the better side only to build that "
                "one.",
            )
