"""Which way a rod lies off a line where two regions meet at an angle.

Set in from one region alone, a rod along a crease would lie in the other's metal. In the corner
it lies at the same depth under both: at a depth s the axis runs at p - s lean, where
lean . n = 1 for the outward normals n of both. Across a reverse crease, where the metal folds
towards the rod, the edge itself is what it keeps off, and the lean has length 1.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.skin import SkinRegion

__all__ = ["Creases", "fade_leans"]

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

SAME = 0.05
"""mm within which vertices of two regions are one."""
FADE = 120.0
"""mm along a line over which a rod comes out of the corner, where the crease ends before it."""
KNIFE = 0.3
"""Least 1 + cosine of the angle between normals: about 134 degrees; a sharper edge has no room."""


class Creases:
    """The rims of all regions, asked where another region meets a line."""

    def __init__(self, regions: Sequence[tuple[SkinRegion, CurvedMesh]]) -> None:
        self._owner: list[str] = []
        points, normals, inward = [np.zeros((0, 3))], [np.zeros((0, 3))], [np.zeros((0, 3))]
        for region, mesh in regions:
            rim = _rim_of(region)
            self._owner += [region.name] * len(rim)
            points.append(mesh.vertices[rim])
            normals.append(mesh.normals[rim])
            inward.append(_inward(mesh, rim))
        self._points, self._normals = np.vstack(points), np.vstack(normals)
        self._inward = np.vstack(inward)
        self._tree = cKDTree(self._points)

    def leans(self, region: SkinRegion, points: Array, normals: Array) -> tuple[Array, Mask]:
        """Leans (n, 3) at vertices of a region, and (n,) where another region meets it.

        Elsewhere the lean is the normal.
        """
        leans, meets = normals.copy(), np.zeros(len(points), dtype=bool)
        for k, near in enumerate(self._tree.query_ball_point(points, SAME)):
            others = [j for j in near if self._owner[j] != region.name]
            if others:
                steepest = min(others, key=lambda j: float(self._normals[j] @ normals[k]))
                leans[k] = _lean(normals[k], self._normals[steepest], self._inward[steepest])
                meets[k] = True
        return leans, meets


def _rim_of(region: SkinRegion) -> NDArray[np.int64]:
    tracks = [*region.boundary, *region.holes]
    return np.unique(np.concatenate([np.zeros(0, np.int64), *(t.vertices for t in tracks)]))


def _inward(mesh: CurvedMesh, rim: NDArray[np.int64]) -> Array:
    """(k, 3) from each rim vertex towards the middle of the triangles round it."""
    centres = mesh.vertices[mesh.triangles].mean(axis=1)
    near = np.flatnonzero(np.isin(mesh.triangles, rim).any(axis=1))
    total = np.zeros_like(mesh.vertices)
    for k in range(3):
        corner = mesh.triangles[near, k]
        np.add.at(total, corner, centres[near] - mesh.vertices[corner])
    return total[rim]


def _lean(own: Array, other: Array, other_inward: Array) -> Array:
    lean = (own + other) / max(1.0 + float(own @ other), KNIFE)
    reverse = float(other_inward @ own) > 0.0
    return np.asarray(lean / np.linalg.norm(lean) if reverse else lean)


def fade_leans(points: Array, normals: Array, leans: Array, meets: Mask) -> Array:
    """Leans (n, 3) along a line, the sideways part faded out beyond the ends of a crease."""
    if not meets.any() or meets.all():
        return leans
    along = arc_lengths(points)
    known = np.flatnonzero(meets)
    nearest = known[np.argmin(np.abs(along[:, None] - along[known]), axis=1)]
    share = np.clip(np.abs(along - along[nearest]) / FADE, 0.0, 1.0)
    left = 1.0 - share**2 * (3.0 - 2.0 * share)
    aside = (leans - normals)[nearest]
    aside -= np.einsum("nd,nd->n", aside, normals)[:, None] * normals
    return np.where(meets[:, None], leans, normals + left[:, None] * aside)
