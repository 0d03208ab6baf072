"""The hinge axis: one line through all pins, and whether the part can turn about it."""

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.mesh import MeshLocator
from buckwright.geometry.turning import Axis, fit_axis
from buckwright.model.openings import Hinge, HingeAxis
from buckwright.openings.part import Body, Part

__all__ = ["axis_of", "check_place", "hinge_axis", "turning_sense"]

Array = NDArray[np.float64]

LEAST_APART = 50.0
"""mm between the first and the last pin: closer ones do not fix an axis."""
PLACES = 25
"""Places between the pins at which the axis is tested."""
SQUARE = 0.35
"""Share of a part's motion that must be in or out, not in its own face."""


def hinge_axis(hinge: Hinge, *, of: str) -> HingeAxis:
    """The line of least squares through the pins, how far they lie off it, how it leans.

    Raises JobError for fewer than two pins, for pins that are not finite or stand too close.
    """
    points = np.array([pin.point for pin in hinge.pins], dtype=np.float64).reshape(-1, 3)
    if len(points) < 2:
        raise JobError(f"'{of}' has fewer than two hinge points.", "Give two hinge points.")
    if not np.isfinite(points).all():
        raise JobError(f"A hinge point of '{of}' is not a number.", "Type its x, y and z again.")
    apart = float(np.linalg.norm(points[:, None] - points[None], axis=2).max())
    if apart < LEAST_APART:
        raise JobError(
            f"The hinge points of '{of}' are {apart:.0f} mm apart, too close to fix an axis.",
            f"Give points {LEAST_APART:.0f} mm apart or more.",
        )
    axis, off = fit_axis(points)
    direction = axis.direction if axis.direction[2] >= -1e-9 else -axis.direction
    along = (points - axis.point) @ direction
    return HingeAxis(
        point=_place(axis.point),
        direction=_place(direction),
        span=(float(along.min()), float(along.max())),
        residual=float(off.max()),
        twist=_twist(hinge, direction, of),
        tested=len(points) > 2 or any(pin.direction is not None for pin in hinge.pins),
        lean_back=float(np.arctan2(direction[0], direction[2])),
        lean_right=float(np.arctan2(direction[1], direction[2])),
    )


def _twist(hinge: Hinge, direction: Array, of: str) -> float:
    """The most that a measured pin points away from the axis, either end up."""
    worst = 0.0
    for pin in hinge.pins:
        if pin.direction is None:
            continue
        way = np.array(pin.direction, dtype=np.float64)
        size = float(np.linalg.norm(way))
        if not np.isfinite(size) or size <= 0.0:
            raise JobError(f"A pin of '{of}' points nowhere.", "Type its direction again.")
        across = np.linalg.norm(np.cross(way / size, direction))
        worst = max(worst, float(np.arctan2(across, abs(way @ direction) / size)))
    return worst


def _place(point: Array) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in point)
    return x, y, z


def axis_of(found: HingeAxis) -> Axis:
    """The same for sums."""
    return Axis(np.array(found.point), np.array(found.direction))


def check_place(found: HingeAxis, part: Part, body: Body, *, depth: float, of: str) -> None:
    """Raise JobError where the axis runs through metal between the pins, or inside the part.

    Inside means between the part's skin and its inner face, farther from its edge than it is
    thick: what lies beyond the axis would have to swing into the body.
    """
    axis = axis_of(found)
    spots = axis.point + np.outer(np.linspace(*found.span, PLACES), axis.direction)
    skin = MeshLocator(part.vertices[: part.skin_count], part.triangles[: part.skin_triangles])
    for vertices, triangles, thing in (
        (part.vertices, part.triangles, f"the metal of '{of}'"),
        (body.vertices, body.triangles, "the metal of the body"),
    ):
        at = _crossing(spots[0], spots[-1], vertices[triangles])
        if at is not None:
            raise JobError(
                f"The hinge axis of '{of}' goes through {thing} at {_told(at)}.",
                "Move a hinge point to one side of the metal.",
            )
    signed, foot, _, _ = skin.closest(spots)
    edge = np.linalg.norm(part.rim.points[None] - foot[:, None], axis=2).min(axis=1)
    buried = (signed < 0.0) & (signed > -depth) & (edge > depth)
    if buried.any():
        spot = int(np.argmax(np.where(buried, edge, 0.0)))
        raise JobError(
            f"The hinge axis of '{of}' lies inside it, {edge[spot]:.0f} mm from its edge.",
            "Move the hinge points to an edge, so that nothing swings into the body.",
        )


def _crossing(start: Array, end: Array, corners: Array) -> Array | None:
    """Where the straight piece first goes through a triangle (m, 3, 3); None if it does not."""
    way = end - start
    a, u, v = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    p = np.cross(way, v)
    det = (u * p).sum(axis=1)
    flat = np.abs(det) < 1e-12 * np.abs(det).max(initial=1.0)
    inverse = 1.0 / np.where(flat, 1.0, det)
    t = start - a
    s = (t * p).sum(axis=1) * inverse
    q = np.cross(t, u)
    r = (way * q).sum(axis=1) * inverse
    share = (v * q).sum(axis=1) * inverse
    hit = ~flat & (s >= 0.0) & (r >= 0.0) & (s + r <= 1.0) & (share >= 0.0) & (share <= 1.0)
    if not hit.any():
        return None
    return np.asarray(start + share[hit].min() * way)


def _told(point: Array) -> str:
    return "x {:.0f}, y {:.0f}, z {:.0f}".format(*point)


def turning_sense(found: HingeAxis, part: Part, *, of: str) -> int:
    """1 if a right-handed turn about the axis takes the part outward, -1 if a left-handed one.

    Raises JobError where the axis stands so square to the part that it would turn in its face.
    """
    axis = axis_of(found)
    arms = axis.arms(part.rim.points)
    way = np.cross(axis.direction, arms).mean(axis=0)
    size = float(np.linalg.norm(np.cross(axis.direction, arms), axis=1).mean())
    out = float(way @ part.normal)
    if size <= 0.0 or abs(out) < SQUARE * size:
        raise JobError(
            f"About this hinge axis '{of}' would turn in its own face instead of opening.",
            "Place both hinge points along one edge.",
        )
    return 1 if out > 0.0 else -1
