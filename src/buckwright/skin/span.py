"""Spanning regions: from lines to the skin."""

from collections import Counter
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.mesh import triangle_areas, triangle_normals
from buckwright.geometry.polyline import polyline_length
from buckwright.geometry.triangulation import triangles_within
from buckwright.model.finding import Finding
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, RegionSpec, Skin, SkinRegion
from buckwright.skin.bounds import broken_lines, line_bounds, refuse_stray_creases
from buckwright.skin.doubt import doubts, fighting_lines
from buckwright.skin.frame import RegionFrame, first_stiffness
from buckwright.skin.layout import lay_out_lines
from buckwright.skin.meeting import line_named
from buckwright.skin.mirroring import mirrored_region
from buckwright.skin.refining import (
    SOLVED,
    FineSheet,
    parts_of_region,
    parts_of_steps,
    refined_sheet,
)
from buckwright.skin.region_lines import gather_lines
from buckwright.skin.sampling import Run, Samples, sample_network
from buckwright.skin.sheet import Sheet, finer_sheet, first_sheet

__all__ = ["span_region", "span_skin"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

COARSE = 150
"""Samples round a region's boundary that a first, coarse surface needs."""


def span_skin(
    network: LineNetwork,
    regions: tuple[RegionSpec, ...],
    *,
    edge_length: float,
    solved: float = SOLVED,
) -> Skin:
    """The skin over all regions, each left one followed by its mirror image on the right.

    Regions that share a piece of line share its vertices exactly. `edge_length` is that of the
    triangles, mm; up to `solved` mm the surface is solved on longer ones, which are then divided.
    Raises JobError where a region's lines bound nothing, ValueError for a length that is not
    positive.
    """
    if not (edge_length > 0.0 and solved > 0.0):
        message = "the edge length must be positive"
        raise ValueError(message)
    parts = _parts(network, regions, edge_length, solved)
    spanned: list[SkinRegion] = []
    long = parts * edge_length
    lines = sample_network(network, regions, edge_length=long, step=long)
    known = _Known(network, regions, lines, _shared_arcs(lines, regions), parts, edge_length)
    for spec in regions:
        region = _finished(*_sheet(known, spec), spec)
        spanned.append(region)
        if spec.side == "left":
            spanned.append(mirrored_region(region))
    return Skin(regions=tuple(spanned))


@dataclass(frozen=True, eq=False, slots=True)
class _Known:
    """What all regions are spanned from; `lines` are sampled in steps of `parts` edge lengths."""

    network: LineNetwork
    regions: tuple[RegionSpec, ...]
    lines: Samples
    shared: frozenset[tuple[str, int]]
    parts: int
    edge_length: float


def _parts(
    network: LineNetwork, regions: tuple[RegionSpec, ...], edge_length: float, solved: float
) -> int:
    if 2.0 * edge_length > solved:
        return 1
    names = {name for region in regions for name in region.boundary}
    length = {name: polyline_length(line_named(network, name).points(200)) for name in names}
    around = [sum(length[name] for name in region.boundary) for region in regions]
    return parts_of_steps(edge_length, min(around), solved)


def span_region(
    network: LineNetwork, spec: RegionSpec, *, edge_length: float, solved: float = SOLVED
) -> SkinRegion:
    """One region by itself, as `span_skin` would span it if there were no other."""
    return span_skin(network, (spec,), edge_length=edge_length, solved=solved).regions[0]


def _sheet(known: _Known, spec: RegionSpec) -> tuple[FineSheet, tuple[Finding, ...]]:
    """The surface of one region, and the lines that fight in it.

    Laid out, spanned coarsely twice, then solved finely and divided.
    """
    refuse_stray_creases(spec)
    whole, _ = gather_lines(known.lines, spec)
    around = polyline_length(known.lines.points[whole.loop(known.lines)], closed=True)
    long = known.parts * known.edge_length
    step = float(np.clip(around / COARSE, long, 8.0 * long))
    coarse = sample_network(known.network, known.regions, edge_length=long, step=step)
    lines, fields = gather_lines(coarse, spec)
    sigmas = {line.name: line.sigma for line in known.network.lines}
    frame = RegionFrame(coarse, lines, known.shared, sigmas, spec.creases)
    numbers, layout = lay_out_lines(coarse.points, fields)
    places = layout[np.searchsorted(numbers, frame.used)]
    _refuse_overlap(spec.name, places[frame.loop])
    try:
        sheet = first_sheet(frame, places, first_stiffness(sigmas, long), step)
        _refuse_overlap(spec.name, sheet.chart[frame.loop])
        sheet = finer_sheet(sheet, frame, step, solves=2)
        fights = fighting_lines(sheet)
        parts = parts_of_region(sheet, known.edge_length, known.parts)
        samples = known.lines.divided(known.parts // parts)
        fine = RegionFrame(samples, lines, known.shared, sigmas, spec.creases)
        sheet = finer_sheet(sheet, fine, parts * known.edge_length, solves=2)
        return refined_sheet(sheet, parts), fights
    except ValueError as error:
        raise JobError(
            f"The lines of '{spec.name}' cannot be joined by triangles of {long:g} mm ({error}).",
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


def _finished(fine: FineSheet, fights: tuple[Finding, ...], spec: RegionSpec) -> SkinRegion:
    """The sheet with its holes cut out, its outside outward and its chart upright."""
    sheet = fine.sheet
    frame, lines = sheet.frame, sheet.frame.lines
    chart, triangles = fine.chart, fine.triangles
    turned = _faces_inward(sheet, np.array(spec.outward))
    if turned:
        triangles, chart = triangles[:, ::-1], chart * np.array([-1.0, 1.0])
    triangles = triangles[np.repeat(~_in_holes(frame, sheet.triangles), fine.parts**2)]
    used = np.unique(triangles)
    new = np.full(len(chart), -1, dtype=np.int64)
    new[used] = np.arange(len(used))
    boundary = tuple(_turned_run(r) for r in lines.boundary[::-1]) if turned else lines.boundary
    tracks = [
        tuple(LineTrack(line=r.line, vertices=new[fine.along(r)], closed=r.closed) for r in runs)
        for runs in (boundary, lines.inner, lines.holes)
    ]
    vertices, triangles = fine.vertices[used], new[triangles]
    bounds = line_bounds(fine, vertices, triangles, turned=turned)
    return SkinRegion(
        name=spec.name,
        side=spec.side,
        vertices=vertices,
        triangles=triangles,
        chart=_upright(chart[used], vertices),
        boundary=tracks[0],
        inner=tracks[1],
        holes=tracks[2],
        line_error_most=max(bound.most for bound in bounds.lines),
        line_error_rms=bounds.rms,
        creases=tuple(
            track.model_copy(update={"vertices": new[track.vertices]}) for track in bounds.creases
        ),
        bounds=bounds.lines,
        findings=(*doubts(sheet, spec.name), *broken_lines(bounds.lines, spec.name), *fights),
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
