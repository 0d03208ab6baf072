"""A trim's line laid on a region: on its mesh, and on its flat picture."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.flat_cut import carried_on
from buckwright.geometry.mesh import MeshLocator, edges_of, level_lines
from buckwright.geometry.polyline import resample_polyline
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, SkinRegion
from buckwright.model.treatments import SkinMeeting, TrimSpec

__all__ = ["LaidTrim", "lay_trim"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

AXES = ("x", "y", "z")
PARTS = 6
"""Points of a trim to each edge of the mesh: finer than any triangle."""
REACH = 40.0
"""mm within which the end of a trim is carried on to the region's edge, as a seam's is."""
PAST = 0.3
"""Part of an edge by which it runs beyond, so that it surely parts the metal."""
STEEP = 0.05
"""Cosine of the angle between skin and direction below which nothing is projected on it."""


@dataclass(frozen=True, eq=False, slots=True)
class LaidTrim:
    """Lines on the flat picture, and mm by which they were moved to lie on the region."""

    lines: tuple[shapely.LineString, ...]
    moved: Array


def lay_trim(
    trim: TrimSpec,
    region: SkinRegion,
    outline: shapely.Polygon,
    network: LineNetwork | None,
    meetings: Sequence[SkinMeeting],
) -> LaidTrim:
    """The trim's lines on the region's flat picture `outline`.

    Raises JobError for a line or meeting that does not exist, or that passes the region by.
    """
    size = _edge(region)
    if trim.by == "plane":
        return _plane(trim, region, outline, size)
    own = [t for t in region.inner if t.line == trim.line and trim.by == "line"]
    if own:
        return LaidTrim(tuple(_of_track(t, region, outline, size) for t in own), np.zeros(1))
    moved: list[Array] = []
    lines: list[shapely.LineString] = []
    for points, closed in _asked(trim, network, meetings):
        fine = _finely(points, size / PARTS, closed=closed)
        flat, off, met = _projected(trim, region, fine)
        moved.append(off[met])
        lines += _runs(flat, met, outline, size, closed=closed)
    if not lines:
        raise JobError(
            f"Trim '{trim.name}' passes region '{region.name}' by.",
            "Choose a line over that region, or the region that it lies on.",
        )
    return LaidTrim(tuple(lines), np.concatenate(moved))


def _of_track(
    track: LineTrack, region: SkinRegion, outline: shapely.Polygon, size: float
) -> shapely.LineString:
    """A line that the mesh has edges along already."""
    flat = region.chart[track.vertices]
    if track.closed:
        return shapely.LineString(np.vstack([flat, flat[:1]]))
    return carried_on(outline, flat, reach=REACH, past=PAST * size)


def _edge(region: SkinRegion) -> float:
    """Mean edge length on the flat picture."""
    edges, _ = edges_of(region.triangles)
    return float(np.linalg.norm(np.diff(region.chart[edges], axis=1)[:, 0], axis=1).mean())


def _asked(
    trim: TrimSpec, network: LineNetwork | None, meetings: Sequence[SkinMeeting]
) -> list[tuple[Array, bool]]:
    if trim.by == "drawn":
        return [(np.array(trim.through, dtype=np.float64), trim.closed)]
    if trim.by == "meeting":
        found = [(np.asarray(m.points), m.closed) for m in meetings if m.name == trim.line]
        kind = "meeting of skins"
    else:
        lines = () if network is None else network.lines
        found = [(line.points(400), line.closed) for line in lines if line.name == trim.line]
        kind = "line"
    if not found:
        raise JobError(
            f"Trim '{trim.name}' names the {kind} '{trim.line}', which does not exist.",
            "Choose one that does.",
        )
    return found


def _finely(points: Array, step: float, *, closed: bool) -> Array:
    """The polyline with its own corners and points between them, at most `step` apart."""
    looped = np.vstack([points, points[:1]]) if closed else points
    parts = []
    for a, b in pairwise(looped):
        count = max(2, int(np.ceil(np.linalg.norm(b - a) / step)) + 1)
        parts.append(resample_polyline(np.array([a, b]), count)[:-1])
    return np.vstack(parts if closed else [*parts, looped[-1:]])


def _projected(
    trim: TrimSpec, region: SkinRegion, points: Array
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Places on the flat picture (k, 2), mm moved (k,), and whether they lie over the region."""
    locator = MeshLocator(region.vertices, region.triangles)
    if trim.along is None:
        _, foot, triangle, weights = locator.closest(points)
        off = np.linalg.norm(foot - points, axis=1)
        met = _facing(region, points, foot, triangle, weights)
    else:
        foot, triangle, weights, met = _along(locator, points, np.array(trim.along))
        off = np.linalg.norm(foot - points, axis=1)
    corners = region.chart[region.triangles[triangle]]
    return np.einsum("ki,kid->kd", weights, corners), off, met


def _facing(
    region: SkinRegion, points: Array, foot: Array, triangle: Index, weights: Array
) -> NDArray[np.bool_]:
    """Whether the nearest place is straight below, and not the rim, beyond which the point lies."""
    a, b, c = np.moveaxis(region.vertices[region.triangles[triangle]], 1, 0)
    normal = np.cross(b - a, c - a)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    off = points - foot
    aside = np.linalg.norm(off - np.einsum("kd,kd->k", off, normal)[:, None] * normal, axis=1)
    edges, of_triangle = edges_of(region.triangles)
    once = np.bincount(of_triangle.ravel(), minlength=len(edges)) == 1
    on_rim = (once[of_triangle[triangle]] & (weights <= 1e-9)).any(axis=1)
    return np.asarray(~(on_rim & (aside > 1e-6 + 0.1 * np.linalg.norm(off, axis=1))))


def _along(
    locator: MeshLocator, points: Array, way: Array
) -> tuple[Array, NDArray[np.int64], Array, NDArray[np.bool_]]:
    """The nearest place of the mesh forward or back along a direction, for each point."""
    way = way / np.linalg.norm(way)
    a, b, c = np.moveaxis(locator.vertices[locator.triangles], 1, 0)
    u, v = b - a, c - a
    across = np.cross(way, v)
    size = np.einsum("md,md->m", u, across)
    flat = np.abs(size) > STEEP * np.linalg.norm(np.cross(u, v), axis=1)
    scale = np.where(flat, 1.0 / np.where(flat, size, 1.0), 0.0)
    foot, weights = np.array(points), np.tile([1.0, 0.0, 0.0], (len(points), 1))
    triangle, met = np.zeros(len(points), dtype=np.int64), np.zeros(len(points), dtype=np.bool_)
    for k, point in enumerate(points):
        off = point - a
        first = np.einsum("md,md->m", off, across) * scale
        turned = np.cross(off, u)
        second = turned @ way * scale
        far = np.einsum("md,md->m", v, turned) * scale
        hit = flat & (first >= -1e-9) & (second >= -1e-9) & (first + second <= 1.0 + 1e-9)
        if hit.any():
            best = int(np.argmin(np.where(hit, np.abs(far), np.inf)))
            triangle[k], met[k] = best, True
            weights[k] = [1.0 - first[best] - second[best], first[best], second[best]]
            foot[k] = point + far[best] * way
    return foot, triangle, weights, met


def _runs(
    flat: Array,
    met: NDArray[np.bool_],
    outline: shapely.Polygon,
    size: float,
    *,
    closed: bool,
) -> list[shapely.LineString]:
    """The stretches that lie over the region, each carried on to its edge."""
    if closed and met.all():
        return [shapely.LineString(np.vstack([flat, flat[:1]]))]
    if closed:
        start = int(np.argmin(met))
        flat, met = np.roll(flat, -start, axis=0), np.roll(met, -start)
    found = []
    for run in np.split(np.arange(len(met)), np.flatnonzero(np.diff(met.astype(np.int64))) + 1):
        points = _apart(flat[run])
        if met[run[0]] and len(points) > 1:
            found.append(carried_on(outline, points, reach=REACH, past=PAST * size))
    return found


def _apart(points: Array) -> Array:
    """Without points that repeat the one before."""
    kept = np.ones(len(points), dtype=np.bool_)
    kept[1:] = np.abs(np.diff(points, axis=0)).max(axis=1) > 1e-9
    return np.asarray(points[kept])


def _plane(trim: TrimSpec, region: SkinRegion, outline: shapely.Polygon, size: float) -> LaidTrim:
    height = region.vertices[:, AXES.index(trim.axis)] - trim.value
    lines = []
    for ends, part, closed in level_lines(region.triangles, height):
        low, high = region.chart[ends[:, 0]], region.chart[ends[:, 1]]
        flat = _apart(low + part[:, None] * (high - low))
        if closed and len(flat) > 2:
            lines.append(shapely.LineString(np.vstack([flat, flat[:1]])))
        elif len(flat) > 1:
            lines.append(carried_on(outline, flat, reach=REACH, past=PAST * size))
    if not lines:
        raise JobError(
            f"The plane {trim.axis} = {trim.value:g} of trim '{trim.name}' passes region "
            f"'{region.name}' by.",
            "Put it where the region is.",
        )
    return LaidTrim(tuple(lines), np.zeros(1))
