"""The part that opens and the body round it: skin cut along the outline, edges turned inward.

Both are cut half the gap back from the outline and get a return edge as deep as the door.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.mesh import MeshLocator, boundary_loops
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.skin import Skin, SkinRegion
from buckwright.openings.outline import edge_names, mitres, shut_gaps

__all__ = ["Body", "Part", "Rim", "cut_part"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

OFF_TRIANGLES = 4.0
"""mm by which the triangles' edges may leave the outline that the part is cut along."""
FINE = 8.0
"""mm between points of a cut edge."""
ROWS = 4
"""Rows of points down a return edge."""


@dataclass(frozen=True, eq=False, slots=True)
class Rim:
    """The outline where the metal is cut: points (n, 3) with their inward and outward ways.

    Attributes: inward (n, 3) in the skin, towards the part, unit but at corners; up (n, 3) unit
    out of the skin; gaps (n,) mm; edges (n,) names.
    """

    points: Array
    inward: Array
    up: Array
    gaps: Array
    edges: NDArray[np.str_]

    def row(self, side: float, depth: float) -> Array:
        """(n, 3) edge of the part (side 1) or of the body (side -1), so deep inside the skin."""
        return np.asarray(
            self.points + side * 0.5 * self.gaps[:, None] * self.inward - depth * self.up
        )


@dataclass(frozen=True, eq=False, slots=True)
class Part:
    """The part: vertices (n, 3), triangles (m, 3), its return edge the last of both.

    Attributes: skin_count and skin_triangles, how many of each are outer skin; uncut (k, 3), the
    triangles of the skin before it was cut back, of the region's vertices; taken (k,), their
    numbers in the region.
    """

    vertices: Array
    triangles: Index
    skin_count: int
    skin_triangles: int
    rim: Rim
    uncut: Index
    taken: Index
    normal: Array
    """(3,) out of the part, on the mean."""


@dataclass(frozen=True, eq=False, slots=True)
class Body:
    """All metal that stands still: vertices, triangles, and which thing each triangle is."""

    vertices: Array
    triangles: Index
    thing: Index
    names: tuple[str, ...]


def cut_part(
    loop: Array, skin: Skin, region: SkinRegion, *, of: str, gap: float, drain: float, depth: float
) -> tuple[Part, Body]:
    """The skin inside a loop (n, 3) as the part, all other skin and the jamb as the body.

    Raises JobError where no triangles lie inside, or where they do not follow the loop.
    """
    locator = MeshLocator(region.vertices, region.triangles)
    inside = _inside(loop, region, locator)
    if not inside.any() or inside.all():
        raise JobError(
            f"The outline of '{of}' cuts nothing out of the region '{region.name}'.",
            "Name the region of the skin that the outline lies on.",
        )
    ring = _ring(region, region.triangles[inside], loop, of)
    normal = _mean_normal(region.vertices, region.triangles[inside])
    rim, share = _rim(ring, loop, region, locator, normal, gap=gap, drain=drain)
    own, own_triangles = _fanned(region, region.triangles[inside], ring, rim, share, 1.0)
    rest, rest_triangles = _fanned(region, region.triangles[~inside], ring, rim, share, -1.0)
    turned, turned_triangles = _return_edge(rim, 1.0, depth)
    part = Part(
        vertices=np.vstack([own, turned]),
        triangles=np.vstack([own_triangles, turned_triangles + len(own)]),
        skin_count=len(own),
        skin_triangles=len(own_triangles),
        rim=rim,
        uncut=region.triangles[inside],
        taken=np.flatnonzero(inside),
        normal=normal,
    )
    jamb = _return_edge(rim, -1.0, depth)
    return part, _gathered(skin, region, (rest, rest_triangles), jamb)


def _inside(loop: Array, region: SkinRegion, locator: MeshLocator) -> NDArray[np.bool_]:
    _, _, triangle, weights = locator.closest(loop)
    flat = np.einsum("ki,kid->kd", weights, region.chart[region.triangles[triangle]])
    polygon = shapely.Polygon(flat).buffer(0.0)
    centres = region.chart[region.triangles].mean(axis=1)
    return np.asarray(shapely.contains_xy(polygon, centres[:, 0], centres[:, 1]))


def _ring(region: SkinRegion, triangles: Index, loop: Array, of: str) -> Index:
    """Vertices round the part, in order, the part on their left seen from outside."""
    try:
        rings = boundary_loops(triangles)
    except ValueError:
        # Triangles that a line cuts across leave a rim that touches itself.
        raise _not_along(region, of, "they are cut across") from None
    off = [closest_on_polyline(region.vertices[ring], loop, closed=True)[0].max() for ring in rings]
    best = int(np.argmin(off))
    if off[best] > OFF_TRIANGLES:
        raise _not_along(region, of, f"{off[best]:.0f} mm off")
    return np.asarray(rings[best])


def _not_along(region: SkinRegion, of: str, how: str) -> JobError:
    return JobError(
        f"The triangles of '{region.name}' do not follow the outline of '{of}' ({how}).",
        "Let the region hold its line or lines, and work the skin out again.",
    )


def _mean_normal(vertices: Array, triangles: Index) -> Array:
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    whole = np.cross(b - a, c - a).sum(axis=0)
    return np.asarray(whole / np.linalg.norm(whole))


def _rim(
    ring: Index,
    loop: Array,
    region: SkinRegion,
    locator: MeshLocator,
    normal: Array,
    *,
    gap: float,
    drain: float,
) -> tuple[Rim, Index]:
    """The rim with the ring's vertices and fine points of the loop between them.

    Also (len(ring) + 1,) where in the rim each vertex of the ring stands, then the rim's length.
    """
    corners = region.vertices[ring]
    length = np.linalg.norm(np.roll(loop, -1, axis=0) - loop, axis=1).sum()
    _, feet, along = closest_on_polyline(corners, loop, closed=True)
    points, place = [], [0]
    for k in range(len(ring)):
        after = (k + 1) % len(ring)
        step = (along[after] - along[k] + 0.5 * length) % length - 0.5 * length
        count = max(1, round(abs(float(step)) / FINE))
        part = np.arange(count) / count
        on_loop = _at(loop, length, along[k] + part * step)
        # The triangles may lie a little off the line: the fine points go with them.
        off = np.outer(1.0 - part, corners[k] - feet[k])
        points.append(on_loop + off + np.outer(part, corners[after] - feet[after]))
        place.append(place[-1] + count)
    rim = np.vstack(points)
    _, _, triangle, weights = locator.closest(rim)
    up = locator.normal_at(triangle, weights)
    gaps = shut_gaps(rim, normal, gap=gap, drain=drain)
    names, _ = edge_names(rim, normal)
    return Rim(rim, mitres(rim, up), up, gaps, names), np.array(place, dtype=np.int64)


def _at(loop: Array, length: float, along: Array) -> Array:
    looped = np.vstack([loop, loop[:1]])
    steps = np.linalg.norm(np.diff(looped, axis=0), axis=1)
    known = np.concatenate([[0.0], np.cumsum(steps)])
    where = np.mod(along, length)
    return np.column_stack([np.interp(where, known, looped[:, k]) for k in range(3)])


def _fanned(
    region: SkinRegion, triangles: Index, ring: Index, rim: Rim, place: Index, side: float
) -> tuple[Array, Index]:
    """Triangles of one side, cut back by half the gap, those at the rim split at its fine points.

    Only the vertices that are used; the rim's points are the last.
    """
    cut = rim.row(side, 0.0)
    count = len(region.vertices)
    on_ring = {int(v): k for k, v in enumerate(ring)}
    at_rim = np.isin(triangles, ring).sum(axis=1) > 0
    kept = [tuple(int(v) for v in row) for row in triangles[~at_rim]]
    extra: list[Array] = []
    for row in triangles[at_rim]:
        kept += _split(row, on_ring, place, count, len(cut), extra, region.vertices)
    base = np.vstack([region.vertices, cut, *extra])
    made = np.array(kept, dtype=np.int64)
    used, numbers = np.unique(made, return_inverse=True)
    return base[used], numbers.reshape(made.shape)


def _split(
    row: Index,
    on_ring: dict[int, int],
    place: Index,
    count: int,
    rim_count: int,
    extra: list[Array],
    vertices: Array,
) -> list[tuple[int, int, int]]:
    """A triangle with a vertex on the rim, as a fan that takes in the rim's fine points."""
    outline: list[int] = []
    sides = 0
    for k in range(3):
        a, b = int(row[k]), int(row[(k + 1) % 3])
        at, to = on_ring.get(a), on_ring.get(b)
        outline.append(a if at is None else count + int(place[at]))
        if at is None or to is None:
            continue
        run = _fine_run(at, to, place, len(on_ring))
        sides += bool(run)
        outline += [count + fine for fine in run]
    if len(outline) == 3:
        return [(outline[0], outline[1], outline[2])]
    if sides == 1:
        apex = next(
            k for k in range(len(outline)) if _is_apex(outline, k, row, on_ring, place, count)
        )
        turned = outline[apex:] + outline[:apex]
        return [(turned[0], turned[k], turned[k + 1]) for k in range(1, len(turned) - 1)]
    extra.append(vertices[row].mean(axis=0)[None, :])
    middle = count + rim_count + len(extra) - 1
    pairs = zip(outline, outline[1:] + outline[:1], strict=True)
    return [(middle, a, b) for a, b in pairs]


def _fine_run(at: int, to: int, place: Index, total: int) -> list[int]:
    """The rim's points between neighbours on the ring, in the order from one to the other."""
    if (at + 1) % total == to:
        return list(range(int(place[at]) + 1, int(place[at + 1])))
    if (to + 1) % total == at:
        return list(range(int(place[to]) + 1, int(place[to + 1])))[::-1]
    return []


def _is_apex(
    outline: list[int], k: int, row: Index, on_ring: dict[int, int], place: Index, count: int
) -> bool:
    """Whether a corner of the triangle stands across from the side that was split."""
    corner = [v if v not in on_ring else count + int(place[on_ring[v]]) for v in map(int, row)]
    if outline[k] not in corner:
        return False
    neighbours = {outline[k - 1], outline[(k + 1) % len(outline)]}
    return neighbours <= set(corner)


def _return_edge(rim: Rim, side: float, depth: float) -> tuple[Array, Index]:
    """The strip turned inward from the cut edge: rows of the rim's points, deeper and deeper."""
    count = len(rim.points)
    rows = np.vstack([rim.row(side, d) for d in np.linspace(0.0, depth, ROWS)])
    here = np.arange(count)
    there = (here + 1) % count
    strips = []
    for row in range(ROWS - 1):
        a, b = row * count + here, row * count + there
        c, d = a + count, b + count
        strips += [np.column_stack([a, c, b]), np.column_stack([b, c, d])]
    return rows, np.vstack(strips)


def _gathered(
    skin: Skin, region: SkinRegion, rest: tuple[Array, Index], jamb: tuple[Array, Index]
) -> Body:
    sheets = [(_called(region), *rest)]
    sheets += [(_called(r), r.vertices, r.triangles) for r in skin.regions if r is not region]
    sheets.append(("the jamb", *jamb))
    first = np.concatenate([[0], np.cumsum([len(v) for _, v, _ in sheets])])
    return Body(
        vertices=np.vstack([v for _, v, _ in sheets]),
        triangles=np.vstack([t + first[k] for k, (_, _, t) in enumerate(sheets)]),
        thing=np.repeat(np.arange(len(sheets)), [len(t) for _, _, t in sheets]),
        names=tuple(name for name, _, _ in sheets),
    )


def _called(region: SkinRegion) -> str:
    side = "" if region.side == "whole" else f" {region.side}"
    return f"the skin of the {region.name}{side}"
