"""Where marks of one view can lie in space: epipolar candidates, and the votes of all views."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.capture.views import STEP_PX, Marks, Views

__all__ = ["Candidates", "TraceFinder", "candidates_of_view"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_LEAST_QUALITY = 0.08
"""sin(angle of the trace to the epipolar plane) * sin(parallax) below which a hit says nothing."""
_VOTE_PX, _REACH_PX = 3.0, 12.0
_LEAST_LOOP = 8
"""Marks of a trace that may be a loop."""
_MERGE = 0.8
"""mm over quality: candidates closer than this on one ray are the same."""


@dataclass(frozen=True, eq=False, slots=True)
class Candidates:
    """Points in space for some marks of one view, in the order of those marks."""

    mark: Index
    """(n,) row of the mark among those asked for."""
    point: Array
    """(n, 3) mm."""
    quality: Array
    """(n,) 0 to 1, how well the pair of views places the point."""
    support: Array
    """(n,) about the number of views whose traces pass through the point."""


class TraceFinder:
    """Distances from points in space to the traces of every view; build once, ask often.

    Of a closed line, a view that shows it whole speaks against every point beside its trace.
    """

    def __init__(self, views: Views, marks: Marks, *, closed: bool) -> None:
        self.views = views
        self._whole = _shown_whole(marks, views) if closed else np.zeros(len(views.names), bool)
        self._rows = [np.flatnonzero(marks.view == k) for k in range(len(views.names))]
        self._marks = marks
        self._trees = [cKDTree(marks.flat[rows]) for rows in self._rows]

    def distances(self, points: Array) -> Array:
        """(k, n) px from each view's traces, no more than 12; 12 behind the camera."""
        flat, depth = self.views.flat(points)
        gaps = np.full(depth.shape, _REACH_PX)
        for k, tree in enumerate(self._trees):
            focal = self.views.focal[k]
            _, near = tree.query(flat[k], distance_upper_bound=2.0 * _REACH_PX / focal)
            hit = (near < len(self._rows[k])) & (depth[k] > 0.0)
            rows = self._rows[k][near[hit]]
            offset = flat[k, hit] - self._marks.flat[rows]
            along = self._marks.along[rows]
            across = np.abs(offset[:, 0] * along[:, 1] - offset[:, 1] * along[:, 0])
            beside = np.abs(np.einsum("ij,ij->i", offset, along)) - 0.5 * STEP_PX / focal
            gap = focal * np.hypot(across, np.maximum(beside, 0.0))
            gaps[k, hit] = np.minimum(gap, _REACH_PX)
        return gaps

    def support(self, points: Array) -> Array:
        """(n,) about the number of views with a trace through each point, less the whole ones
        without.
        """
        gaps = self.distances(points)
        against = 1.0 - np.exp(-0.5 * (gaps[self._whole] / (2.0 * _VOTE_PX)) ** 2)
        return np.asarray(np.exp(-0.5 * (gaps / _VOTE_PX) ** 2).sum(axis=0) - against.sum(axis=0))


def _shown_whole(marks: Marks, views: Views) -> NDArray[np.bool_]:
    """(k,) whether a view has a trace that comes back to its start."""
    whole = np.zeros(len(views.names), dtype=bool)
    for piece in np.unique(marks.piece):
        rows = np.flatnonzero(marks.piece == piece)
        view = marks.view[rows[0]]
        gap = np.linalg.norm(marks.flat[rows[-1]] - marks.flat[rows[0]]) * views.focal[view]
        whole[view] |= len(rows) > _LEAST_LOOP and gap < 2.0 * STEP_PX
    return whole


def candidates_of_view(
    rows: Index, marks: Marks, views: Views, *, finder: TraceFinder, box: Array
) -> Candidates:
    """Everywhere that the marks `rows` of one view can lie, seen from each of the other views.

    The plane through a mark's ray and another camera cuts that camera's traces; each cut, with
    the ray, gives a point. Kept are points inside `box` (2, 3) that the pair places well enough.
    """
    view = int(marks.view[rows[0]])
    rays = _rays(marks, views)
    found = [
        _cuts(rays[rows], view, other, marks=marks, rays=rays, views=views)
        for other in range(len(views.names))
        if other != view
    ]
    mark = np.concatenate([f[0] for f in found])
    point = np.vstack([f[1] for f in found])
    quality = np.concatenate([f[2] for f in found])
    good = (quality > _LEAST_QUALITY) & np.all((point > box[0]) & (point < box[1]), axis=1)
    mark, point, quality = mark[good], point[good], quality[good]
    depth = np.linalg.norm(point - views.centre[view], axis=1)
    order = np.lexsort((depth, mark))
    return _merged(
        Candidates(mark[order], point[order], quality[order], finder.support(point[order]))
    )


def _merged(found: Candidates) -> Candidates:
    """Candidates of one mark that lie together on its ray, as several views say the same, as one.

    Points are sorted by mark and depth; a new one begins where the gap is more than the
    worse-placed of the two explains.
    """
    if len(found.mark) == 0:
        return found
    gap = np.linalg.norm(np.diff(found.point, axis=0), axis=1)
    poorer = np.minimum(found.quality[1:], found.quality[:-1])
    begins = np.append(True, (np.diff(found.mark) > 0) | (gap * poorer > _MERGE))
    group = np.cumsum(begins) - 1
    weight = found.quality**2 * np.maximum(found.support, 0.01)
    total = np.bincount(group, weight)
    mean = [np.bincount(group, weight * found.point[:, k]) / total for k in range(3)]
    first = np.flatnonzero(begins)
    return Candidates(
        found.mark[first],
        np.column_stack(mean),
        np.maximum.reduceat(found.quality, first),
        np.maximum.reduceat(found.support, first),
    )


def _rays(marks: Marks, views: Views) -> Array:
    """(n, 3) unit directions of the marks in the mat's frame."""
    local = np.column_stack([marks.flat, np.ones(len(marks.flat))])
    local /= np.linalg.norm(local, axis=1, keepdims=True)
    return np.asarray(np.einsum("nj,nji->ni", local, views.rotation[marks.view]))


def _cuts(
    from_rays: Array, view: int, other: int, *, marks: Marks, rays: Array, views: Views
) -> tuple[Index, Array, Array]:
    """Marks asked for, points and qualities where epipolar planes cut the other view's traces."""
    theirs = np.flatnonzero(marks.view == other)
    start, end = theirs[:-1], theirs[1:]
    joined = marks.piece[start] == marks.piece[end]
    start, end = start[joined], end[joined]
    base = views.centre[other] - views.centre[view]
    normal = np.cross(base, from_rays)
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12)
    before, after = normal @ rays[start].T, normal @ rays[end].T
    mark, cut = np.nonzero((before > 0.0) != (after > 0.0))
    low, high = before[mark, cut], after[mark, cut]
    part = (low / (low - high))[:, None]
    chord = rays[end[cut]] - rays[start[cut]]
    towards = rays[start[cut]] + part * chord
    across = np.cross(from_rays[mark], towards)
    square = np.maximum(np.einsum("ij,ij->i", across, across), 1e-18)
    depth = np.einsum("ij,ij->i", np.cross(base, towards), across) / square
    reach = np.einsum("ij,ij->i", np.cross(base, from_rays[mark]), across) / square
    lean = np.abs(high - low) / np.maximum(np.linalg.norm(chord, axis=1), 1e-12)
    quality = lean * np.sqrt(square) / np.linalg.norm(towards, axis=1)
    quality[(depth <= 0.0) | (reach <= 0.0)] = 0.0
    return mark, views.centre[view] + depth[:, None] * from_rays[mark], quality
