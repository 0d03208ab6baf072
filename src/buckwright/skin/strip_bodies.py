"""Turned edges as closed bodies at a model's scale, that overlap the wall they stand on."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull, cKDTree

from buckwright.geometry.row_sheets import RowSheet, row_triangles, rows_of_sheet
from buckwright.geometry.thicken import thicken
from buckwright.model.treatments import EdgeStrip

__all__ = ["reach_of_strip", "strip_bodies"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

NEAR = 8
"""Vertices of the skin that say which way the metal lies from its edge."""
ROOT = 0.25
"""Part of the wall by which an outward flange stands in it."""


def reach_of_strip(strip: EdgeStrip) -> float:
    """Mm by which it stands off the edge, at its narrowest: a flange's width, else its height."""
    sheets = rows_of_sheet(strip.vertices, strip.triangles)
    rows = np.vstack([sheet.points for sheet in sheets])
    if strip.edge.treatment == "flange":
        return float(np.linalg.norm(rows[:, 1] - rows[:, 0], axis=1).min())
    return float(np.ptp(_in_plane(rows[len(rows) // 2]), axis=0).min())


def strip_bodies(
    strip: EdgeStrip, skin: tuple[Array, Array], *, scale: float, thickness: float
) -> list[tuple[Array, Index]]:
    """A closed body for each run of the strip, at `scale`.

    `skin` has vertices (n, 3) and outward normals (n, 3) at full size. A flange is as thick as
    the wall, behind its outer face; hems and wired edges are solid.
    """
    sheets = rows_of_sheet(strip.vertices, strip.triangles)
    if strip.edge.treatment != "flange":
        return [_filled(scale * sheet.points, closed=sheet.closed) for sheet in sheets]
    outward = strip.edge.way == "out"
    bodies = []
    for sheet in sheets:
        rows = scale * sheet.points
        if outward:
            rows = np.concatenate([_root(sheet, skin, scale, thickness)[:, None], rows], axis=1)
        # An outward flange is drawn turned over: its outer face is the skin's, led round.
        turn = -sheet.turn if outward else sheet.turn
        triangles = row_triangles(*rows.shape[:2], closed=sheet.closed, turn=turn)
        bodies.append(thicken(rows.reshape(-1, 3), triangles, thickness))
    return bodies


def _root(sheet: RowSheet, skin: tuple[Array, Array], scale: float, thickness: float) -> Array:
    """(k, 3) where an outward flange begins, inside the wall below its edge."""
    edge = sheet.points[:, 0]
    _, near = cKDTree(skin[0]).query(edge, k=NEAR)
    into = skin[0][near].mean(axis=1) - edge
    into /= np.maximum(np.linalg.norm(into, axis=1, keepdims=True), 1e-12)
    return np.asarray(scale * edge + thickness * (ROOT * into - skin[1][near[:, 0]]))


def _filled(rows: Array, *, closed: bool) -> tuple[Array, Index]:
    """The rows (k, p, 3), each filled to its convex outline, as one body."""
    flat = _in_plane(rows[len(rows) // 2])
    ring = ConvexHull(flat).vertices
    around = rows[:, np.append(ring, ring[0])]
    count, across = around.shape[:2]
    sides = row_triangles(count, across, closed=closed, turn=1)
    # The ring's last point is its first.
    number = np.arange(count * across).reshape(count, across)
    number[:, -1] = number[:, 0]
    triangles = [number.ravel()[sides]]
    if not closed:
        fan = np.arange(1, across - 2)
        first = np.column_stack([np.zeros_like(fan), fan, fan + 1])
        triangles += [number[0][first], number[-1][first][:, ::-1]]
    used, faces = np.unique(np.vstack(triangles), return_inverse=True)
    vertices, faces = around.reshape(-1, 3)[used], faces.reshape(-1, 3)
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    inside_out = float(np.einsum("ij,ij->", a, np.cross(b, c))) < 0.0
    return vertices, faces[:, ::-1] if inside_out else faces


def _in_plane(row: Array) -> Array:
    """(p, 2) a row's points in the plane that it lies in."""
    off = row - row.mean(axis=0)
    _, _, axes = np.linalg.svd(off, full_matrices=False)
    return np.asarray(off @ axes[:2].T)
