"""Spanning regions: from lines to the skin."""

from collections import Counter

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.mesh import MeshLocator, triangle_areas, triangle_normals
from buckwright.geometry.polyline import polyline_length
from buckwright.geometry.triangulation import triangles_within
from buckwright.model.finding import Finding
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, RegionSpec, Skin, SkinRegion
from buckwright.skin.doubt import doubts, fighting_lines
from buckwright.skin.frame import RegionFrame, first_stiffness
from buckwright.skin.layout import lay_out_lines
from buckwright.skin.mirroring import mirrored_region
from buckwright.skin.region_lines import gather_lines
from buckwright.skin.sampling import Run, Samples, sample_network
from buckwright.skin.sheet import Sheet, finer_sheet, first_sheet

__all__ = ["span_region", "span_skin"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

COARSE = 150
"""Samples round a region's boundary that a first, coarse surface needs."""


def span_skin(network: LineNetwork, regions: tuple[RegionSpec, ...], *, edge_length: float) -> Skin:
    """The skin over all regions, each left one followed by its mirror image on the right.

    Regions that share a piece of line share its vertices exactly. `edge_length` is that of the
    triangles, mm. Raises JobError where a region's lines bound nothing, ValueError for an edge
    length that is not positive.
    """
    if not edge_length > 0.0:
        message = "the edge length must be positive"
        raise ValueError(message)
    spanned: list[SkinRegion] = []
    fine = sample_network(network, regions, edge_length=edge_length, step=edge_length)
    shared = _shared_arcs(fine, regions)
    for spec in regions:
        sheet, fights = _sheet(network, regions, spec, (fine, shared), edge_length)
        region = _finished(sheet, spec, fights)
        spanned.append(region)
        if spec.side == "left":
            spanned.append(mirrored_region(region))
    return Skin(regions=tuple(spanned))


def span_region(network: LineNetwork, spec: RegionSpec, *, edge_length: float) -> SkinRegion:
    """One region by itself, as `span_skin` would span it if there were no other."""
    return span_skin(network, (spec,), edge_length=edge_length).regions[0]


def _sheet(
    network: LineNetwork,
    regions: tuple[RegionSpec, ...],
    spec: RegionSpec,
    known: tuple[Samples, frozenset[tuple[str, int]]],
    edge_length: float,
) -> tuple[Sheet, tuple[Finding, ...]]:
    """The surface of one region, and the lines that fight in it.

    Laid out, spanned coarsely twice, then at the edge length.
    """
    fine, shared = known
    around = polyline_length(fine.points[gather_lines(fine, spec)[0].loop(fine)], closed=True)
    step = float(np.clip(around / COARSE, edge_length, 8.0 * edge_length))
    coarse = sample_network(network, regions, edge_length=edge_length, step=step)
    lines, fields = gather_lines(coarse, spec)
    sigmas = {line.name: line.sigma for line in network.lines}
    frame = RegionFrame(coarse, lines, shared, sigmas)
    numbers, layout = lay_out_lines(coarse.points, fields)
    places = layout[np.searchsorted(numbers, frame.used)]
    _refuse_overlap(spec.name, places[frame.loop])
    try:
        sheet = first_sheet(frame, places, first_stiffness(sigmas, edge_length), step)
        _refuse_overlap(spec.name, sheet.chart[frame.loop])
        sheet = finer_sheet(sheet, frame, step, solves=2)
        fights = fighting_lines(sheet)
        fine_frame = RegionFrame(fine, lines, shared, sigmas)
        return finer_sheet(sheet, fine_frame, edge_length, solves=2), fights
    except ValueError as error:
        raise JobError(
            f"The lines of '{spec.name}' cannot be joined by triangles of {edge_length:g} mm "
            f"({error}).",
            "Look for lines that nearly touch, or take a smaller edge length.",
        ) from error


def _refuse_overlap(region: str, outline: Array) -> None:
    if not shapely.LinearRing(outline).is_simple:
        raise JobError(
            f"Laid flat, '{region}' overlaps itself.", "Divide the region in two along a line."
        )


def _shared_arcs(samples: Samples, regions: tuple[RegionSpec, ...]) -> frozenset[tuple[str, int]]:
    """Arcs (line, number) that belong to more than one region."""
    owners: Counter[tuple[str, int]] = Counter()
    for spec in regions:
        lines, _ = gather_lines(samples, spec)
        owners.update({(run.line, k) for run in lines.runs() for k in run.numbers})
    return frozenset(arc for arc, count in owners.items() if count > 1)


def _finished(sheet: Sheet, spec: RegionSpec, fights: tuple[Finding, ...]) -> SkinRegion:
    """The sheet with its holes cut out, its outside outward and its chart upright."""
    frame, lines = sheet.frame, sheet.frame.lines
    chart, triangles = sheet.chart, sheet.triangles
    turned = _faces_inward(sheet, np.array(spec.outward))
    if turned:
        triangles, chart = triangles[:, ::-1], chart * np.array([-1.0, 1.0])
    triangles = triangles[~_in_holes(frame, triangles)]
    used = np.unique(triangles)
    new = np.full(len(chart), -1, dtype=np.int64)
    new[used] = np.arange(len(used))
    boundary = tuple(_turned_run(r) for r in lines.boundary[::-1]) if turned else lines.boundary
    tracks = [
        tuple(
            LineTrack(
                line=r.line, vertices=new[frame.local(frame.samples.along(r))], closed=r.closed
            )
            for r in runs
        )
        for runs in (boundary, lines.inner, lines.holes)
    ]
    vertices, triangles = sheet.vertices[used], new[triangles]
    off = _line_distances(frame, vertices, triangles)
    return SkinRegion(
        name=spec.name,
        side=spec.side,
        vertices=vertices,
        triangles=triangles,
        chart=_upright(chart[used], vertices),
        boundary=tracks[0],
        inner=tracks[1],
        holes=tracks[2],
        line_error_most=float(off.max()),
        line_error_rms=float(np.sqrt(np.mean(off**2))),
        findings=(*doubts(sheet, spec.name), *fights),
    )


def _turned_run(run: Run) -> Run:
    return Run(run.line, run.numbers, not run.turned, run.closed)


def _faces_inward(sheet: Sheet, outward: Array) -> bool:
    """Whether the triangles round the middle of the chart are clockwise seen from outside."""
    normals = triangle_normals(sheet.vertices, sheet.triangles)
    areas = triangle_areas(sheet.vertices, sheet.triangles)
    places = sheet.chart[sheet.triangles].mean(axis=1)
    middle = (areas[:, None] * places).sum(axis=0) / areas.sum()
    near = np.exp(-8.0 * ((places - middle) ** 2).sum(axis=1) / areas.sum())
    return bool(((near * areas)[:, None] * normals).sum(axis=0) @ outward < 0.0)


def _in_holes(frame: RegionFrame, triangles: Index) -> NDArray[np.bool_]:
    if not frame.lines.holes:
        return np.zeros(len(triangles), dtype=bool)
    walls = []
    for run in frame.lines.holes:
        around = frame.local(frame.samples.along(run))
        walls.append(np.column_stack([around, np.roll(around, -1)]))
    return triangles_within(triangles, np.vstack(walls))


def _line_distances(frame: RegionFrame, vertices: Array, triangles: Index) -> Array:
    """(k,) distances from the lines themselves to the mesh."""
    runs = frame.lines.runs()
    points = np.vstack([frame.samples.between_samples(run, 5) for run in runs])
    return np.abs(MeshLocator(vertices, triangles).closest(points)[0])


def _upright(chart: Array, vertices: Array) -> Array:
    """The chart in its least rectangle, the long side along u; u grows with x, as far as it can."""
    box = shapely.minimum_rotated_rectangle(shapely.MultiPoint(chart))
    corners = np.array(box.exterior.coords)[:4]
    sides = corners[1:3] - corners[0:2]
    along = sides[int(np.argmax(np.linalg.norm(sides, axis=1)))]
    along = along / np.linalg.norm(along)
    turned = chart @ np.column_stack([along, [-along[1], along[0]]])
    turned = turned - turned.mean(axis=0)
    middle = vertices - vertices.mean(axis=0)
    lean = turned[:, 0] @ middle
    if lean[int(np.argmax(np.abs(lean) > 1e-6 * np.abs(lean).max()))] < 0.0:
        turned = -turned
    return np.asarray(turned - turned.min(axis=0))
