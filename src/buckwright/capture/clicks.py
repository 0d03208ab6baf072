"""Clicks along a line: whether they can be a trace, and clicks that say what a trace says."""

from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.polyline import polyline_length

__all__ = ["check_clicks", "clicks_along", "hide_stretch"]

Array = NDArray[np.float64]

APART_PX = 90.0
"""Between clicks that are taken from a trace which has none."""
STRAY_PX = 4.0
MOST_CLICKS = 2000
_ONE_PLACE = 0.5


def check_clicks(
    clicks: Array, *, line: str, picture: str, size: tuple[int, int], closed: bool
) -> None:
    """Raises JobError with what is wrong with the clicks (n, 2) of a trace, if anything is.

    Pixel centres are at integers, so a picture reaches half a pixel beyond them.
    """
    trace = f"The trace of {line} in {picture}"
    if not np.all(np.isfinite(clicks)):
        raise JobError(f"{trace} has a click that is no number.", "Set that click again.")
    if len(clicks) < 2:
        raise JobError(
            f"{trace} has one click only.", "Click farther along the line as well, or take it back."
        )
    if closed and len(clicks) < 3:
        raise JobError(f"{trace} cannot go all round with two clicks.", "Set a third one.")
    if len(clicks) > MOST_CLICKS:
        raise JobError(f"{trace} has {len(clicks)} clicks.", f"Use {MOST_CLICKS} at most.")
    outside = np.any((clicks < -0.5) | (clicks > np.array(size) - 0.5), axis=1)
    if outside.any():
        number = int(np.argmax(outside)) + 1
        raise JobError(f"Click {number} lies outside of {picture}.", "Set it inside the picture.")
    looped = np.vstack([clicks, clicks[:1]]) if closed else clicks
    gaps = np.linalg.norm(np.diff(looped, axis=0), axis=1)
    if gaps.min() < _ONE_PLACE:
        number = int(gaps.argmin()) + 1
        raise JobError(
            f"Clicks {number} and {number % len(clicks) + 1} of {line} are at one place.",
            "Take one of them away.",
        )
    if not closed and len(clicks) > 2 and np.linalg.norm(clicks[0] - clicks[-1]) < _ONE_PLACE:
        raise JobError(f"{trace} comes back to its first click.", "Close it instead.")
    if not shapely.LineString(looped).is_simple:
        raise JobError(
            f"{trace} crosses itself.", "Move the click that jumped, or trace it in two pieces."
        )


def clicks_along(px: Array, *, closed: bool = False) -> Array:
    """(k, 2) clicks from which a trace (n, 2) can be snapped anew: close enough at bends.

    Both ends of an open trace stay; a trace shorter than a click's distance keeps its ends only.
    """
    looped = np.vstack([px, px[:1]]) if closed else px
    thin = np.asarray(shapely.LineString(looped).simplify(STRAY_PX).coords)
    parts = []
    for start, end in pairwise(thin):
        count = max(1, round(polyline_length(np.vstack([start, end])) / APART_PX))
        parts.append(start + (end - start) * np.arange(count)[:, None] / count)
    return np.vstack(parts) if closed else np.vstack([*parts, thin[-1:]])


def hide_stretch(clicks: Array, stretch: int, *, closed: bool) -> tuple[Array, ...]:
    """The clicks of what is left on both sides of a hidden stretch, from click k to click k + 1.

    A closed trace opens there. What is left with one click is given back too: the caller says
    what becomes of it. Raises ValueError for a stretch that there is not.
    """
    last = len(clicks) if closed else len(clicks) - 1
    if not 0 <= stretch < last:
        message = "there is no such stretch"
        raise ValueError(message)
    if closed:
        return (np.roll(clicks, -(stretch + 1), axis=0),)
    return clicks[: stretch + 1], clicks[stretch + 1 :]
