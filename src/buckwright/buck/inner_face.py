"""The inner face of the skin, asked how far points stand off it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.mesh import MeshLocator, vertex_normals
from buckwright.model.skin import SkinRegion, stack_regions

__all__ = ["InnerFace", "InnerFaces"]

Array = NDArray[np.float64]


class InnerFace:
    """Distances from points inside the body to the inner face of its sheet.

    Far from the metal only a lower bound is worked out, which is cheap; near it the distance to
    the triangles is exact.
    """

    def __init__(self, regions: Sequence[SkinRegion], *, sheet: float) -> None:
        if not regions:
            message = "an inner face needs a region of skin"
            raise ValueError(message)
        self.sheet = sheet
        self.vertices, self._triangles = stack_regions(regions)
        self._normals = np.vstack([vertex_normals(r.vertices, r.triangles) for r in regions])
        corners = self.vertices[self._triangles]
        sides = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2)
        # No point of a triangle is farther from its nearest corner than this.
        self._spread = float(sides.max()) / np.sqrt(3.0)
        self._tree = cKDTree(self.vertices)
        self._locator = MeshLocator(self.vertices, self._triangles)

    def room(self, points: Array, *, below: float) -> Array:
        """(n,) mm from each point to the inner face, negative for a point outside the body.

        Exact where it is less than `below`; elsewhere a lower bound that is not less than it.
        """
        near, nearest = self._tree.query(points)
        offset = points - self.vertices[nearest]
        outside = np.einsum("nd,nd->n", offset, self._normals[nearest]) > 0.0
        room = self._least(near) - self.sheet
        close = np.flatnonzero(room < below)
        room = np.where(outside, -near, room)
        if len(close):
            signed, *_ = self._locator.closest(points[close])
            room[close] = -signed - self.sheet
        return np.asarray(room)

    def gap(self, points: Array, *, below: float) -> Array:
        """(n,) mm from each point to the skin, on whichever side; exact where less than `below`."""
        within = float(np.hypot(below, self._spread)) + 1.0
        near, _ = self._tree.query(points, distance_upper_bound=within)
        gap = self._least(np.minimum(near, within))
        close = np.flatnonzero(gap < below)
        if len(close):
            signed, *_ = self._locator.closest(points[close])
            gap[close] = np.abs(signed)
        return gap

    def _least(self, near: Array) -> Array:
        """Least distance to a triangle, from that to the nearest vertex.

        The closest point of a triangle is square below, and a corner lies within the spread.
        """
        return np.asarray(np.sqrt(np.maximum(near**2 - self._spread**2, 0.0)))


class InnerFaces:
    """All sheet of the body: regions over the whole width enclose the frame, others do not."""

    def __init__(self, regions: Sequence[SkinRegion], *, sheet: float) -> None:
        whole = [region for region in regions if region.side == "whole"]
        others = [region for region in regions if region.side != "whole"]
        self.sheet = sheet
        self._whole = InnerFace(whole, sheet=sheet) if whole else None
        self._others = InnerFace(others, sheet=sheet) if others else None

    def room(self, points: Array, *, below: float) -> Array:
        """(n,) mm from points inside the body to the inner face of all sheet.

        Negative outside the whole regions; exact where it is less than `below`, elsewhere a
        lower bound that is not less.
        """
        least = np.full(len(points), np.inf)
        if self._whole is not None:
            least = self._whole.room(points, below=below)
        if self._others is not None:
            other = self._others.gap(points, below=below + self.sheet) - self.sheet
            least = np.minimum(least, other)
        return least

    def gap(self, points: Array, *, below: float) -> Array:
        """(n,) mm from each point to the skin, on whichever side; exact where less than `below`."""
        gaps = [
            face.gap(points, below=below)
            for face in (self._whole, self._others)
            if face is not None
        ]
        return np.asarray(np.min(gaps, axis=0)) if gaps else np.full(len(points), np.inf)
