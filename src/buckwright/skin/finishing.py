"""A solved sheet made a region of the skin: holes cut out, outside outward, chart upright."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.geometry.mesh import triangle_areas, triangle_normals
from buckwright.geometry.triangulation import triangles_within
from buckwright.model.finding import Finding
from buckwright.model.skin import LineTrack, RegionSpec, SkinRegion
from buckwright.skin.bounds import broken_lines, line_bounds
from buckwright.skin.doubt import doubts
from buckwright.skin.frame import RegionFrame
from buckwright.skin.refining import FineSheet
from buckwright.skin.sampling import Run
from buckwright.skin.sheet import Sheet

__all__ = ["finished_region"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def finished_region(fine: FineSheet, fights: tuple[Finding, ...], spec: RegionSpec) -> SkinRegion:
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
    for loop in frame.lines.hole_loops(frame.samples):
        around = frame.local(loop)
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
