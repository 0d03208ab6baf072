"""A scan as a region of the skin: an even mesh laid on it, its openings kept."""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.errors import JobError
from buckwright.geometry.chart import even_chart, tutte_layout
from buckwright.geometry.flat_start import fan_openings
from buckwright.geometry.mesh import MeshLocator, triangle_areas, triangle_normals
from buckwright.geometry.polyline import arc_lengths
from buckwright.geometry.triangulation import triangles_within, triangulate_region
from buckwright.model.fact import frozen
from buckwright.model.fields import PlacedFinding
from buckwright.model.finding import Finding
from buckwright.model.skin import LineTrack, SkinRegion
from buckwright.skin.scan_faults import CleanScan, clean_scan

__all__ = ["refuse_wrong_unit", "scanned_region"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

CHART_ROUNDS = 12
UNITS = {
    25.4: "in inches",
    1.0 / 25.4: "in millimetres, taken for inches",
    10.0: "in centimetres",
    304.8: "in feet",
    1000.0: "in metres",
}
ALIKE = 0.12
"""Share within which a ratio of sizes counts as one of units."""


def scanned_region(
    name: str,
    vertices: Array,
    triangles: Index,
    *,
    edge_length: float,
    side: str = "whole",
    outward: tuple[float, float, float] = (0.0, 0.0, 1.0),
    close_below: float = 0.0,
) -> SkinRegion:
    """The region that a scan is, meshed evenly to `edge_length`, mm.

    Parameters: vertices (n, 3) in vehicle axes, mm, triangles (m, 3). Openings less than
    `close_below` across are closed; others are kept and told. Raises JobError where the scan is
    no single sheet, or too small for the edge length.
    """
    scan = clean_scan(name, np.asarray(vertices), np.asarray(triangles))
    kept, closed = _openings(scan, close_below)
    around = arc_lengths(scan.vertices[scan.loops[0]], closed=True)[-1]
    if around < 12.0 * edge_length:
        raise JobError(
            f"The scan '{name}' is only {around:.0f} mm round, too small for triangles of "
            f"{edge_length:g} mm.",
            "Take a smaller edge length, or see that its unit is right.",
        )
    rims = (scan.loops[0], *kept)
    filled, faces = fan_openings(scan.vertices, scan.triangles, [*kept, *closed])
    chart = _chart(name, filled, faces, rims[0])
    flat, mesh, loops = _even(filled, faces, chart, rims, edge_length)
    locator = MeshLocator(np.column_stack([chart, np.zeros(len(chart))]), faces)
    _, _, owner, weights = locator.closest(np.column_stack([flat, np.zeros(len(flat))]))
    points = np.einsum("nk,nkd->nd", weights, filled[faces[owner]])
    # The rims are followed exactly, not through the fans that close them.
    points[: loops[-1][-1] + 1] = np.vstack([_along(filled[rim], edge_length)[0] for rim in rims])
    used, numbers = np.unique(mesh, return_inverse=True)
    new = np.full(len(points), -1, dtype=np.int64)
    new[used] = np.arange(len(used))
    triangles = numbers.reshape(-1, 3).astype(np.int64)
    region = SkinRegion.model_validate(
        {
            "name": name,
            "side": side,
            "vertices": points[used],
            "triangles": triangles,
            "chart": flat[used] - flat[used].min(axis=0),
            "boundary": (_track(f"{name} edge", new[loops[0]]),),
            "inner": (),
            "holes": tuple(
                _track(f"{name} opening {k}", new[loop]) for k, loop in enumerate(loops[1:], 1)
            ),
            "line_error_most": 0.0,
            "line_error_rms": 0.0,
            "findings": (*scan.findings, *_told(name, scan, kept, closed)),
        }
    )
    return _outside_out(region, np.array(outward))


def refuse_wrong_unit(name: str, size: float, expected: float) -> None:
    """Raises JobError where a scan's size over the size it should have is a ratio of units.

    Parameters: `size` and `expected` mm, of the scan and of the body (or the part) it belongs to.
    """
    if abs(size / expected - 1.0) < 3.0 * ALIKE:
        return
    for factor, words in UNITS.items():
        if abs(size * factor / expected - 1.0) < ALIKE:
            raise JobError(
                f"The scan '{name}' is {size:.0f} mm long where the body is {expected:.0f} mm: it "
                f"seems to be {words}.",
                "Say the unit of the file.",
            )


def _openings(scan: CleanScan, close_below: float) -> tuple[tuple[Index, ...], tuple[Index, ...]]:
    """Openings that stay, and gaps that are closed."""
    holes = scan.loops[1:]
    across = [_across(scan.vertices[loop]) for loop in holes]
    kept = tuple(loop for loop, far in zip(holes, across, strict=True) if far >= close_below)
    closed = tuple(loop for loop, far in zip(holes, across, strict=True) if far < close_below)
    return kept, closed


def _across(points: Array) -> float:
    return float(2.0 * np.linalg.norm(points - points.mean(axis=0), axis=1).max())


def _chart(name: str, vertices: Array, faces: Index, rim: Index) -> Array:
    """A flat picture of the filled scan, lengths nearly kept."""
    flat = tutte_layout(vertices, faces, rim)
    if not np.all(triangle_areas(flat, faces) > 0.0):
        raise JobError(
            f"The scan '{name}' has triangles that hang on its edge by two corners only.",
            "Trim its edge, or let the scanner's program smooth it.",
        )
    return even_chart(vertices, faces, flat, rounds=CHART_ROUNDS)


def _even(
    vertices: Array, faces: Index, chart: Array, rims: tuple[Index, ...], edge_length: float
) -> tuple[Array, Index, list[Index]]:
    """Even points on the chart, triangles outside the openings, and the rims by number."""
    rows = [_along(vertices[rim], edge_length)[1] for rim in rims]
    places = []
    for rim, at in zip(rims, rows, strict=True):
        looped = np.append(rim, rim[0])
        along = arc_lengths(vertices[rim], closed=True)
        places.append(np.column_stack([np.interp(at, along, chart[looped, k]) for k in range(2)]))
    starts = np.cumsum([0, *(len(place) for place in places)])
    loops = [np.arange(a, b) for a, b in pairwise(starts.tolist())]
    walls = [np.column_stack([loop, np.roll(loop, -1)]) for loop in loops[1:]]
    sides = np.vstack([np.zeros((0, 2), dtype=np.int64), *walls])
    spacing = _Spacing(vertices, faces, chart, edge_length)
    flat, mesh = triangulate_region(np.vstack(places), loops[0], sides, spacing)
    if walls:
        mesh = mesh[~triangles_within(mesh, np.sort(sides, axis=1))]
    return flat, mesh, loops


class _Spacing:
    """Edge length on the chart that gives the wanted one on the scan."""

    def __init__(self, vertices: Array, faces: Index, chart: Array, length: float) -> None:
        solid, flat = triangle_areas(vertices, faces), triangle_areas(chart, faces)
        self.tree = cKDTree(chart[faces].mean(axis=1))
        self.length = length * np.sqrt(flat / np.maximum(solid, 1e-12))
        # Scans are finer than the mesh laid on them: the mean of a patch, not of one triangle.
        self.near = int(np.clip(len(faces) * length**2 / max(float(solid.sum()), 1e-12), 4, 64))

    def __call__(self, at: Array) -> Array:
        near = self.tree.query(at, k=min(self.near, self.tree.n))[1]
        return np.asarray(np.median(self.length[near].reshape(len(at), -1), axis=1))


def _along(points: Array, edge_length: float) -> tuple[Array, Array]:
    """Even places round a closed rim, (k, 3), and how far along it each lies."""
    along = arc_lengths(points, closed=True)
    count = max(6, round(along[-1] / edge_length))
    at = np.linspace(0.0, along[-1], count, endpoint=False)
    looped = np.vstack([points, points[:1]])
    return np.column_stack([np.interp(at, along, looped[:, k]) for k in range(3)]), at


def _track(line: str, vertices: Index) -> LineTrack:
    return LineTrack(line=line, vertices=vertices, closed=True)


def _outside_out(region: SkinRegion, outward: Array) -> SkinRegion:
    """The region with its outside towards `outward`, on the whole."""
    weights = triangle_areas(region.vertices, region.triangles)
    normals = triangle_normals(region.vertices, region.triangles)
    if (weights[:, None] * normals).sum(axis=0) @ outward >= 0.0:
        return region
    chart = np.asarray(region.chart) * [-1.0, 1.0]
    return region.model_copy(
        update={
            "triangles": frozen(region.triangles[:, ::-1]),
            "chart": frozen(chart - chart.min(axis=0)),
            "boundary": tuple(_reversed(track) for track in region.boundary),
            "holes": tuple(_reversed(track) for track in region.holes),
        }
    )


def _reversed(track: LineTrack) -> LineTrack:
    return track.model_copy(update={"vertices": frozen(track.vertices[::-1])})


def _told(
    name: str, scan: CleanScan, kept: tuple[Index, ...], closed: tuple[Index, ...]
) -> tuple[Finding, ...]:
    found = []
    for loop in kept:
        points = scan.vertices[loop]
        found.append(
            _opening(
                name,
                points,
                "has an opening {across:.0f} mm across at {place}, which stays open",
                "If it is a gap of the scan, have openings of that size closed.",
            )
        )
    for loop in closed:
        points = scan.vertices[loop]
        found.append(
            _opening(
                name,
                points,
                "had a gap {across:.0f} mm across at {place}, which was closed flat",
                "Look whether the shape is right there, or scan it again.",
            )
        )
    return tuple(found)


def _opening(name: str, points: Array, words: str, remedy: str) -> Finding:
    x, y, z = (float(value) for value in points.mean(axis=0))
    told = words.format(across=_across(points), place=f"x {x:.0f}, y {y:.0f}, z {z:.0f}")
    return PlacedFinding(
        code="scan-opening",
        where=name,
        message=f"The scan '{name}' {told}.",
        remedy=remedy,
        kind="note",
        place=(x, y, z),
    )
