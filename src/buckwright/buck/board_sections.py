"""Sections of the skin's inner face as closed shapes that boards are cut to."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.mesh import section_mesh
from buckwright.geometry.polyline import polyline_length, resample_polyline
from buckwright.model.skin import SkinRegion

__all__ = ["STEP", "BodyFace", "Run", "closed_shape"]

Array = NDArray[np.float64]

STEP = 6.0
"""mm between points of an edge."""
SHORTEST = 20.0
"""mm of metal that is worth an edge."""
REACH = 40.0
"""mm off the metal within which a place belongs to it."""


@dataclass(frozen=True, eq=False, slots=True)
class Run:
    """Metal along a section: points (n, 3) in the plane, unit normals (n, 3) outward."""

    points: Array
    normals: Array
    closed: bool


class BodyFace:
    """The inner face of the sheet over several regions."""

    def __init__(self, regions: Sequence[SkinRegion], *, sheet: float) -> None:
        self._meshes = []
        for region in regions:
            skin = CurvedMesh(region.vertices, region.triangles)
            inner = region.vertices - sheet * skin.normals
            self._meshes.append(CurvedMesh(inner, region.triangles) if sheet else skin)

    def cut(self, axis: int, value: float) -> tuple[Run, ...]:
        """Runs of metal in the plane axis = value, evenly spaced, on the smooth surface."""
        across = np.eye(3)[axis]
        runs = []
        for mesh in self._meshes:
            pieces = section_mesh(
                mesh.vertices, mesh.triangles, origin=value * across, normal=across
            )
            for piece, closed in pieces:
                length = polyline_length(piece, closed=closed)
                if length < SHORTEST:
                    continue
                even = resample_polyline(piece, max(8, round(length / STEP)) + 1, closed=closed)
                points, normals = mesh.on_plane(even, value * across, across)
                points[:, axis] = value
                runs.append(Run(points, normals, closed))
        return tuple(runs)

    def stand_off(self, points: Array) -> Array:
        """(n,) mm from points near the inner face to it, positive inside the body.

        Infinite where no metal lies square off within `REACH`.
        """
        best = np.full(len(points), np.inf)
        for mesh in self._meshes:
            low, high = mesh.vertices.min(axis=0) - REACH, mesh.vertices.max(axis=0) + REACH
            here = np.flatnonzero(np.all((points > low) & (points < high), axis=1))
            if not len(here):
                continue
            lifted, normals = mesh.lift(points[here])
            off = points[here] - lifted
            # Beyond the rim of a region the foot lies at the rim and says nothing of the face.
            height = np.einsum("nd,nd->n", off, normals)
            aside = np.linalg.norm(off - height[:, None] * normals, axis=1)
            own = (aside < 0.5 + 0.2 * np.abs(height)) & (np.abs(height) < REACH)
            found = np.where(own, -height, np.inf)
            best[here] = np.where(np.abs(found) < np.abs(best[here]), found, best[here])
        return best


def closed_shape(runs: Sequence[Run], plane: tuple[int, int]) -> shapely.Polygon | None:
    """The shape that runs of metal bound in a plane, straight across where there is no metal.

    `plane` numbers the two axes it is drawn in. The runs are joined in their order round the
    middle of the section. None where they bound nothing.
    """
    if not runs:
        return None
    flat = [run.points[:, plane] for run in runs]
    for run, points in zip(runs, flat, strict=True):
        if run.closed:
            return _largest(shapely.Polygon(points).buffer(0.0))
    every = np.vstack(flat)
    middle = 0.5 * (every.min(axis=0) + every.max(axis=0))
    turned = [points if _turn(points, middle) > 0.0 else points[::-1] for points in flat]
    turned.sort(key=lambda points: _angle(points[len(points) // 2] - middle))
    ring = np.vstack(turned)
    if len(ring) < 4:
        return None
    shape = _largest(shapely.Polygon(ring).buffer(0.0))
    return shape if shape is not None and shape.area > 100.0 else None


def _turn(points: Array, middle: Array) -> float:
    """Angle by which a run goes round the middle, counter-clockwise positive."""
    off = points - middle
    cross = off[:-1, 0] * off[1:, 1] - off[:-1, 1] * off[1:, 0]
    return float(np.arctan2(cross, np.einsum("nd,nd->n", off[:-1], off[1:])).sum())


def _angle(offset: Array) -> float:
    return float(np.arctan2(offset[1], offset[0]))


def _largest(shape: shapely.Geometry) -> shapely.Polygon | None:
    parts = [p for p in shapely.get_parts(shape) if isinstance(p, shapely.Polygon)]
    return max(parts, key=lambda part: float(part.area), default=None)
