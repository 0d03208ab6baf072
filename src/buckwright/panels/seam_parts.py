"""Parts of a region while seams are looked for: meshes that keep the lines lying on them."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.geometry.flatten import flatten_least_work
from buckwright.geometry.mesh import boundary_loops, edges_of, triangle_areas
from buckwright.geometry.mesh_faults import mesh_form, pinched_vertices
from buckwright.geometry.path_cut import PathCut, parts_beside
from buckwright.geometry.strain import hencky_measure, map_matrices, shape_gradients, stretch_of

__all__ = ["Measure", "Part", "cut_part", "equal_width", "measure_mesh", "rim_of"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

HOPELESS = 10.0
"""Strain written for a part that cannot be laid flat at all."""


@dataclass(frozen=True, eq=False, slots=True)
class Part:
    """A part of a region; lengths mm.

    Attributes: vertices (n, 3), triangles (m, 3); rounding (n,) Gauss curvature and bend (n,)
    greatest curvature at the vertices, 1/mm^2 and 1/mm; outer (n,), on the region's own edge;
    lines, runs of vertices along named lines that lie inside the part.
    """

    vertices: Array
    triangles: Index
    rounding: Array
    bend: Array
    outer: NDArray[np.bool_]
    lines: tuple[tuple[str, Index], ...] = ()

    @property
    def area(self) -> float:
        """mm^2."""
        return float(triangle_areas(self.vertices, self.triangles).sum())

    def total_rounding(self) -> float:
        """Area integral of the absolute Gauss curvature, rad."""
        areas = triangle_areas(self.vertices, self.triangles)
        return float(areas @ np.abs(self.rounding)[self.triangles].mean(axis=1))


@dataclass(frozen=True, slots=True)
class Measure:
    """A part laid flat: greatest strain, work over the area, greatest effective strain, sizes."""

    peak: float
    work: float
    effective: float
    long: float
    short: float
    area: float


def measure_mesh(mesh: tuple[Array, Index]) -> Measure:
    """What a part needs when it is made from one flat piece with least work."""
    vertices, triangles = mesh
    area = float(triangle_areas(vertices, triangles).sum())
    try:
        flat = flatten_least_work(vertices, triangles).points
        weights, gradients = shape_gradients(vertices, triangles)
    except ValueError:
        size = float(np.linalg.norm(np.ptp(vertices, axis=0)))
        return Measure(HOPELESS, HOPELESS * area, HOPELESS, size, size, area)
    major, minor = stretch_of(flat, triangles, map_matrices(gradients)).logs()
    work = hencky_measure(major, minor)[0]
    box = shapely.MultiPoint(flat).minimum_rotated_rectangle
    sides = np.linalg.norm(np.diff(np.asarray(box.exterior.coords)[:3], axis=0), axis=1)
    return Measure(
        peak=float(max(np.abs(major).max(), np.abs(minor).max())),
        work=float(weights @ work),
        effective=float(np.sqrt(4.0 / 3.0 * work.max())),
        long=float(sides.max()),
        short=float(sides.min()),
        area=area,
    )


def rim_of(part: Part) -> Index:
    """Vertices round the outer edge of the part, in order."""
    loops = boundary_loops(part.triangles)
    lengths = [np.linalg.norm(np.diff(part.vertices[loop], axis=0), axis=1).sum() for loop in loops]
    return loops[int(np.argmax(lengths))]


def equal_width(part: Part) -> float:
    """mm, the narrow side of the rectangle that has the part's area and outer edge."""
    rim = part.vertices[rim_of(part)]
    half = 0.5 * float(np.linalg.norm(rim - np.roll(rim, 1, axis=0), axis=1).sum())
    area = part.area
    square = 0.25 * half * half - area
    return float(0.5 * half - np.sqrt(square) if square > 0.0 else np.sqrt(area))


def cut_part(part: Part, cut: PathCut) -> tuple[Part, Part] | None:
    """The two parts on both sides of a way over it; None unless each hangs well together."""
    side = parts_beside(cut.triangles, [cut.way])
    if side.max() != 1 or not _sound(cut.triangles, side):
        return None
    spread = _spread(part, cut)
    first, second = (_kept(spread, cut.triangles[side == k]) for k in (0, 1))
    return first, second


def _sound(triangles: Index, side: Index) -> bool:
    for k in (0, 1):
        form = mesh_form(triangles[side == k])
        if form.pieces != 1 or form.handles or len(pinched_vertices(triangles[side == k])):
            return False
    return True


def _spread(part: Part, cut: PathCut) -> Part:
    """The part with the cut's vertices, each new one knowing what its edge's ends know."""
    a, b = cut.halved.T
    edges, of_triangle = edges_of(part.triangles)
    rim = edges[np.bincount(of_triangle.ravel(), minlength=len(edges)) == 1]
    on_rim = np.isin(cut.halved @ [len(part.vertices), 1], rim @ [len(part.vertices), 1])
    rounding, bend = (
        np.concatenate([values, values[a] + cut.part * (values[b] - values[a])])
        for values in (part.rounding, part.bend)
    )
    outer = np.concatenate([part.outer, part.outer[a] & part.outer[b] & on_rim])
    middle = {
        pair: len(part.vertices) + k for k, pair in enumerate(map(tuple, cut.halved.tolist()))
    }
    lines = tuple((name, _with_middles(run, middle)) for name, run in part.lines)
    return Part(cut.vertices, cut.triangles, rounding, bend, outer, lines)


def _with_middles(run: Index, middle: dict[tuple[int, ...], int]) -> Index:
    whole = [int(run[0])]
    for a, b in zip(run[:-1].tolist(), run[1:].tolist(), strict=True):
        if (min(a, b), max(a, b)) in middle:
            whole.append(middle[min(a, b), max(a, b)])
        whole.append(b)
    return np.array(whole, dtype=np.int64)


def _kept(part: Part, triangles: Index) -> Part:
    """The triangles with their own vertices, and the pieces of lines that lie inside them."""
    used, renamed = np.unique(triangles, return_inverse=True)
    triangles = renamed.reshape(-1, 3).astype(np.int64)
    number = np.full(len(part.vertices), -1)
    number[used] = np.arange(len(used))
    edges, of_triangle = edges_of(triangles)
    inner = np.bincount(of_triangle.ravel(), minlength=len(edges)) == 2
    inside = {tuple(e) for e in edges[inner].tolist()}
    lines = tuple((name, piece) for name, run in part.lines for piece in _runs(number[run], inside))
    return Part(
        part.vertices[used],
        triangles,
        part.rounding[used],
        part.bend[used],
        part.outer[used],
        lines,
    )


def _runs(vertices: Index, inside: set[tuple[int, ...]]) -> list[Index]:
    """Longest pieces of a run whose every side is among the edges `inside`."""
    pieces: list[list[int]] = [[]]
    for a, b in zip(vertices[:-1].tolist(), vertices[1:].tolist(), strict=True):
        if (min(a, b), max(a, b)) in inside:
            pieces[-1] = pieces[-1] or [a]
            pieces[-1].append(b)
        elif pieces[-1]:
            pieces.append([])
    return [np.array(piece, dtype=np.int64) for piece in pieces if len(piece) > 2]
