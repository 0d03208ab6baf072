"""A profile as a card: coordinates upright as held, outline, marks, and the mirror image.

On a card x runs to the right and y up: a card at a station is seen from behind (x of the card
is the vehicle's y, y its z), one at a buttock from the left (x and z), one at a level from above
with the front up (y and minus x). The right-hand card is the left one with its x reversed.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.gauges.sections import Axis, Profile
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.gauges import Gauge
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import SkinRegion

__all__ = ["Mark", "card", "line_marks", "mirrored_card"]

Array = NDArray[np.float64]

CARD_AXES: dict[Axis, tuple[tuple[float, float, float], tuple[float, float, float]]] = {
    "x": ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "y": ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
    "z": ((0.0, 1.0, 0.0), (-1.0, 0.0, 0.0)),
}
ROUND_ORIGIN = 10.0
"""mm: the card's (0, 0) lies at whole tens, so that it can be found with a tape."""
ON_PROFILE = 8.0
"""mm within which a line must pass the profile to be marked on it."""
SAMPLES = 2000
UPRIGHT = 0.1
"""A profile that runs less to the side than this share of its height is upright."""


@dataclass(frozen=True, eq=False, slots=True)
class Mark:
    """Where a named line crosses the plane, (3,)."""

    name: str
    point: Array


def line_marks(
    region: SkinRegion, network: LineNetwork, axis: Axis, value: float
) -> tuple[Mark, ...]:
    """Where the lines of the region cross the plane, in the order of their names."""
    names = {track.line for track in (*region.boundary, *region.inner, *region.holes)}
    column = "xyz".index(axis)
    marks = []
    for line in sorted((n for n in network.lines if n.name in names), key=lambda n: n.name):
        points = line.points(SAMPLES)
        off = points[:, column] - value
        for i in np.flatnonzero((off[:-1] < 0.0) != (off[1:] < 0.0)):
            share = off[i] / (off[i] - off[i + 1])
            marks.append(Mark(line.name, points[i] + share * (points[i + 1] - points[i])))
    return tuple(marks)


def card(
    name: str, profile: Profile, plane: tuple[Axis, float], marks: tuple[Mark, ...], *, width: float
) -> Gauge:
    """The left-hand card; it runs from its left end to its right, or from the lower if upright.

    Raises JobError if the card would cut through itself: too wide for a hollow of the profile.
    """
    axes = np.array(CARD_AXES[plane[0]])
    points, outward = profile.points, profile.outward
    run = axes @ (points[-1] - points[0])
    if (run[0] if abs(run[0]) > UPRIGHT * abs(run[1]) else run[1]) < 0.0:
        points, outward = points[::-1], outward[::-1]
    origin = ROUND_ORIGIN * np.round(points.mean(axis=0) / ROUND_ORIGIN)
    origin["xyz".index(plane[0])] = plane[1]
    flat = (points - origin) @ axes.T
    on_card = _on_profile(marks, profile, axes, origin, flat)
    return Gauge(
        name=f"{name} left",
        hand="left",
        plane=plane,
        section=points,
        profile=flat,
        outline=_outline(flat, outward @ axes.T, width, name, closed=profile.closed),
        marks=np.array([point for _, point in on_card]).reshape(-1, 2),
        mark_names=tuple(mark for mark, _ in on_card),
        origin=origin,
    )


def _on_profile(
    marks: tuple[Mark, ...], profile: Profile, axes: Array, origin: Array, flat: Array
) -> list[tuple[str, Array]]:
    """Names and card points of the marks that lie on this piece, moved on to it."""
    found = []
    for mark in marks:
        gap, _, _ = closest_on_polyline(mark.point[None], profile.points, closed=profile.closed)
        if gap[0] <= ON_PROFILE:
            at = (axes @ (mark.point - origin))[None]
            found.append((mark.name, closest_on_polyline(at, flat, closed=profile.closed)[1][0]))
    return found


def _outline(flat: Array, outward: Array, width: float, name: str, *, closed: bool) -> Array:
    """Closed outline, counter-clockwise: the profile, and `width` of card on its outside."""
    if closed:
        raise JobError(
            f"The gauge '{name}' would go all round the part and could not be put on it.",
            "Choose another plane.",
        )
    side = flat[1:] - flat[:-1]
    left = np.column_stack([-side[:, 1], side[:, 0]])
    sign = 1.0 if np.einsum("nd,nd->", left, outward[1:] + outward[:-1]) > 0.0 else -1.0
    offset = shapely.LineString(flat).offset_curve(sign * width)
    back = shapely.get_coordinates(offset)
    whole = offset.geom_type == "LineString" and len(back) > 1
    if whole and np.linalg.norm(back[0] - flat[0]) < np.linalg.norm(back[-1] - flat[0]):
        back = back[::-1]
    shape = shapely.Polygon(np.vstack([flat, back]))
    if not (whole and shape.is_valid):
        raise JobError(
            f"The gauge '{name}' is too wide for the hollow of its profile.",
            "Make the card narrower, or choose another plane.",
        )
    ring = np.asarray(shapely.geometry.polygon.orient(shape).exterior.coords)
    return ring[:-1]


def mirrored_card(gauge: Gauge) -> Gauge:
    """The right-hand card: the exact mirror image, with the names of the other side."""
    flip, across = np.array([-1.0, 1.0]), np.array([1.0, -1.0, 1.0])
    axis, value = gauge.plane
    return Gauge(
        name=f"{gauge.name.removesuffix(' left')} right",
        hand="right",
        plane=(axis, -value if axis == "y" else value),
        section=gauge.section * across,
        profile=gauge.profile * flip,
        outline=gauge.outline[::-1] * flip,
        marks=gauge.marks * flip,
        mark_names=tuple(_other_side(name) for name in gauge.mark_names),
        origin=gauge.origin * across,
    )


def _other_side(line: str) -> str:
    return f"{line.removesuffix(' left')} right" if line.endswith(" left") else line
