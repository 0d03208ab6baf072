"""A point cloud made one sheet of triangles: strays out, noise smoothed, laid over a chart."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import Delaunay, cKDTree

from buckwright.errors import JobError
from buckwright.geometry.local_fit import LocalFit, fit_locally
from buckwright.geometry.mesh import triangle_areas
from buckwright.geometry.mesh_faults import pinched_vertices, triangle_pieces
from buckwright.model.fields import PlacedFinding
from buckwright.skin.cloud_charts import chart_of

__all__ = ["CloudSheet", "sheet_of_cloud"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Mask = NDArray[np.bool_]

LEAST = 60
"""Points without which a cloud is no sheet."""
NEIGHBOURS = 24
LONELY = 5.0
"""Times the usual distance of neighbours beyond which a point stands alone."""
CRUMB = 0.02
"""Share of the points below which a loose heap is dirt."""
OFF = 7.0
"""Robust standard deviations off its patch that make a point a stray."""
ROUNDS = 4
LONG = 3.5
"""Times the usual spacing that the circle round a triangle may have as its radius."""
SHOWN = 3


@dataclass(frozen=True, eq=False, slots=True)
class CloudSheet:
    """The sheet, how noisy its points were, and what was left out."""

    vertices: Array
    triangles: Index
    noise: float
    """mm, robust standard deviation of a point across the sheet."""
    alone: Index
    """Numbers of the points that stood alone."""
    off: Index
    """Numbers of those off the patch of their neighbours."""
    findings: tuple[PlacedFinding, ...]


def sheet_of_cloud(name: str, points: Array, *, edge_length: float) -> CloudSheet:
    """The sheet through the points (n, 3), mm, not finer than a mesh of `edge_length` needs.

    Raises JobError for a cloud of too few points, one on a line or spot, and one that is not
    single-valued over its best plane nor over a cylinder.
    """
    number = np.unique(points, axis=0, return_index=True)[1]
    number.sort()
    if len(number) < LEAST:
        raise JobError(
            f"The cloud '{name}' has {len(number)} points, too few for a sheet.",
            f"Scan {LEAST} points at least.",
        )
    _refuse_thin(name, points[number])
    kept = ~_alone(points[number])
    alone, number = number[~kept], number[kept]
    number, off, fit = _without_strays(name, points, number)
    clean = points[number] - fit.residual[:, None] * fit.normal
    noise = 1.4826 * float(np.median(np.abs(fit.deleted) * np.sqrt(1.0 - fit.leverage)))
    flat = chart_of(name, clean, fit.normal)
    flat, clean = _thinned(flat, clean, edge_length / 4.0)
    vertices, triangles = _triangles(name, flat, clean)
    return CloudSheet(
        vertices,
        triangles,
        noise,
        alone,
        off,
        _told(name, points, alone, off, noise, len(number)),
    )


def _refuse_thin(name: str, points: Array) -> None:
    size = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if size[1] < 1e-3 * max(float(size[0]), 1e-12):
        raise JobError(
            f"The points of the cloud '{name}' lie on one line.", "Scan a sheet, not an edge."
        )


def _alone(points: Array) -> Mask:
    """Points far from all others, and small heaps of them."""
    far, near = cKDTree(points).query(points, k=9)
    apart = far[:, 1:].mean(axis=1)
    reach = LONELY * float(np.median(apart))
    rows = np.repeat(np.arange(len(points)), 8)
    close = (far[:, 1:] <= reach).ravel()
    links = coo_matrix(
        (np.ones(int(close.sum())), (rows[close], near[:, 1:].ravel()[close])),
        shape=(len(points), len(points)),
    )
    _, heap = connected_components(links, directed=False)
    sizes = np.bincount(heap)
    return np.asarray((apart > reach) | (sizes[heap] < CRUMB * len(points)))


def _without_strays(name: str, points: Array, number: Index) -> tuple[Index, Index, LocalFit]:
    """Numbers of the points on the sheet, of those off it, and the patches without them."""
    off = []
    for _ in range(ROUNDS):
        if len(number) < LEAST:
            raise JobError(
                f"Nearly all points of the cloud '{name}' lie off each other.",
                "See whether it is the scan of one surface.",
            )
        fit = fit_locally(points[number], NEIGHBOURS)
        gap = np.abs(fit.deleted)
        limit = OFF * 1.4826 * float(np.median(gap)) + 1e-9 * float(np.ptp(points[number]))
        # Beside a stray all patches are bent: only the worst of a neighbourhood goes at once.
        worst = gap >= gap[fit.near].max(axis=1)
        stray = (gap > limit) & worst & (gap > 3.0 * np.median(gap[fit.near], axis=1))
        if not stray.any():
            break
        off.append(number[stray])
        number = number[~stray]
    return (
        number,
        np.sort(np.concatenate([np.zeros(0, dtype=np.int64), *off])),
        fit_locally(points[number], NEIGHBOURS),
    )


def _thinned(flat: Array, points: Array, cell: float) -> tuple[Array, Array]:
    """Means of the points in each square of the chart, where there are several."""
    _, which = np.unique(np.floor(flat / cell).astype(np.int64), axis=0, return_inverse=True)
    which = which.ravel()
    count = np.bincount(which).astype(np.float64)

    def mean(values: Array) -> Array:
        columns = [np.bincount(which, column) / count for column in values.T]
        return np.column_stack(columns)

    return mean(flat), mean(points)


def _triangles(name: str, flat: Array, points: Array) -> tuple[Array, Index]:
    triangles = np.asarray(Delaunay(flat).simplices, dtype=np.int64)
    near = cKDTree(flat).query(flat, k=5)[0][:, 1:].mean(axis=1)
    sides = np.stack(
        [
            np.linalg.norm(flat[triangles[:, k]] - flat[triangles[:, k - 1]], axis=1)
            for k in range(3)
        ]
    )
    area = np.abs(triangle_areas(flat, triangles))
    circle = np.prod(sides, axis=0) / np.maximum(4.0 * area, 1e-12)
    triangles = triangles[circle <= LONG * float(np.median(near))]
    triangles = _sound(triangles)
    if len(triangles) < LEAST:
        raise JobError(
            f"The points of the cloud '{name}' are too unevenly spread for a sheet.",
            "Mesh it in the scanner's program first, and take the mesh.",
        )
    used, numbers = np.unique(triangles, return_inverse=True)
    return points[used], numbers.reshape(-1, 3).astype(np.int64)


def _sound(triangles: Index) -> Index:
    """The largest piece, without triangles that hang on a single corner."""
    while len(triangles):
        piece = triangle_pieces(triangles)
        triangles = triangles[piece == np.argmax(np.bincount(piece))]
        pinched = pinched_vertices(triangles)
        if not len(pinched):
            break
        triangles = triangles[~np.isin(triangles, pinched).any(axis=1)]
    return triangles


def _told(
    name: str, points: Array, alone: Index, off: Index, noise: float, count: int
) -> tuple[PlacedFinding, ...]:
    found = []
    for numbers, words in (
        (alone, "stand far from all others"),
        (off, "lie off the sheet of their neighbours"),
    ):
        if len(numbers):
            told = f"{len(numbers)} points {words} and were left out, at {_places(points[numbers])}"
            found.append(_note(name, "scan-strays", told, points[numbers[0]]))
    told = f"{count} points lie within {noise:.2g} mm of the sheet (one standard deviation)"
    return (*found, _note(name, "scan-noise", told, points.mean(axis=0)))


def _places(points: Array) -> str:
    some = "; ".join(f"x {x:.0f}, y {y:.0f}, z {z:.0f}" for x, y, z in points[:SHOWN])
    return some + (f" and {len(points) - SHOWN} more" if len(points) > SHOWN else "")


def _note(name: str, code: str, words: str, place: Array) -> PlacedFinding:
    x, y, z = (float(value) for value in place)
    return PlacedFinding(
        code=code,
        where=name,
        message=f"Of the cloud '{name}', {words}.",
        remedy="Look there; scan it again if something is missing or rough.",
        kind="note",
        place=(x, y, z),
    )
