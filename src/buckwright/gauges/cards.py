"""A profile as a card: coordinates upright as held, outline, marks, and the mirror image.

How a card lies upright is said in `planes`. The right-hand card is the left one with its x
reversed.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.gauges.planes import CutPlane
from buckwright.gauges.sections import Profile
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.gauges import Gauge, GaugeSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import SkinRegion

__all__ = ["Mark", "card", "level_marks", "line_marks", "mirrored_card", "other_side", "upright"]

Array = NDArray[np.float64]

ACROSS = np.array([1.0, -1.0, 1.0])
"""Takes a left vehicle point to the right."""
ROUND_ORIGIN = 10.0
"""mm: the card's (0, 0) lies at whole tens, so that it can be found with a tape."""
ON_PROFILE = 8.0
"""mm within which a line must pass the profile to be marked on it."""
SAMPLES = 2000
UPRIGHT = 0.1
"""A profile that runs less to the side than this share of its height is upright."""
LEVELS = (100.0, 50.0, 20.0, 10.0, 5.0)
"""mm between marks where no line crosses: the first of these that gives two."""


@dataclass(frozen=True, eq=False, slots=True)
class Mark:
    """Where something named crosses the plane, (3,)."""

    name: str
    point: Array


def line_marks(region: SkinRegion, network: LineNetwork, plane: CutPlane) -> tuple[Mark, ...]:
    """Where the lines of the region cross the plane, in the order of their names."""
    names = {track.line for track in (*region.boundary, *region.inner, *region.holes)}
    marks = []
    for line in sorted((n for n in network.lines if n.name in names), key=lambda n: n.name):
        marks += [Mark(line.name, p) for p in _crossings(line.points(SAMPLES), plane)]
    return tuple(marks)


def level_marks(profile: Profile, plane: CutPlane) -> tuple[Mark, ...]:
    """Round figures of x or z on the profile, two at least: marks where no line crosses."""
    axis = max((0, 2), key=lambda k: float(np.ptp(profile.points[:, k])))
    low, high = profile.points[:, axis].min(), profile.points[:, axis].max()
    for step in LEVELS:
        values = np.arange(np.ceil(low / step), np.floor(high / step) + 1.0) * step
        if len(values) > 1:
            break
    marks = []
    for value in values:
        level = CutPlane(value * np.eye(3)[axis], np.eye(3)[axis])
        name = f"{'xyz'[axis]} {value + 0.0:g}"
        marks += [Mark(name, p) for p in _crossings(profile.points, level)]
    return tuple(marks)


def _crossings(points: Array, plane: CutPlane) -> list[Array]:
    off = (points - plane.point) @ plane.normal
    at = np.flatnonzero((off[:-1] < 0.0) != (off[1:] < 0.0))
    share = off[at] / (off[at] - off[at + 1])
    return list(points[at] + share[:, None] * (points[at + 1] - points[at]))


def upright(profile: Profile, axes: Array) -> Profile:
    """The profile from its left end to its right, or from the lower if it is upright."""
    run = axes @ (profile.points[-1] - profile.points[0])
    if (run[0] if abs(run[0]) > UPRIGHT * abs(run[1]) else run[1]) >= 0.0:
        return profile
    return Profile(profile.points[::-1], profile.outward[::-1], profile.closed)


def card(
    name: str, profile: Profile, plane: CutPlane, marks: tuple[Mark, ...], spec: GaugeSpec
) -> Gauge:
    """The left-hand card for the outside of that profile, or the inside if the name says so.

    Raises JobError if the card would cut through itself: too wide for a hollow of the profile.
    """
    axes = plane.card_axes()
    profile = upright(profile, axes)
    inside = name.endswith(" inside")
    origin = _origin(profile, plane)
    flat = (profile.points - origin) @ axes.T
    away = (-profile.outward if inside else profile.outward) @ axes.T
    on_card = _on_profile(marks, profile, axes, origin, flat)
    return Gauge(
        name=f"{name} left",
        hand="left",
        plane=(plane.axis, float(origin["xyz".index(plane.axis)])),
        section=profile.points,
        profile=flat,
        outline=_outline(flat, away, spec.card_width, name),
        marks=np.array([point for _, point in on_card]).reshape(-1, 2),
        mark_names=tuple(mark for mark, _ in on_card),
        origin=origin,
        axes=axes,
        region=spec.region,
        face="inside" if inside else "outside",
        oblique=plane.oblique,
        squareness_deg=profile.squareness_deg(plane.normal),
        labels=spec.labels,
    )


def _origin(profile: Profile, plane: CutPlane) -> Array:
    """Whole tens near the middle of the profile, put into the plane along its nearest axis."""
    origin = ROUND_ORIGIN * np.round(profile.points.mean(axis=0) / ROUND_ORIGIN)
    k = "xyz".index(plane.axis)
    if not plane.oblique:
        origin[k] = plane.point[k]
        return np.asarray(origin)
    origin[k] += (plane.point - origin) @ plane.normal / plane.normal[k]
    return np.asarray(origin)


def _on_profile(
    marks: tuple[Mark, ...], profile: Profile, axes: Array, origin: Array, flat: Array
) -> list[tuple[str, Array]]:
    """Names and card points of the marks that lie on this piece, moved on to it."""
    found = []
    for mark in marks:
        gap, _, _ = closest_on_polyline(mark.point[None], profile.points)
        if gap[0] <= ON_PROFILE:
            at = (axes @ (mark.point - origin))[None]
            found.append((mark.name, closest_on_polyline(at, flat)[1][0]))
    return found


def _outline(flat: Array, away: Array, width: float, name: str) -> Array:
    """Closed outline, counter-clockwise: the profile, and `width` of card away from the metal."""
    side = flat[1:] - flat[:-1]
    left = np.column_stack([-side[:, 1], side[:, 0]])
    sign = 1.0 if np.einsum("nd,nd->", left, away[1:] + away[:-1]) > 0.0 else -1.0
    offset = shapely.LineString(flat).offset_curve(sign * width)
    back = shapely.get_coordinates(offset)
    whole = offset.geom_type == "LineString" and len(back) > 1
    if whole and np.linalg.norm(back[0] - flat[0]) < np.linalg.norm(back[-1] - flat[0]):
        back = back[::-1]
    shape = shapely.Polygon(np.vstack([flat, back])) if whole else shapely.Polygon()
    if not (whole and shape.is_valid):
        raise JobError(
            f"The gauge '{name}' is too wide for the hollow of its profile.",
            "Make the card narrower, or choose another plane.",
        )
    ring = np.asarray(shapely.geometry.polygon.orient(shape).exterior.coords)
    return ring[:-1]


def mirrored_card(gauge: Gauge) -> Gauge:
    """The right-hand card: the exact mirror image, with the names of the other side."""
    flip = np.array([-1.0, 1.0])
    axis, value = gauge.plane
    return gauge.model_copy(
        update={
            "name": f"{gauge.name.removesuffix(' left')} right",
            "hand": "right",
            "plane": (axis, -value if axis == "y" else value),
            "section": gauge.section * ACROSS,
            "profile": gauge.profile * flip,
            "outline": gauge.outline[::-1] * flip,
            "marks": gauge.marks * flip,
            "mark_names": tuple(other_side(name) for name in gauge.mark_names),
            "origin": gauge.origin * ACROSS,
            "axes": gauge.axes * ACROSS * np.array([[-1.0], [1.0]]),
        }
    )


def other_side(name: str) -> str:
    """The name with `right` for its last word where that was `left`."""
    return f"{name.removesuffix(' left')} right" if name.endswith(" left") else name
