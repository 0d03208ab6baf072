"""Where a plane cuts a region of the skin, as smooth profiles.

The plane cuts flat triangles; the points are lifted to the smooth surface behind them, slid back
into the plane, and a curve is laid through them that misses none by more than the mesh is true.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.fit_curve import fit_close_points
from buckwright.geometry.mesh import section_mesh
from buckwright.geometry.polyline import polyline_length
from buckwright.model.skin import SkinRegion

__all__ = ["Axis", "Profile", "cut_region"]

Array = NDArray[np.float64]
Axis = Literal["x", "y", "z"]

STEP = 4.0
"""mm between points of a profile."""
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
    """(n, 3) unit normals of the skin."""
    closed: bool

    def squareness_deg(self, axis: Axis) -> float:
        """Least angle along the profile between the plane and the metal, 90 when square."""
        lean = np.abs(self.outward[:, "xyz".index(axis)])
        return float(90.0 - np.degrees(np.arcsin(min(float(lean.max()), 1.0))))


def cut_region(region: SkinRegion, axis: Axis, value: float) -> tuple[Profile, ...]:
    """The pieces of the section worth a card, longest first.

    Of a whole region only the left half is taken, so that the mirror image gives the right one.
    """
    across = np.eye(3)["xyz".index(axis)]
    origin = value * across
    curved = CurvedMesh(region.vertices, region.triangles)
    profiles = []
    for piece, closed in section_mesh(
        region.vertices, region.triangles, origin=origin, normal=across
    ):
        if len(piece) < 4 or polyline_length(piece, closed=closed) < SHORTEST:
            continue
        profile = _smooth(curved, piece, closed, origin, across)
        for part in _left_parts(profile) if region.side == "whole" else (profile,):
            if polyline_length(part.points, closed=part.closed) >= SHORTEST:
                profiles.append(part)
    return tuple(sorted(profiles, key=lambda p: -polyline_length(p.points, closed=p.closed)))


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
