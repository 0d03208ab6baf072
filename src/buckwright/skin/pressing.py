"""Beads and louvres pressed into the mesh of the skin itself: what is handed on, and printed."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.interpolate import LinearNDInterpolator

from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.flat_cut import cut_flat
from buckwright.geometry.mesh import MeshLocator, boundary_loops
from buckwright.geometry.near_refine import refine_near
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline
from buckwright.geometry.row_sheets import rows_of_sheet
from buckwright.model.fact import frozen
from buckwright.model.louvres import LouvreField
from buckwright.model.skin import Skin, SkinRegion
from buckwright.model.treatments import Bead
from buckwright.skin.meetings import region_key

__all__ = ["PressedRegion", "press_region", "pressed_in", "pressed_skin"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Slits = Literal["open", "closed"]
Pressing = Bead | LouvreField

SIDES = 12.0
"""Triangles across a bead or louvre, about."""
FINEST, COARSEST = 1.0, 8.0
"""mm, edges of those triangles."""
ON = 1e-6
"""mm on the flat picture within which a vertex lies on a cut."""


@dataclass(frozen=True, eq=False, slots=True)
class PressedRegion:
    """A region's mesh, finer where it is pressed.

    Attributes: feet (n, 3), the vertices on the skin as it was; vertices (n, 3), where they are
    pressed to; triangles (m, 3). Rim vertices are the region's own and lie where they lay.
    """

    feet: Array
    vertices: Array
    triangles: Index


@dataclass(frozen=True, eq=False, slots=True)
class _Mesh:
    vertices: Array
    triangles: Index
    chart: Array
    height: Array


def pressed_in(skin: Skin, region: SkinRegion) -> tuple[Pressing, ...]:
    """The beads and fields of louvres that lie on the region."""
    key = region_key(region)
    every: tuple[Pressing, ...] = (*skin.beads, *skin.louvres)
    return tuple(one for one in every if one.region == key)


def pressed_skin(skin: Skin) -> Skin:
    """The skin with its beads and louvres in its meshes, slits open; regions without either stay.

    Regions that were pressed have no tracks: their lines are those of the skin as it was.
    """
    regions = []
    for region in skin.regions:
        asked = pressed_in(skin, region)
        if not asked:
            regions.append(region)
            continue
        made = press_region(region, asked, slits="open")
        update = {
            "vertices": frozen(made.vertices),
            "triangles": frozen(made.triangles),
            "chart": np.zeros((len(made.vertices), 2)),
            **dict.fromkeys(("boundary", "inner", "holes", "creases"), ()),
        }
        regions.append(region.model_copy(update=update))
    kept = {"regions": tuple(regions), "beads": (), "louvres": ()}
    return skin.model_copy(update=kept)


def press_region(
    region: SkinRegion, pressings: Sequence[Pressing], *, slits: Slits
) -> PressedRegion:
    """The region with those beads and louvres pressed in.

    Open slits part the mesh along each cut; closed ones are a steep face there, so that a wall
    behind the mesh stays whole. Heights are those of the drawn bead or louvre over the skin.
    """
    surface = CurvedMesh(region.vertices, region.triangles)
    mesh = _finer(region, surface, pressings)
    seen = _Seen(mesh)
    for one in pressings:
        if isinstance(one, LouvreField):
            for sheet in rows_of_sheet(one.vertices, one.triangles):
                mesh = _louvred(mesh, *seen.rows(sheet.points), slits)
        else:
            mesh = _beaded(mesh, *seen.points(one.vertices))
    raised = mesh.height != 0.0
    vertices = mesh.vertices.copy()
    if raised.any():
        _, up = surface.lift(mesh.vertices[raised])
        vertices[raised] += mesh.height[raised, None] * up
    return PressedRegion(mesh.vertices, vertices, mesh.triangles)


def _finer(region: SkinRegion, surface: CurvedMesh, pressings: Sequence[Pressing]) -> _Mesh:
    values = np.hstack([region.vertices, region.chart])
    triangles = np.asarray(region.triangles)
    for one in pressings:
        length = float(np.clip(one.spec.width / SIDES, FINEST, COARSEST))
        places = np.asarray(one.vertices)
        values, triangles = refine_near(
            values, triangles, places, reach=2.0 * length, length=length
        )
    vertices, new = values[:, :3].copy(), np.arange(len(values)) >= len(region.vertices)
    if new.any() and not region.creases:
        # Flat triangles lie inside a bent skin; a crease stays as sharp as it is.
        vertices[new] = surface.lift(vertices[new])[0]
    return _Mesh(vertices, triangles, values[:, 3:], np.zeros(len(values)))


class _Seen:
    """Finds how far points lie off a mesh, and over which places of its flat picture."""

    def __init__(self, mesh: _Mesh) -> None:
        self.locator = MeshLocator(mesh.vertices, mesh.triangles)
        self.chart = mesh.chart[mesh.triangles]

    def points(self, points: Array) -> tuple[Array, Array]:
        """Signed distances (k,) and places (k, 2) of points (k, 3)."""
        off, _, triangle, weights = self.locator.closest(points)
        return off, np.einsum("ki,kid->kd", weights, self.chart[triangle])

    def rows(self, rows: Array) -> tuple[Array, Array]:
        """The same, (k, p) and (k, p, 2), of rows (k, p, 3)."""
        off, flat = self.points(rows.reshape(-1, 3))
        return off.reshape(rows.shape[:2]), flat.reshape(*rows.shape[:2], 2)


def _beaded(mesh: _Mesh, off: Array, flat: Array) -> _Mesh:
    """The mesh as high as a drawn sheet over it, and not beside it."""
    height = mesh.height + LinearNDInterpolator(flat, off, fill_value=0.0)(mesh.chart)
    height[_rim(mesh.triangles)] = 0.0
    return _Mesh(mesh.vertices, mesh.triangles, mesh.chart, height)


def _rim(triangles: Index) -> Index:
    return np.concatenate(boundary_loops(triangles) or [np.zeros(0, dtype=np.int64)])


def _louvred(mesh: _Mesh, off: Array, flat: Array, slits: Slits) -> _Mesh:
    """One louvre pressed: heights (k, p) and places (k, p, 2) along its cut, from root to lip."""
    ring = np.vstack([flat[:, 0], flat[-1, 1:-1], flat[::-1, -1], flat[0, -2:0:-1]])
    piece = shapely.Polygon(ring)
    outline = shapely.LineString(np.vstack([ring, ring[:1]]))
    free = np.ones(len(mesh.vertices), dtype=np.bool_)
    free[_rim(mesh.triangles)] = False
    cut = cut_flat((mesh.vertices, mesh.triangles, mesh.chart), piece, [outline], free=free)
    if not cut.inside.any():
        return mesh
    height = np.append(mesh.height, np.zeros(len(cut.chart) - len(mesh.height)))
    inner, outer = (np.unique(cut.triangles[k]) for k in (cut.inside, ~cut.inside))
    rim = np.intersect1d(inner, outer)
    rising = LinearNDInterpolator(flat.reshape(-1, 2), off.ravel(), fill_value=0.0)
    within = np.setdiff1d(inner, rim)
    height[within] += rising(cut.chart[within])
    away, _, along = closest_on_polyline(cut.chart[rim], flat[:, -1])
    lip = np.interp(along, arc_lengths(flat[:, -1]), off[:, -1])
    on_slit = (away <= ON * max(1.0, float(np.ptp(ring))) + 1e-3) & (lip > ON)
    slit, lip = rim[on_slit], lip[on_slit]
    vertices, chart, triangles = cut.vertices, cut.chart, cut.triangles
    if slits == "open":
        number = np.arange(len(vertices))
        number[slit] = len(vertices) + np.arange(len(slit))
        triangles = np.where(cut.inside[:, None], number[triangles], triangles)
        vertices, chart = (np.vstack([a, a[slit]]) for a in (vertices, chart))
        height = np.append(height, lip)
    else:
        height[slit] = lip
    return _Mesh(vertices, triangles, chart, height)
