"""The width between the inner faces of both sides, at one station and one height."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.mesh import section_mesh, vertex_normals
from buckwright.model.skin import Skin, SkinRegion

__all__ = ["InnerSection", "cut_inner_section"]

Array = NDArray[np.float64]
Pieces = tuple[Array, ...]


class InnerSection:
    """The inner face cut at one station: for each region its pieces, (k, 2) of y and z."""

    def __init__(self, regions: tuple[Pieces, ...]) -> None:
        self.regions = regions

    def heights(self) -> tuple[float, float] | None:
        """Lowest and highest z of the section; None if the plane misses the body."""
        every = [piece[:, 1] for pieces in self.regions for piece in pieces]
        if not every:
            return None
        joined = np.concatenate(every)
        return float(joined.min()), float(joined.max())

    def half_breadths(self, z: float) -> tuple[float | None, float | None]:
        """Distance from the centre plane to the inner face on the left and on the right.

        The innermost region counts. Where a region has an opening at this height, such as a
        window, it is taken as closed straight from the metal below to the metal above. None on
        a side where no region is there.
        """
        return self._nearest(z, -1.0), self._nearest(z, 1.0)

    def _nearest(self, z: float, side: float) -> float | None:
        found = [_breadth(pieces, z, side) for pieces in self.regions]
        there = [value for value in found if value is not None]
        return min(there) if there else None


def cut_inner_section(skin: Skin, *, station: float, depth: float) -> InnerSection:
    """The skin set in by `depth` mm along its normals, cut by the plane x = station."""
    return InnerSection(tuple(_cut(region, station, depth) for region in skin.regions))


def _cut(region: SkinRegion, station: float, depth: float) -> Pieces:
    vertices, triangles = np.asarray(region.vertices), np.asarray(region.triangles)
    inner = vertices - depth * vertex_normals(vertices, triangles)
    cut = section_mesh(
        inner, triangles, origin=np.array([station, 0.0, 0.0]), normal=np.array([1.0, 0.0, 0.0])
    )
    return tuple(
        np.vstack([points, points[:1]])[:, 1:] if closed else points[:, 1:]
        for points, closed in cut
    )


def _breadth(pieces: Pieces, z: float, side: float) -> float | None:
    """Least distance from the centre plane at height z on one side, over one region's pieces."""
    crossed, below, above = [], None, None
    for piece in pieces:
        y, height = piece[:, 0] * side, piece[:, 1]
        low, high = height[:-1], height[1:]
        over = (np.minimum(low, high) <= z) & (np.maximum(low, high) >= z) & (low != high)
        part = (z - low[over]) / (high[over] - low[over])
        at = y[:-1][over] + part * (y[1:][over] - y[:-1][over])
        crossed += at[at > 0.0].tolist()
        here = y > 0.0
        for value, level in zip(y[here], height[here], strict=True):
            if level < z and (below is None or level > below[1]):
                below = (value, level)
            if level > z and (above is None or level < above[1]):
                above = (value, level)
    if crossed:
        return float(min(crossed))
    if below is None or above is None:
        return None
    share = (z - below[1]) / (above[1] - below[1])
    return float(below[0] + share * (above[0] - below[0]))
