"""A scan made one clean sheet, or refused with the place where it cannot be."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.mesh import boundary_loops, triangle_areas
from buckwright.geometry.mesh_faults import (
    crowded_edges,
    mesh_form,
    pinched_vertices,
    repeated_triangles,
    thin_triangles,
    triangle_pieces,
    turned_alike,
    weld_vertices,
)
from buckwright.model.fields import PlacedFinding
from buckwright.model.finding import told_place

__all__ = ["CleanScan", "clean_scan"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

WELD = 1e-6
"""Share of the whole size within which corners are one: STL repeats them."""
CRUMB = 0.01
"""Share of the area below which a loose piece is dirt, not part of the scan."""


@dataclass(frozen=True, eq=False, slots=True)
class CleanScan:
    """One sheet without faults: its boundary first, then its openings, and what was mended."""

    vertices: Array
    triangles: Index
    loops: tuple[Index, ...]
    findings: tuple[PlacedFinding, ...]


def clean_scan(name: str, vertices: Array, triangles: Index) -> CleanScan:
    """The scan with doubled and flat triangles and loose crumbs left out, one side outward.

    Raises JobError, each with the place: nothing left, more than two triangles at an edge, parts
    that touch in a point, one-sided, several large pieces, closed all round, with a handle.
    """
    notes: list[PlacedFinding] = []
    size = float(np.ptp(vertices, axis=0).max()) if len(vertices) else 0.0
    if not size > 0.0:
        raise JobError(f"The scan '{name}' has no size.", "Export it again as a mesh.")
    vertices, triangles = weld_vertices(vertices, triangles, reach=WELD * size)
    triangles = _without(name, vertices, triangles, notes)
    crowded = crowded_edges(triangles)
    if len(crowded):
        raise _refused(
            f"More than two triangles of the scan '{name}' meet at {_count(len(crowded), 'edge')}",
            vertices[crowded[0]].mean(axis=0),
            "Cut off flanges and inner walls, so that it is one sheet.",
        )
    triangles = _one_piece(name, vertices, triangles, notes)
    triangles = _turned(name, vertices, triangles, notes)
    pinched = pinched_vertices(triangles)
    if len(pinched):
        raise _refused(
            f"Parts of the scan '{name}' touch in {_count(len(pinched), 'single point')}",
            vertices[pinched[0]],
            "Cut them apart there, or join them along an edge.",
        )
    form = mesh_form(triangles)
    if form.boundaries == 0:
        raise JobError(
            f"The scan '{name}' is closed all round, so it has an inside as well.",
            "Cut its outer sheet free and take that.",
        )
    if form.handles:
        raise JobError(
            f"The scan '{name}' goes through itself like the handle of a cup.",
            "Cut the handle off, or take it as a scan of its own.",
        )
    used, renumbered = np.unique(triangles, return_inverse=True)
    vertices, triangles = vertices[used], renumbered.reshape(-1, 3).astype(np.int64)
    loops = sorted(boundary_loops(triangles), key=lambda loop: -_round(vertices[loop]))
    return CleanScan(vertices, triangles, tuple(loops), tuple(notes))


def _without(name: str, vertices: Array, triangles: Index, notes: list[PlacedFinding]) -> Index:
    """Triangles without doubled ones and those that have no area."""
    for words in ("without area", "lying twice"):
        flat = words == "without area"
        bad = thin_triangles(vertices, triangles) if flat else repeated_triangles(triangles)
        if len(bad):
            place = vertices[triangles[bad[0]]].mean(axis=0)
            notes.append(_note(name, f"{len(bad)} triangles {words} were left out", place))
            triangles = np.delete(triangles, bad, axis=0)
    if not len(triangles):
        raise JobError(f"Nothing is left of the scan '{name}'.", "Export it again as a mesh.")
    return triangles


def _one_piece(name: str, vertices: Array, triangles: Index, notes: list[PlacedFinding]) -> Index:
    piece = triangle_pieces(triangles)
    areas = np.bincount(piece, triangle_areas(vertices, triangles))
    large = areas > CRUMB * areas.sum()
    if large.sum() > 1:
        other = int(np.argsort(-areas)[1])
        raise _refused(
            f"The scan '{name}' lies in {int(large.sum())} large pieces",
            _middle_of(vertices[triangles[piece == other]].reshape(-1, 3)),
            "Join them, or take each as a scan of its own.",
        )
    kept = large[piece]
    if not np.all(kept):
        place = _middle_of(vertices[triangles[~kept]].reshape(-1, 3))
        notes.append(_note(name, f"{int((~large).sum())} loose crumbs were left out", place))
    return np.asarray(triangles[kept])


def _turned(name: str, vertices: Array, triangles: Index, notes: list[PlacedFinding]) -> Index:
    turned = turned_alike(triangles)
    if turned is None:
        raise JobError(
            f"The scan '{name}' has one side only, like a twisted loop.",
            "Cut it and turn one end over before joining it again.",
        )
    changed = np.flatnonzero((turned != triangles).any(axis=1))
    if len(changed):
        place = vertices[triangles[changed[0]]].mean(axis=0)
        words = f"{len(changed)} triangles lay with their inside out and were turned"
        notes.append(_note(name, words, place))
    return turned


def _middle_of(points: Array) -> Array:
    """The point nearest to their mean, so that it lies on the scan."""
    off = np.linalg.norm(points - points.mean(axis=0), axis=1)
    return np.asarray(points[int(np.argmin(off))])


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _round(points: Array) -> float:
    return float(np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1).sum())


def _note(name: str, words: str, place: Array) -> PlacedFinding:
    x, y, z = (float(value) for value in place)
    return PlacedFinding(
        code="scan-mended",
        where=name,
        message=f"In the scan of '{name}' {words}, first at x {x:.0f}, y {y:.0f}, z {z:.0f}.",
        remedy="Look there; scan it again if something is missing.",
        kind="note",
        place=(x, y, z),
    )


def _refused(problem: str, place: Array, remedy: str) -> JobError:
    x, y, z = told_place(place)
    where = f"first at x {x:.1f}, y {y:.1f}, z {z:.1f}"
    return JobError(f"{problem}, {where}.", remedy, (x, y, z))
