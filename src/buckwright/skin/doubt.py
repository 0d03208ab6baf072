"""Where a skin is in doubt."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.geometry.fairness import fair_vertices
from buckwright.geometry.mesh import edges_of, triangle_normals, vertex_normals
from buckwright.model.finding import PlacedFinding, told_place
from buckwright.skin.frame import wave_stiffness
from buckwright.skin.grain import skin_grain
from buckwright.skin.sheet import Sheet

__all__ = ["doubts", "fighting_lines"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

LONG, WIDE = 1000.0, 250.0
"""mm; a field longer and wider than this has too few lines across it."""
FOLD = 60.0
"""Degrees between neighbouring triangles that are a fold."""
STRAY, LEAST = 3.0, 1.25
"""Times its sigma, and mm, by which a limber skin must leave a line that fights with others."""
WAVE = 300.0
"""mm; a limber skin smooths waves along a line that are shorter."""


def doubts(sheet: Sheet, region: str) -> tuple[PlacedFinding, ...]:
    """Long fields and folds."""
    found = [_long_fields(sheet, region), _folds(sheet, region)]
    return tuple(finding for finding in found if finding is not None)


def _place(point: Array) -> str:
    return "x {:.0f}, y {:.0f}, z {:.0f}".format(*point)


def _long_fields(sheet: Sheet, region: str) -> PlacedFinding | None:
    """Fields between the lines, by the least rectangles round them on the chart."""
    count = len(sheet.frame.used)
    lines = shapely.linestrings(sheet.chart[:count][sheet.frame.sides])
    faces = shapely.polygonize(list(shapely.node(shapely.MultiLineString(list(lines))).geoms))
    long = []
    holes = [
        shapely.Polygon(sheet.chart[sheet.frame.local(loop)])
        for loop in sheet.frame.lines.hole_loops(sheet.frame.samples)
    ]
    for face in faces.geoms:
        inside = face.representative_point()
        if any(hole.contains(inside) for hole in holes):
            continue
        box = np.array(shapely.minimum_rotated_rectangle(face).exterior.coords)
        short, length = sorted(np.linalg.norm(np.diff(box[:3], axis=0), axis=1))
        if length > LONG and short > WIDE:
            long.append((length, short, np.array([face.centroid.x, face.centroid.y])))
    if not long:
        return None
    length, short, middle = max(long, key=lambda field: field[0])
    nearest = int(np.argmin(((sheet.chart - middle) ** 2).sum(axis=1)))
    many = "One field is" if len(long) == 1 else f"{len(long)} fields are"
    return PlacedFinding(
        code="long-field",
        where=region,
        message=f"{many} longer than {LONG:.0f} mm without a line across; the longest, "
        f"{length:.0f} by {short:.0f} mm, is round {_place(sheet.vertices[nearest])}.",
        remedy="Trace a section line across the field.",
        place=told_place(sheet.vertices[nearest]),
    )


def _folds(sheet: Sheet, region: str) -> PlacedFinding | None:
    # Opened along its creases, where the skin may be as sharp as it likes.
    opened = sheet.opened()
    edges, of_triangle = edges_of(opened.triangles)
    order = np.argsort(of_triangle.ravel(), kind="stable")
    edge, owner = of_triangle.ravel()[order], order // 3
    paired = np.flatnonzero(edge[:-1] == edge[1:])
    normals = triangle_normals(sheet.vertices, sheet.triangles)
    cosine = np.einsum("ij,ij->i", normals[owner[paired]], normals[owner[paired + 1]])
    sharp = int(np.argmin(cosine))
    if cosine[sharp] > np.cos(np.radians(FOLD)):
        return None
    middle = sheet.vertices[opened.seats[edges[edge[paired[sharp]]]]].mean(axis=0)
    return PlacedFinding(
        code="fold",
        where=region,
        message=f"The skin is folded near {_place(middle)}.",
        remedy="Mark the line that is sharp there as a crease, or make it a boundary.",
        place=told_place(middle),
    )


def fighting_lines(sheet: Sheet) -> tuple[PlacedFinding, ...]:
    """Lines that a limber skin through all of them would leave by far more than their doubt.

    `sheet` may be a coarse one: what is looked for is longer than its edges.
    """
    frame = sheet.frame
    count = len(frame.used)
    limber = dict.fromkeys(frame.doubts, wave_stiffness(WAVE))
    opened = sheet.opened()
    seats = opened.seats
    grain = skin_grain(sheet.chart[seats], opened.triangles, sheet.vertices[seats])
    hold = frame.hold(limber)
    free = fair_vertices(sheet.chart, sheet.triangles, sheet.vertices, hold, grain, opened)
    normals = vertex_normals(free, sheet.triangles)[:count]
    off = np.abs(np.einsum("ij,ij->i", frame.points - free[:count], normals))
    found = []
    for name in dict.fromkeys(run.line for run in (*frame.lines.inner, *frame.lines.holes)):
        runs = [run for run in frame.lines.runs() if run.line == name]
        on = np.concatenate([frame.local(frame.samples.along(run)) for run in runs])
        worst = on[int(np.argmax(off[on]))]
        if off[worst] > max(STRAY * frame.doubts[name].points, LEAST):
            found.append(
                PlacedFinding(
                    code="lines-fight",
                    where=name,
                    message=f"A fair skin would pass {off[worst]:.1f} mm from '{name}' near "
                    f"{_place(frame.points[worst])}: the lines round it want it elsewhere.",
                    remedy="Check that line and those it crosses in the pictures.",
                    place=told_place(frame.points[worst]),
                )
            )
    return tuple(found)
