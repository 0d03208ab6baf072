"""Plane sections of the skin, with their curvature."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.curvature import Curvatures
from buckwright.geometry.mesh import level_lines
from buckwright.geometry.polyline import polyline_length
from buckwright.model.crowns import SectionLine

__all__ = ["section_lines"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

GRAZING = 1e-3
"""Sine of the angle between plane and skin below which a section has no curvature to speak of."""


def section_lines(
    vertices: Array, triangles: Index, bends: Curvatures, *, origin: Array, normal: Array
) -> tuple[SectionLine, ...]:
    """Where the plane through `origin` (3,) across `normal` (3,) cuts the mesh, longest first.

    Exact on the mesh. The curvature is not that of the polyline, whose corners mean nothing, but
    that of the surface: its normal curvature along the section (Euler), divided by the cosine of
    the angle between its normal and the plane (Meusnier). Where the plane grazes the skin it is
    given as nothing.
    """
    across = np.asarray(normal, dtype=np.float64) / np.linalg.norm(normal)
    tensor = _tensor(bends)
    lines = []
    for ends, part, closed in level_lines(triangles, (vertices - origin) @ across):
        points = _between(vertices, ends, part)
        kept = _apart(points, closed=closed)
        if kept.sum() < (3 if closed else 2):
            continue
        up = _between(bends.normals, ends, part)[kept]
        form = _between(tensor, ends, part)[kept]
        outward, curvature = _bent(up, form, across)
        lines.append(
            SectionLine(points=points[kept], closed=closed, curvature=curvature, outward=outward)
        )
    return tuple(sorted(lines, key=lambda s: -polyline_length(s.points, closed=s.closed)))


def _tensor(bends: Curvatures) -> Array:
    """(n, 3, 3) so that t @ T @ t is the normal curvature along a unit tangent t."""
    parts = ((bends.greater, bends.greater_way), (bends.lesser, bends.lesser_way))
    return np.asarray(sum(k[:, None, None] * w[:, :, None] * w[:, None, :] for k, w in parts))


def _between(values: Array, ends: Index, part: Array) -> Array:
    share = part.reshape(-1, *(1 for _ in values.shape[1:]))
    low, high = values[ends[:, 0]], values[ends[:, 1]]
    return np.asarray(low + share * (high - low))


def _apart(points: Array, *, closed: bool) -> NDArray[np.bool_]:
    """Which points do not repeat the one before."""
    kept = np.abs(points - np.roll(points, 1, axis=0)).max(axis=1) > 1e-9
    if not closed:
        kept[0] = True
    return np.asarray(kept)


def _bent(up: Array, form: Array, across: Array) -> tuple[Array, Array]:
    """Unit normals (k, 3) in the plane, and the section's curvature (k,)."""
    up = up / np.linalg.norm(up, axis=1, keepdims=True)
    flat = up - (up @ across)[:, None] * across
    sine = np.linalg.norm(flat, axis=1)
    clear = sine > GRAZING
    outward = flat / np.where(clear, sine, 1.0)[:, None]
    along = np.cross(across, outward)
    bend = np.einsum("ki,kij,kj->k", along, form, along)
    return outward, np.where(clear, bend / np.where(clear, sine, 1.0), 0.0)
