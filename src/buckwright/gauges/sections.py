"""Where a plane cuts a region of the skin, as smooth profiles.

The plane cuts flat triangles; the points are lifted to the smooth surface behind them, slid back
into the plane, and a curve is laid through them that misses none by more than the mesh is true.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.gauges.planes import CutPlane
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.fit_curve import fit_close_points
from buckwright.geometry.mesh import section_mesh
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline, polyline_length
from buckwright.model.skin import SkinRegion

__all__ = ["SHORTEST", "Face", "Profile", "metal_face"]

Array = NDArray[np.float64]

STEP = 4.0
"""mm between points of a profile."""
NARROW = 0.4
SHORTEST = 40.0
"""mm of profile that is worth a card."""
TRUE, TRUE_SHARE = 0.02, 0.1
"""Smoothing: mm, and share of the greatest height of the smooth surface over the triangles."""
NORMAL_TRUE = 0.05
"""Likewise for the components of the normal."""


@dataclass(frozen=True, eq=False, slots=True)
class Profile:
    """A section of the left side or of the whole, in vehicle axes."""

    points: Array
    """(n, 3), exactly in the plane."""
    outward: Array
    """(n, 3) unit normals of the metal's face, away from the metal's inside."""
    closed: bool

    def squareness_deg(self, normal: Array) -> float:
        """Least angle along the profile between the plane and the metal, 90 when square."""
        lean = np.abs(self.outward @ normal)
        return float(90.0 - np.degrees(np.arcsin(min(float(lean.max()), 1.0))))


class Face:
    """One face of the metal over a region, cut by one plane after another."""

    def __init__(self, curved: CurvedMesh, *, whole: bool) -> None:
        """`whole`: the region lies on both sides, and its left half is meant."""
        self.curved, self.whole = curved, whole

    def cut(self, plane: CutPlane) -> tuple[Profile, ...]:
        """The pieces of the section worth a card, longest first.

        Of a whole region only the left half is taken, so that the mirror image gives the right
        one. Where the section goes all round, it comes as an upper and a lower piece. With a
        reach there is only the piece nearest to the plane's point.
        """
        curved = self.curved
        profiles = []
        for piece, closed in section_mesh(
            curved.vertices, curved.triangles, origin=plane.point, normal=plane.normal
        ):
            if len(piece) < 4 or polyline_length(piece, closed=closed) < SHORTEST:
                continue
            profile = _smooth(curved, piece, closed, plane.point, plane.normal)
            for part in _left_parts(profile) if self.whole else (profile,):
                profiles += _halves(part, plane.card_axes()) if part.closed else [part]
        if plane.reach is not None and profiles:
            profiles = [_near(profiles, plane.point, plane.reach)]
        worth = [p for p in profiles if polyline_length(p.points) >= SHORTEST]
        return tuple(sorted(worth, key=lambda p: -polyline_length(p.points)))


def metal_face(region: SkinRegion, *, depth: float) -> Face:
    """The face of the metal that lies `depth` mm inside the skin of the region.

    Vertices go in along the smooth normals, so the face is as true as the skin is where no bend
    is tighter than the depth.
    """
    skin = CurvedMesh(region.vertices, region.triangles)
    whole = region.side == "whole"
    if depth == 0.0:
        return Face(skin, whole=whole)
    inner = CurvedMesh(region.vertices - depth * skin.normals, region.triangles)
    return Face(inner, whole=whole)


def _smooth(
    curved: CurvedMesh, piece: Array, closed: bool, origin: Array, across: Array
) -> Profile:
    points, normals = curved.on_plane(piece, origin, across)
    lift = float(np.linalg.norm(points - piece, axis=1).max())
    curve = fit_close_points(
        points, normals, tolerances=(TRUE + TRUE_SHARE * lift, NORMAL_TRUE), closed=closed
    )
    low, high = float(curve.t[curve.k]), float(curve.t[-curve.k - 1])
    count = max(int(np.ceil((high - low) / STEP)), 8) + 1
    found = curve(np.linspace(low, high, count))
    if closed:
        found = found[:-1]
    flat = found[:, :3] - np.outer((found[:, :3] - origin) @ across, across)
    outward = found[:, 3:] / np.linalg.norm(found[:, 3:], axis=1, keepdims=True)
    return Profile(flat, outward, closed)


def _near(profiles: list[Profile], point: Array, reach: float) -> Profile:
    """The part within `reach` of the place nearest to the point, by the length of the profile."""
    gaps = [closest_on_polyline(point[None], p.points) for p in profiles]
    nearest = min(range(len(profiles)), key=lambda k: float(gaps[k][0][0]))
    profile, place = profiles[nearest], float(gaps[nearest][2][0])
    table = np.hstack([profile.points, profile.outward])
    along = arc_lengths(profile.points)
    low, high = max(place - reach, 0.0), min(place + reach, float(along[-1]))
    at = np.concatenate([[low], along[(along > low) & (along < high)], [high]])
    return _open_part(np.column_stack([np.interp(at, along, column) for column in table.T]))


def _halves(profile: Profile, axes: Array) -> list[Profile]:
    """A section that goes all round as two open ones, parted at its left and right ends.

    Or at its upper and lower ones, where it is much higher than wide.
    """
    flat = profile.points @ axes.T
    wide, high = np.ptp(flat, axis=0)
    long = flat[:, 0 if wide > NARROW * high else 1]
    first, second = sorted((int(np.argmin(long)), int(np.argmax(long))))
    table = np.hstack([profile.points, profile.outward])
    looped = np.vstack([table, table[: first + 1]])
    return [_open_part(looped[first : second + 1]), _open_part(looped[second:])]


def _left_parts(profile: Profile) -> tuple[Profile, ...]:
    """The parts with y <= 0, each ending exactly on the centre plane where it meets it."""
    y = profile.points[:, 1]
    if np.all(y <= 0.0):
        return (profile,)
    if np.all(y > 0.0):
        return ()
    table = np.hstack([profile.points, profile.outward])
    if profile.closed:
        start = int(np.argmax(y))
        table = np.vstack([np.roll(table, -start, axis=0), table[start]])
    return tuple(_open_part(rows) for rows in _runs_left(table))


def _runs_left(table: Array) -> list[Array]:
    """Runs of rows with y <= 0, with the row interpolated at y = 0 at either end."""
    runs: list[list[Array]] = []
    for before, here in zip(np.vstack([table[:1], table[:-1]]), table, strict=True):
        crossing = before[1] * here[1] < 0.0
        middle = (
            before + (here - before) * (before[1] / (before[1] - here[1])) if crossing else here
        )
        if here[1] <= 0.0:
            if not runs or before[1] > 0.0:
                runs.append([])
                if crossing:
                    runs[-1].append(middle)
            runs[-1].append(here)
        elif crossing and runs:
            runs[-1].append(middle)
    return [np.array(run) for run in runs if len(run) >= 2]


def _open_part(rows: Array) -> Profile:
    outward = rows[:, 3:] / np.linalg.norm(rows[:, 3:], axis=1, keepdims=True)
    return Profile(rows[:, :3], outward, closed=False)
