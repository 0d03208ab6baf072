"""A spot as one would say it at the bench: how far, how large, where from the lines, what to do."""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.skin import LineTrack, SkinRegion

__all__ = ["place_words", "spot_words", "width_words"]

Array = NDArray[np.float64]

ON_LINE = 15.0
"""mm within which a spot is said to lie on a line."""
WIDTHS = (
    (20.0, "a fingertip"),
    (35.0, "a thumb's width"),
    (70.0, "three fingers' width"),
    (130.0, "a hand's width"),
    (240.0, "a hand's span"),
    (450.0, "a forearm's length"),
)


def width_words(area: float) -> str:
    """The diameter of a disc of that area (mm^2), in words and millimetres."""
    width = 2.0 * float(np.sqrt(area / np.pi))
    rounded = f"{10.0 * round(width / 10.0):.0f} mm" if width >= 30.0 else f"{width:.0f} mm"
    for most, name in WIDTHS:
        if width <= most:
            return f"about {name} ({rounded})"
    return f"more than a forearm's length ({rounded})"


def spot_words(
    kind: Literal["high", "low"], height: float, area: float, centre: Array, region: SkinRegion
) -> str:
    """One clause: `low by 6 mm over about a hand's width (90 mm), 120 mm behind ...: raise it`."""
    work = "raise it from inside" if kind == "low" else "dress it down from outside"
    size = f"{kind} by {abs(height):.1f} mm over {width_words(area)}"
    return f"{size}, {place_words(centre, region)}: {work}"


def place_words(centre: Array, region: SkinRegion) -> str:
    """Where a point of the region lies, from the two nearest of its lines."""
    tracks = region.inner or region.boundary
    found = sorted((_from_line(centre, region, track) for track in tracks), key=lambda f: f[0])
    if not found:
        return f"at station {centre[0]:.0f}, height {centre[2]:.0f}"
    clauses = list(dict.fromkeys(clause for _, clause in found))[:2]
    return " and ".join(clauses)


def _from_line(centre: Array, region: SkinRegion, track: LineTrack) -> tuple[float, str]:
    line = region.vertices[track.vertices]
    gap, nearest, _ = closest_on_polyline(centre[None], line, closed=track.closed)
    if gap[0] < ON_LINE:
        return float(gap[0]), f"on the {track.line}"
    return float(gap[0]), f"{gap[0]:.0f} mm {_way(centre, nearest[0], region)} the {track.line}"


def _way(centre: Array, nearest: Array, region: SkinRegion) -> str:
    """The trade's word for the direction from `nearest` to the point."""
    offset = centre - nearest
    axis = int(np.argmax(np.abs(offset)))
    ahead = offset[axis] < 0.0
    if axis == 0:
        return "ahead of" if ahead else "behind"
    if axis == 2:
        return "below" if ahead else "above"
    if region.side == "whole" and abs(nearest[1]) < ON_LINE:
        return "to the left of" if ahead else "to the right of"
    left = region.side == "left" or (region.side == "whole" and nearest[1] < 0.0)
    return "outboard of" if ahead == left else "inboard of"
