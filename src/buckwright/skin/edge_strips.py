"""Edges of the skin turned: flanges as strips at an angle, hems, and edges round a wire."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.along_edge import shares_along, sizes_between
from buckwright.geometry.curved_mesh import quadric_normals
from buckwright.geometry.mesh import triangle_areas
from buckwright.geometry.polyline import polyline_length
from buckwright.model.finding import Finding
from buckwright.model.panels import EdgeSpec
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from buckwright.model.treatments import EdgeStrip, EdgeTreatment
from buckwright.skin.meetings import region_key
from buckwright.skin.mirroring import ACROSS, right_name
from buckwright.tables.edges import edge_allowance

__all__ = ["edge_names", "edge_strips"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

TURNED = ("flange", "hem", "double hem", "wired edge")
"""Treatments that have a shape; metal to trim or to weld goes when the panel is fitted."""
ROUND_WIRE = np.radians(290.0)
"""How far metal goes round the wire, as in the table of edges."""
FOLD = 1.5
"""mm, radius at which the outside of a hem is drawn; the sheet itself decides it."""
FINE = 12


def edge_names(region: SkinRegion) -> tuple[str, ...]:
    """Lines along which the region ends."""
    return tuple(dict.fromkeys(t.line for t in (*region.boundary, *region.holes) if t.line))


def edge_strips(skin: Skin, treatments: Sequence[EdgeTreatment]) -> tuple[EdgeStrip, ...]:
    """The strip of each treatment that turns metal, left ones with their mirror images.

    Raises JobError for a region or an edge that does not exist.
    """
    return tuple(s for t in treatments if t.edge.treatment in TURNED for s in _both(skin, t))


def _both(skin: Skin, treatment: EdgeTreatment) -> Iterator[EdgeStrip]:
    own = [r for r in skin.regions if r.name == treatment.region and r.side != "right"]
    if not own:
        names = ", ".join(dict.fromkeys(region.name for region in skin.regions))
        raise JobError(
            f"An edge of region '{treatment.region}' is to be treated, which does not exist.",
            f"There are {names}.",
        )
    strip = _strip(own[0], treatment)
    yield strip
    if own[0].side == "left":
        yield _mirrored(strip, treatment)


def _strip(region: SkinRegion, treatment: EdgeTreatment) -> EdgeStrip:
    tracks = [t for t in (*region.boundary, *region.holes) if t.line == treatment.edge.along]
    if not tracks:
        raise JobError(
            f"Region '{region.name}' has no edge along '{treatment.edge.along}'.",
            f"It ends along {', '.join(edge_names(region))}.",
        )
    edge = _with_sizes(treatment.edge)
    normals = quadric_normals(region.vertices, region.triangles)
    parts = [_swept(region, normals, track, _profiles(edge, region, track)) for track in tracks]
    starts = np.cumsum([0, *(len(rows.reshape(-1, 3)) for rows, _ in parts)])
    vertices = np.vstack([rows.reshape(-1, 3) for rows, _ in parts])
    triangles = np.vstack(
        [_sheet(rows, closed) + s for (rows, closed), s in zip(parts, starts, strict=False)]
    )
    if edge.way == "out":
        triangles = triangles[:, ::-1]
    farthest = int(np.argmax(np.linalg.norm(_profile(edge, edge.width, edge.angle_deg), axis=1)))
    length = sum(polyline_length(rows[:, 0], closed=closed) for rows, closed in parts)
    free = sum(polyline_length(rows[:, farthest], closed=closed) for rows, closed in parts)
    return EdgeStrip(
        name=f"{edge.treatment} along {edge.along}",
        region=region_key(region),
        edge=edge,
        vertices=vertices,
        triangles=triangles,
        length=length,
        free_length=free,
        area=float(triangle_areas(vertices, triangles).sum()),
        words=_words(edge, length, free),
        findings=_folds(region, edge, parts, farthest),
    )


def _with_sizes(edge: EdgeSpec) -> EdgeSpec:
    """The edge with the table's usual size where none is given."""
    usual = edge_allowance(edge.treatment).usual
    if edge.treatment == "wired edge":
        return edge.model_copy(update={"wire": edge.wire or usual})
    widest = max((station.width for station in edge.stations), default=0.0)
    return edge.model_copy(update={"width": widest or edge.width or usual})


def _profiles(edge: EdgeSpec, region: SkinRegion, track: LineTrack) -> Array:
    """(k, p, 2) the profile at each vertex of a run of the edge."""
    if not edge.stations:
        whole = _profile(edge, edge.width, edge.angle_deg)
        return np.broadcast_to(whole, (len(track.vertices), *whole.shape))
    points = region.vertices[track.vertices]
    given = np.array([[s.at, s.width, s.angle_deg] for s in edge.stations])
    ends = given[(given[:, 0] == 0.0) | (given[:, 0] == 1.0), 1:]
    if track.closed and len(ends) == 2 and (ends[0] != ends[1]).any():
        raise JobError(
            f"'{edge.along}' runs round: its flange cannot be of two sizes at 0 % and at 100 %.",
            "Give one of them, or both the same.",
        )
    shares = shares_along(points, points, closed=track.closed)
    smooth = edge.between == "smooth"
    sizes = sizes_between(given[:, 0], given[:, 1:], shares, smooth=smooth, closed=track.closed)
    return np.array([_profile(edge, width, angle) for width, angle in sizes.tolist()])


def _profile(edge: EdgeSpec, width: float, angle_deg: float) -> Array:
    """(p, 2) from the edge on: out along the skin, and to the inside."""
    if edge.treatment == "flange":
        angle = np.radians(angle_deg)
        across = width * np.array([[0.0, 0.0], [np.cos(angle), np.sin(angle)]])
    elif edge.treatment == "wired edge":
        across = _round(0.5 * edge.wire, ROUND_WIRE)
    else:
        across = np.vstack([_round(FOLD, np.pi), [[-width, 2.0 * FOLD]]])
        if edge.treatment == "double hem":
            again = _round(FOLD, np.pi) * [-1.0, 1.0] + across[-1]
            across = np.vstack([across, again[1:], [[0.0, 4.0 * FOLD]]])
    return np.asarray(across * [1.0, -1.0 if edge.way == "out" else 1.0])


def _round(radius: float, turn: float) -> Array:
    at = np.linspace(0.0, turn, FINE + 1)
    return radius * np.column_stack([np.sin(at), 1.0 - np.cos(at)])


def _swept(
    region: SkinRegion, normals: Array, track: LineTrack, profiles: Array
) -> tuple[Array, bool]:
    """(k, p, 3) the profiles along the edge, the metal on the left of its way."""
    run = track.vertices
    if not _metal_on_left(region.triangles, track):
        run, profiles = run[::-1], profiles[::-1]
    points, up = region.vertices[run], normals[run]
    along = _tangents(points, closed=track.closed)
    out = np.cross(along, up)
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    inward = -np.cross(out, along)
    rows = (
        points[:, None] + profiles[:, :, :1] * out[:, None] + profiles[:, :, 1:] * inward[:, None]
    )
    return rows, track.closed


def _metal_on_left(triangles: Index, track: LineTrack) -> bool:
    a, b = track.vertices[:2]
    return bool(((triangles == a) & (np.roll(triangles, -1, axis=1) == b)).any())


def _tangents(points: Array, *, closed: bool) -> Array:
    """Unit tangents at points of an edge: of the circle through each and its neighbours."""
    if closed:
        before, after = np.roll(points, 1, axis=0), np.roll(points, -1, axis=0)
        tangent = _through(before, points, after)
    elif len(points) == 2:
        tangent = np.repeat(points[1:] - points[:1], 2, axis=0)
    else:
        middle = _through(points[:-2], points[1:-1], points[2:])
        sides = np.diff(points[[0, 1, -2, -1]], axis=0)[[0, 2]]
        sides /= np.linalg.norm(sides, axis=1, keepdims=True)
        # The chord leans halfway between the tangents at its ends.
        ends = 2.0 * np.einsum("kd,kd->k", middle[[0, -1]], sides)[:, None] * sides
        ends -= middle[[0, -1]]
        tangent = np.vstack([ends[:1], middle, ends[1:]])
    return np.asarray(tangent / np.linalg.norm(tangent, axis=1, keepdims=True))


def _through(before: Array, here: Array, after: Array) -> Array:
    """Direction at the middle point of the circle, or line, through three."""
    first, second = here - before, after - here
    a = np.einsum("kd,kd->k", first, first)[:, None]
    b = np.einsum("kd,kd->k", second, second)[:, None]
    way = first / a + second / b
    return np.asarray(way / np.linalg.norm(way, axis=1, keepdims=True))


def _sheet(rows: Array, closed: bool) -> Index:
    """Triangles between neighbouring rows (k, p, 3), turned as the skin for an inward edge."""
    count, across = rows.shape[:2]
    row = np.arange(count if closed else count - 1)
    after = (row + 1) % count
    found = []
    for k in range(across - 1):
        a, b = row * across + k, after * across + k
        found += [np.column_stack([a, a + 1, b + 1]), np.column_stack([a, b + 1, b])]
    return np.vstack(found).astype(np.int64)


def _words(edge: EdgeSpec, length: float, free: float) -> str:
    widths = [station.width for station in edge.stations] or [edge.width]
    angles = [station.angle_deg for station in edge.stations] or [edge.angle_deg]
    size = {
        "flange": f"{_spread(widths)} mm flange, turned {_spread(angles)} degrees {edge.way}",
        "wired edge": f"edge round a wire of {edge.wire:g} mm, turned {edge.way}",
    }.get(edge.treatment, f"{edge.treatment} of {edge.width:g} mm, turned {edge.way}")
    change = free - length
    told = f"; its free edge ends {abs(change):.0f} mm {'longer' if change > 0 else 'shorter'}"
    return f"{size}, {length:.0f} mm long{told if abs(change) >= 0.5 else ''}"


def _spread(sizes: Sequence[float]) -> str:
    """`12`, or `12 to 30` where they differ."""
    low, high = min(sizes), max(sizes)
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


def _folds(
    region: SkinRegion, edge: EdgeSpec, parts: Sequence[tuple[Array, bool]], farthest: int
) -> tuple[Finding, ...]:
    """Where the free edge runs back: it is bent more tightly there than the strip is wide."""
    for rows, closed in parts:
        looped = np.concatenate([rows, rows[:1]]) if closed else rows
        step = np.diff(looped, axis=0)
        back = np.einsum("kd,kd->k", step[:, 0], step[:, farthest]) <= 0.0
        if back.any():
            x, y, z = rows[int(np.argmax(back)), 0]
            return (
                Finding(
                    code="edge-folds",
                    where=region.name,
                    message=f"The {edge.treatment} along '{edge.along}' folds over itself at "
                    f"x {x:.0f}, y {y:.0f}, z {z:.0f}: the edge turns more tightly than it is "
                    "wide.",
                    remedy="Make it narrower, or relieve it with a cut there.",
                ),
            )
    return ()


def _mirrored(strip: EdgeStrip, treatment: EdgeTreatment) -> EdgeStrip:
    vertices, triangles = strip.vertices * ACROSS, strip.triangles[:, ::-1].copy()
    vertices.setflags(write=False)
    triangles.setflags(write=False)
    along = right_name(strip.edge.along)
    return strip.model_copy(
        update={
            "name": f"{strip.edge.treatment} along {along}",
            "region": f"{treatment.region} right",
            "edge": strip.edge.model_copy(update={"along": along}),
            "vertices": vertices,
            "triangles": triangles,
            "findings": (),
        }
    )
