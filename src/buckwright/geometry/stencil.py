"""Lettering that may be cut right through: no stroke closes round a piece that would drop out."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.geometry.lettering import lettering_strokes

__all__ = ["stencil_strokes"]

Array = NDArray[np.float64]

BRIDGE_SHARE, LEAST_BRIDGE = 0.12, 0.8
"""Width of a bridge in heights of capitals, and in mm at least."""


def stencil_strokes(text: str, height: float) -> tuple[Array, ...]:
    """Polylines (n, 2) of the words as `lettering_strokes` draws them, with bridges.

    A bridge is left in every ring of strokes, at the ring's lowest place, so that what it
    surrounds stays joined to the rest.
    """
    bridge = max(BRIDGE_SHARE * height, LEAST_BRIDGE)
    lines = [shapely.LineString(s) for s in lettering_strokes(text, height) if len(s) > 1]
    ink = shapely.union_all(lines)
    while True:
        rings = shapely.get_parts(shapely.polygonize([ink]))
        if not len(rings):
            break
        gaps = [_lowest(ring).buffer(0.5 * bridge) for ring in rings]
        ink = ink.difference(shapely.union_all(gaps))
    parts = shapely.get_parts(shapely.line_merge(ink))
    return tuple(np.asarray(part.coords) for part in parts if part.length > 0.0)


def _lowest(ring: shapely.Polygon) -> shapely.Point:
    """The middle of the ring's lowest side: a corner may belong to other strokes too."""
    corners = np.asarray(ring.exterior.coords)
    middles = 0.5 * (corners[1:] + corners[:-1])
    return shapely.Point(middles[np.argmin(middles[:, 1])])
