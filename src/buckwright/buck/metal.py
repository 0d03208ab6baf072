"""Rods against the metal of regions that they do not lie on: ends cut back, the rest named."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.paths import Path
from buckwright.buck.rods import Rod
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.model.skin import SkinRegion

__all__ = ["Metal", "end_clear_of_metal", "runs_in_metal"]

Array = NDArray[np.float64]

CHORD = 0.5
"""mm that flat triangles may lie inside the skin they stand for."""
END_RUN = 120.0
"""mm from an end within which a rod that runs into metal is cut back."""
STEP = 2.0
MIRROR = np.array([1.0, -1.0, 1.0])


class Metal:
    """The sheet of all regions, asked by rods that lie on another one."""

    def __init__(
        self, regions: Sequence[tuple[SkinRegion, CurvedMesh]], *, sheet: float, diameter: float
    ) -> None:
        """`regions` without the right ones, which are asked as images of the left."""
        self._sheet, self._radius = sheet, 0.5 * diameter
        self._regions = list(regions)
        reach = diameter + sheet
        self._boxes = [
            (region.vertices.min(axis=0) - reach, region.vertices.max(axis=0) + reach)
            for region, _ in regions
        ]

    def depth(self, path: Path, points: Array) -> tuple[Array, list[str]]:
        """How deep (n,) a tube along points of a path's axis is in metal of other regions, mm.

        0 where it is clear, or off by less than flat triangles can tell. With the names of the
        regions that it runs into.
        """
        deepest, names = np.zeros(len(points)), []
        for (region, mesh), box in zip(self._regions, self._boxes, strict=True):
            for flip in (False, True) if region.side == "left" else (False,):
                side = "right" if flip else region.side
                if region.name == path.region and side == path.side:
                    continue
                found = self._depth_in(mesh, box, points * MIRROR if flip else points)
                if found.any():
                    names.append(region.name)
                deepest = np.maximum(deepest, found)
        return deepest, names

    def _depth_in(self, mesh: CurvedMesh, box: tuple[Array, Array], points: Array) -> Array:
        depth = np.zeros(len(points))
        near = np.flatnonzero(np.all((points > box[0]) & (points < box[1]), axis=1))
        if not len(near):
            return depth
        gap = mesh.locator.closest(points[near])[0]
        inside, outside = gap + self._sheet + self._radius, self._radius - gap
        found = np.minimum(inside, outside)
        depth[near] = np.where(found > CHORD, found, 0.0)
        return depth


def end_clear_of_metal(path: Path, set_in: float, metal: Metal) -> Path:
    """The path with ends that run into another region's metal cut back until they are clear."""
    run = min(END_RUN, 0.4 * (path.end - path.start))
    if path.closed or run <= STEP:
        return path
    off = np.arange(0.0, run, STEP)
    start, end = path.start, path.end
    for from_start in (True, False):
        at = path.start + off if from_start else path.end - off
        depth, _ = metal.depth(path, path.axis(at, set_in))
        hit = np.flatnonzero(depth)
        if len(hit) and hit[-1] + 1 < len(off):
            clear = float(at[hit[-1] + 1])
            start, end = (clear, end) if from_start else (start, clear)
    return path.shortened(start, end)


def runs_in_metal(rod: Rod, metal: Metal) -> tuple[tuple[float, float, float], list[str]] | None:
    """Where a rod runs through metal: (from, to, deepest) along it in mm, and the regions."""
    depth, names = metal.depth(rod.path, rod.points)
    hit = np.flatnonzero(depth)
    if not len(hit):
        return None
    return (float(rod.along[hit[0]]), float(rod.along[hit[-1]]), float(depth.max())), names
