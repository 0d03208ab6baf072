"""A part swung about its hinge axis: first touch, clearance on the way, and the way in."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.turning import Axis, first_meetings, turn_about
from buckwright.model.openings import HingeAxis, Swing, Touch
from buckwright.openings.hinges import axis_of
from buckwright.openings.near import Near, middle_of_least
from buckwright.openings.part import Body, Part

__all__ = ["swing_part"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

STEPS = np.concatenate([[0.0, 0.01, 0.02, 0.035, 0.05, 0.075], np.linspace(0.1, 1.0, 13)])
"""Shares of the swing at which clearance is taken, close where a part leaves its frame."""
REACH = 60.0
"""mm beyond the swept room within which metal still counts for clearance."""
BAND = 20.0
"""mm above and below a level that count for the way in."""
LEVELS = 15


@dataclass(frozen=True, eq=False, slots=True)
class _Scene:
    """What turns and what stands, and the axis between them."""

    part: Part
    body: Body
    axis: Axis
    sense: float

    def turned(self, points: Array, angle: float) -> Array:
        return turn_about(points, self.axis, self.sense * angle)


def swing_part(
    part: Part, body: Body, found: HingeAxis, *, sense: int, wanted: float, door: bool
) -> Swing:
    """The part turned outward through `wanted` rad or to its first touch.

    A touch is exact but for the meshes: every point of the part is followed along its circle
    to the triangles of the body, and every point of the body back along its own to those of the
    part. Clearance is measured at 19 angles, both ways.
    """
    axis = axis_of(found)
    scene = _Scene(part, _nearby(part, body, axis), axis, float(sense))
    touch = _first_touch(scene, wanted)
    reached = wanted if touch is None else min(touch.angle, wanted)
    angles, clearances, least = _clearances(scene, reached)
    if touch is not None:
        clearances[-1] = 0.0
        least = (0.0, reached, np.array(touch.point), touch.against)
    width, level = _way_in(scene, reached) if door else (0.0, 0.0)
    free = part.rim.points[np.argmax(np.linalg.norm(axis.arms(part.rim.points), axis=1))]
    at = least[2]
    return Swing(
        wanted=wanted,
        reached=reached,
        sense=1 if sense > 0 else -1,
        touch=touch,
        angles=angles,
        clearances=clearances,
        least=least[0],
        least_angle=least[1],
        least_at=(float(at[0]), float(at[1]), float(at[2])),
        least_against=least[3],
        lift=float(scene.turned(free[None], reached)[0, 2] - free[2]),
        width=width,
        width_at=level,
        vertices=part.vertices,
        triangles=part.triangles,
    )


def _nearby(part: Part, body: Body, axis: Axis) -> Body:
    """Only triangles within reach of the room that the part sweeps."""
    corners = body.vertices[body.triangles].reshape(-1, 3)
    far = np.linalg.norm(axis.arms(corners), axis=1).reshape(-1, 3).min(axis=1)
    high = axis.heights(corners).reshape(-1, 3)
    own_far = np.linalg.norm(axis.arms(part.vertices), axis=1).max() + REACH
    own_high = axis.heights(part.vertices)
    keep = (far <= own_far) & (high.max(axis=1) >= own_high.min() - REACH)
    keep &= high.min(axis=1) <= own_high.max() + REACH
    used, numbers = np.unique(body.triangles[keep], return_inverse=True)
    return Body(
        vertices=body.vertices[used],
        triangles=numbers.reshape(-1, 3),
        thing=body.thing[keep],
        names=body.names,
    )


def _first_touch(scene: _Scene, wanted: float) -> Touch | None:
    part, body = scene.part, scene.body
    onward, hit = first_meetings(
        part.vertices, body.vertices[body.triangles], scene.axis, sense=scene.sense, most=wanted
    )
    back, met = first_meetings(
        body.vertices, part.vertices[part.triangles], scene.axis, sense=-scene.sense, most=wanted
    )
    if not np.isfinite(min(onward.min(), back.min())):
        return None
    one, other = middle_of_least(onward, part.vertices), middle_of_least(back, body.vertices)
    if onward[one] <= back[other]:
        angle, triangle = float(onward[one]), int(hit[one])
        where = scene.turned(part.vertices[[one]], angle)[0]
        edge = _part_edge(part, part.vertices[one], skin=one < part.skin_count)
    else:
        angle = float(back[other])
        where = body.vertices[other]
        shut = scene.turned(where[None], -angle)[0]
        edge = _part_edge(part, shut, skin=int(met[other]) < part.skin_triangles)
        triangle = int(np.flatnonzero((body.triangles == other).any(axis=1))[0])
    return Touch(
        angle=angle,
        point=(float(where[0]), float(where[1]), float(where[2])),
        part=edge,
        against=_named(scene, triangle, where),
    )


def _part_edge(part: Part, shut: Array, *, skin: bool) -> str:
    """The edge of the part that a place of it, shut, belongs to; its skin away from all edges."""
    gaps = np.linalg.norm(part.rim.points - shut, axis=1)
    nearest = int(np.argmin(gaps))
    if skin and gaps[nearest] > part.rim.gaps[nearest] + 1.0:
        return "its skin"
    return f"its {part.rim.edges[nearest]} edge"


def _named(scene: _Scene, triangle: int, where: Array) -> str:
    """What a triangle of the body is, in words; of the jamb and beside the gap, at which edge."""
    rim, name = scene.part.rim, scene.body.names[int(scene.body.thing[triangle])]
    gaps = np.linalg.norm(rim.points - where, axis=1)
    nearest = int(np.argmin(gaps))
    if name == "the jamb" or gaps[nearest] <= rim.gaps[nearest] + 1.0:
        return f"the jamb at its {rim.edges[nearest]} edge"
    return name


def _clearances(
    scene: _Scene, reached: float
) -> tuple[Array, Array, tuple[float, float, Array, str]]:
    """Angles, least distance at each, and the least of all: distance, angle, place, thing."""
    part, body = scene.part, scene.body
    still = Near(body.vertices, body.triangles)
    moving = Near(part.vertices, part.triangles)
    angles = STEPS * reached
    found = np.empty(len(angles))
    best: tuple[float, float, Array, str] = (np.inf, 0.0, part.vertices[0], "")
    for k, angle in enumerate(angles):
        gap, _, foot, triangle = still.least(scene.turned(part.vertices, float(angle)))
        back, which, _, _ = moving.least(scene.turned(body.vertices, -float(angle)))
        if back < gap:
            gap, foot = back, body.vertices[which]
            triangle = int(np.flatnonzero((body.triangles == which).any(axis=1))[0])
        found[k] = gap
        if gap < best[0]:
            best = (gap, float(angle), foot, _named(scene, triangle, foot))
    return angles, found, best


def _way_in(scene: _Scene, angle: float) -> tuple[float, float]:
    """The narrowest way between the open door and the jamb, level by level: mm, and its z.

    In plan, from the jamb's free side to the nearest of the door's skin and return edge within
    the band of the level, or to the jamb's hinged side. Only the middle seven tenths in height.
    """
    rim = scene.part.rim
    arms = np.linalg.norm(scene.axis.arms(rim.points), axis=1)
    hinged = min(np.unique(rim.edges), key=lambda edge: float(arms[rim.edges == edge].mean()))
    free = max(np.unique(rim.edges), key=lambda edge: float(arms[rim.edges == edge].mean()))
    jamb = np.vstack([rim.row(-1.0, 0.0), rim.row(-1.0, 50.0)])
    edges = np.tile(rim.edges, 2)
    door = scene.turned(scene.part.vertices, angle)
    low, high = rim.points[:, 2].min(), rim.points[:, 2].max()
    found = []
    for level in np.linspace(low + 0.15 * (high - low), high - 0.15 * (high - low), LEVELS):
        beside = np.abs(jamb[:, 2] - level) <= BAND
        ours, theirs = jamb[beside & (edges == free)], jamb[beside & (edges == hinged)]
        others = np.vstack([door[np.abs(door[:, 2] - level) <= BAND], theirs])
        if len(ours) and len(others):
            gaps, _ = cKDTree(others[:, :2]).query(ours[:, :2])
            found.append((float(gaps.min()), float(level)))
    return min(found) if found else (0.0, 0.0)
