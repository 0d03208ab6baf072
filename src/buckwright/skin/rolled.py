"""Flat and singly curved fields: found between the lines, and made exactly so where asked.

The simplest surface that is near enough everywhere is taken: a plane before a cylinder before a
cone. How near is stated, and told.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import csgraph

from buckwright.geometry.cone import Cone, fit_cone
from buckwright.geometry.cylinder import Cylinder, fit_cylinder, flat_cylinder
from buckwright.geometry.mesh import edges_of, triangle_areas, vertex_normals
from buckwright.model.rolled import RolledField
from buckwright.model.skin import SkinRegion

__all__ = ["NEAR", "rolled_fields", "rolled_left", "rolled_whole"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

NEAR = 1.0
"""mm from the surface at most, for a field to be called flat or rolled unless more is allowed."""
EXACT = 0.05
"""mm from its surface within which a region that was made exact still is."""
LEAST_VERTICES = 12
RULINGS = 9
SPREAD = 120
"""Points of a field that its surface is fitted through; the rest are held against it."""


@dataclass(frozen=True, eq=False, slots=True)
class Rolled:
    """A plane, cylinder or cone near a patch of vertices."""

    kind: str
    surface: Cylinder | Cone
    off: Array
    """(n,) signed distances of the vertices."""


def rolled_fields(region: SkinRegion, *, near: float = NEAR) -> tuple[RolledField, ...]:
    """Every field of the region, between its lines, that is flat or singly curved within `near`.

    Largest first. Parameters: `near` mm, how far a vertex may lie off at most.
    """
    vertices, triangles = np.asarray(region.vertices), np.asarray(region.triangles)
    label = _fields(region)
    normals = vertex_normals(vertices, triangles)
    areas = triangle_areas(vertices, triangles)
    found = []
    for number in range(int(label.max()) + 1):
        faces = triangles[label == number]
        used = np.unique(faces)
        rolled = _rolled(vertices[used], normals[used], near)
        if rolled is not None:
            lines = _lines_along(region, used)
            found.append(_told(rolled, vertices, faces, lines, float(areas[label == number].sum())))
    return tuple(sorted(found, key=lambda field: -field.area))


def rolled_whole(region: SkinRegion, *, near: float) -> tuple[Array, RolledField] | None:
    """The region's vertices on the plane, cylinder or cone that all of it is near to.

    None where there is none within `near` mm.
    """
    vertices, triangles = np.asarray(region.vertices), np.asarray(region.triangles)
    rolled = _rolled(vertices, vertex_normals(vertices, triangles), near)
    if rolled is None:
        return None
    feet = _feet(rolled, vertices)
    lines = tuple(dict.fromkeys(track.line for track in region.boundary))
    area = float(triangle_areas(feet, triangles).sum())
    told = _told(rolled, feet, triangles, lines, area)
    return feet, told.model_copy(update={"exact": True})


def rolled_left(
    region: SkinRegion, before: Sequence[RolledField], *, cut: Index
) -> tuple[Array, tuple[RolledField, ...]]:
    """Vertices (n, 3) of a region once it is trimmed, and what still holds of its fields.

    Where all of it was made exact, the vertices `cut` of the new edge, which were put into
    straight sides of triangles, are laid on the surface of the others; those stay. Other fields
    are found again.
    """
    vertices = np.array(region.vertices)
    if not before or not before[0].exact:
        return vertices, rolled_fields(region) if before else ()
    triangles = np.asarray(region.triangles)
    old = np.setdiff1d(np.arange(len(vertices)), cut)
    rolled = _rolled(vertices[old], vertex_normals(vertices, triangles)[old], EXACT)
    if rolled is None or rolled.kind != before[0].kind:
        return vertices, ()
    vertices[cut] = _feet(rolled, vertices[cut])
    lines = tuple(dict.fromkeys(track.line for track in region.boundary))
    area = float(triangle_areas(vertices, triangles).sum())
    told = _told(rolled, vertices, triangles, lines, area)
    return vertices, (told.model_copy(update={"exact": True}),)


def _fields(region: SkinRegion) -> Index:
    """(m,) number of the field that each triangle lies in: inner lines part them."""
    triangles = np.asarray(region.triangles)
    count = len(region.vertices)
    edges, of_triangle = edges_of(triangles)
    walls = [np.zeros(0, dtype=np.int64)]
    for track in region.inner:
        ends = np.append(track.vertices, track.vertices[:1]) if track.closed else track.vertices
        pairs = np.sort(np.column_stack([ends[:-1], ends[1:]]), axis=1)
        walls.append(pairs[:, 0] * count + pairs[:, 1])
    wall = np.isin(edges[:, 0] * count + edges[:, 1], np.concatenate(walls))
    order = np.argsort(of_triangle.ravel(), kind="stable")
    edge, owner = of_triangle.ravel()[order], order // 3
    paired = np.flatnonzero((edge[:-1] == edge[1:]) & ~wall[edge[:-1]])
    graph = sparse.coo_matrix(
        (np.ones(len(paired)), (owner[paired], owner[paired + 1])), shape=2 * (len(triangles),)
    )
    _, label = csgraph.connected_components(graph, directed=False)
    return np.asarray(label, dtype=np.int64)


def _rolled(points: Array, normals: Array, near: float) -> Rolled | None:
    if len(points) < LEAST_VERTICES:
        return None
    some = np.linspace(0, len(points) - 1, min(SPREAD, len(points))).astype(np.int64)
    attempts: tuple[tuple[str, Callable[[], Cylinder | Cone]], ...] = (
        ("flat", lambda: flat_cylinder(points[some])),
        ("cylinder", lambda: fit_cylinder(points[some])),
        ("cone", lambda: fit_cone(points[some], normals[some])),
    )
    for kind, fit in attempts:
        try:
            surface = fit()
        except ValueError:
            continue
        off = surface.off(points)
        if float(np.abs(off).max()) <= near:
            return Rolled(kind, surface, off)
    return None


def _feet(rolled: Rolled, points: Array) -> Array:
    surface = rolled.surface
    if isinstance(surface, Cone):
        return surface.foot(points)
    return surface.roll(surface.develop(points))


def _told(
    rolled: Rolled, vertices: Array, faces: Index, lines: tuple[str, ...], area: float
) -> RolledField:
    used = np.unique(faces)
    points = vertices[used]
    middle = points[np.argmin(np.linalg.norm(points - points.mean(axis=0), axis=1))]
    surface, kind = rolled.surface, rolled.kind
    radius, apex = (0.0, 0.0), None
    if isinstance(surface, Cone):
        axis, apex = surface.axis, surface.apex
        bends = surface.radius(points)
        radius = (float(bends.min()), float(bends.max()))
    else:
        axis = surface.axes[2] if kind == "flat" else surface.axes[1]
        if kind == "cylinder":
            radius = (1.0 / abs(surface.curvature),) * 2
    rms, most = float(np.sqrt(np.mean(rolled.off**2))), float(np.abs(rolled.off).max())
    return RolledField.model_validate(
        {
            "kind": kind,
            "lines": lines,
            "area": area,
            "off_rms": rms,
            "off_most": most,
            "radius": radius,
            "axis": tuple(axis.tolist()),
            "apex": None if apex is None else tuple(apex.tolist()),
            "place": tuple(middle.tolist()),
            "rulings": _rulings(rolled, vertices, faces),
            "words": _words(kind, radius, most),
        }
    )


def _words(kind: str, radius: tuple[float, float], most: float) -> str:
    within = f"within {most:.2f} mm"
    if kind == "flat":
        return f"flat {within}: cut it from the sheet as it is"
    if kind == "cylinder":
        return f"bent in one direction {within}, radius {radius[0]:.0f} mm: roll it"
    return (
        f"a piece of a cone {within}, radius {radius[0]:.0f} to {radius[1]:.0f} mm: roll it with "
        "the rolls set askew, or fold it along its rulings"
    )


def _rulings(rolled: Rolled, vertices: Array, faces: Index) -> tuple[Array, ...]:
    """Straight lines on the field, from rim to rim, spread evenly over its turn."""
    surface = rolled.surface
    if rolled.kind == "flat":
        return ()
    used, numbers = np.unique(faces, return_inverse=True)
    points = vertices[used]
    if isinstance(surface, Cone):
        frame = np.linalg.svd(surface.axis[None])[2][1:]
        away = points - surface.apex
        mean = np.arctan2(*(away @ frame.T).mean(axis=0)[::-1])
        turn = np.arctan2(away @ frame[1], away @ frame[0]) - mean
        turn = np.mod(turn + np.pi, 2.0 * np.pi) - np.pi
        down = np.linalg.norm(surface.foot(points) - surface.apex, axis=1)
    else:
        turn, down = surface.develop(points).T
    found = []
    for value in np.linspace(turn.min(), turn.max(), RULINGS + 2)[1:-1]:
        ends = _along(turn, down, numbers.reshape(-1, 3), float(value))
        for low, high in ends:
            if isinstance(surface, Cone):
                s, c = np.sin(surface.half_angle), np.cos(surface.half_angle)
                out = np.cos(value + mean) * frame[0] + np.sin(value + mean) * frame[1]
                ray = c * surface.axis + s * out
                found.append(surface.apex + np.array([[low], [high]]) * ray)
            else:
                found.append(surface.roll(np.array([[value, low], [value, high]])))
    return tuple(found)


def _along(turn: Array, down: Array, faces: Index, value: float) -> list[tuple[float, float]]:
    """Where a ruling lies inside the field: ranges of `down` at one `turn`."""
    ranges = []
    for a, b, c in faces:
        met = []
        for p, q in ((a, b), (b, c), (c, a)):
            low, high = turn[p] - value, turn[q] - value
            if (low < 0.0) != (high < 0.0):
                met.append(down[p] + low / (low - high) * (down[q] - down[p]))
        if len(met) == 2:
            ranges.append((min(met), max(met)))
    joined: list[tuple[float, float]] = []
    for low, high in sorted(ranges):
        if joined and low <= joined[-1][1] + 1e-6:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def _lines_along(region: SkinRegion, used: Index) -> tuple[str, ...]:
    """Lines with at least two vertices on the field."""
    tracks = (*region.boundary, *region.inner, *region.holes)
    met = [t.line for t in tracks if np.isin(t.vertices, used).sum() >= 2]
    return tuple(dict.fromkeys(met))
