"""An underlay from outlines: what all of them together leave of space, and lines held to it.

The body lies inside the hull wherever its outlines were traced; how much larger the hull is
depends on how many pictures there are and from where. It is no surface to build from.

Reference: A. Laurentini, 'The visual hull concept for silhouette-based image understanding',
IEEE Transactions on Pattern Analysis 16 (1994), doi:10.1109/34.273735.
"""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from skimage.measure import marching_cubes

from buckwright.errors import JobError
from buckwright.model.finding import Finding
from buckwright.model.pictures import MeasuredLine
from buckwright.model.views import Hull, Outside
from buckwright.views.outlines import Drawn, Outline, drawn_out, inside_by, outside_by

__all__ = ["hull_of_outlines", "lines_outside"]

Array = NDArray[np.float64]

_MARCHED: Callable[..., tuple[Any, ...]] = marching_cubes
_COARSE = 32
"""Cells along the longest side of the first grid, which only finds where the hull is."""
_MOST_CELLS = 6_000_000
_FEW = 6


def hull_of_outlines(
    outlines: Sequence[Outline], *, box: Array, cell: float, lines: Sequence[MeasuredLine] = ()
) -> Hull:
    """The hull in cells of that size, inside a box (2, 3): its least and its greatest corner.

    Raises JobError for fewer than two outlines, for outlines that leave nothing, and for a cell
    of nothing or one so fine that the grid would not fit.
    """
    if len(outlines) < 2:
        raise JobError(
            f"{len(outlines)} pictures have an outline of the body, and a hull needs two.",
            "Trace outlines all round, of kind silhouette, and close them.",
        )
    if not cell > 0.0:
        raise JobError("A cell of nothing makes no hull.", "Give it 2 mm on the model or so.")
    box = np.asarray(box, dtype=np.float64)
    drawn = [drawn_out(outline) for outline in outlines]
    box = _near_box(drawn, box)
    counts = np.ceil((box[1] - box[0]) / cell).astype(int) + 3
    if float(np.prod(counts.astype(float))) > _MOST_CELLS:
        raise JobError(
            f"Cells of {cell:g} mm make {np.prod(counts.astype(float)) / 1e6:.0f} million of them.",
            "Take larger cells.",
        )
    start = box[0] - cell
    field = _carved(drawn, start, counts, cell)
    # Nothing is known beyond the box: there it ends.
    field = np.pad(field, 1, constant_values=-cell)
    if field.max() <= 0.0:
        raise _nothing_left()
    vertices, corners, _, _ = _MARCHED(field, 0.0, spacing=(cell,) * 3)
    vertices = np.asarray(vertices + (start - cell), dtype=np.float64)
    triangles: NDArray[np.int64] = np.asarray(corners, dtype=np.int64)
    volume = _volume(vertices, triangles)
    if volume < 0.0:
        triangles, volume = triangles[:, ::-1], -volume
    return Hull(
        vertices=vertices,
        triangles=triangles,
        cell=cell,
        volume=volume,
        pictures=tuple(outline.picture.name for outline in outlines),
        outside=lines_outside(lines, outlines, cell=cell),
        findings=_doubts(len(outlines)),
    )


def _nothing_left() -> JobError:
    return JobError(
        "The outlines leave nothing between them.",
        "One of them is not of this body, or its picture is placed wrongly: look at each.",
    )


def _near_box(drawn: Sequence[Drawn], box: Array) -> Array:
    """The box of what a coarse grid leaves, a cell larger all round."""
    cell = float((box[1] - box[0]).max()) / _COARSE
    if not cell > 0.0:
        raise JobError("The box of the hull has no size.", "Place the pictures first.")
    counts = np.ceil((box[1] - box[0]) / cell).astype(int) + 1
    # A body may pass between the grid's points: what is within half a cell's diagonal counts.
    kept = np.argwhere(_carved(drawn, box[0], counts, cell) > -0.9 * cell)
    if len(kept) == 0:
        raise _nothing_left()
    low, high = box[0] + cell * (kept.min(axis=0) - 1), box[0] + cell * (kept.max(axis=0) + 1)
    return np.array([np.maximum(low, box[0]), np.minimum(high, box[1])])


def _carved(drawn: Sequence[Drawn], start: Array, counts: NDArray[np.int64], cell: float) -> Array:
    """(nx, ny, nz) mm inside the nearest outline, slice by slice; negative where carved away."""
    y, z = np.meshgrid(*(start[k] + cell * np.arange(counts[k]) for k in (1, 2)), indexing="ij")
    field = np.empty(tuple(counts))
    for k in range(counts[0]):
        points = np.column_stack([np.full(y.size, start[0] + cell * k), y.ravel(), z.ravel()])
        left = np.arange(len(points))
        depth = np.full(len(points), np.inf)
        for outline in drawn:
            depth[left] = np.minimum(depth[left], inside_by(points[left], outline))
            left = left[depth[left] > -2.0 * cell]
            if len(left) == 0:
                break
        field[k] = np.clip(depth, -2.0 * cell, 1e3 * cell).reshape(y.shape)
    return field


def _volume(vertices: Array, triangles: NDArray[np.int64]) -> float:
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    return float(np.einsum("nk,nk->", a, np.cross(b, c)) / 6.0)


def lines_outside(
    lines: Sequence[MeasuredLine], outlines: Sequence[Outline], *, cell: float
) -> tuple[Outside, ...]:
    """Lines that leave an outline by more than a cell and twice their doubt, the worst first.

    They are held to the outlines themselves, not to the cells.
    """
    found = []
    for line in lines:
        gaps = np.array([outside_by(line.points, outline) for outline in outlines])
        over = gaps.max(axis=0) - cell - 2.0 * line.sigma
        if not np.any(over > 0.0):
            continue
        worst = int(over.argmax())
        found.append(
            Outside(
                line=line.name,
                amount=float(gaps[:, worst].max()),
                point=line.points[worst],
                picture=outlines[int(gaps[:, worst].argmax())].picture.name,
                share=float(np.mean(over > 0.0)),
            )
        )
    return tuple(sorted(found, key=lambda one: -one.amount))


def _doubts(count: int) -> tuple[Finding, ...]:
    if count >= _FEW:
        return ()
    return (
        Finding(
            code="hull-few",
            where="hull",
            message=f"It rests on {count} outlines only, and is much larger than the body.",
            remedy="Trace more outlines, from all round and from above.",
        ),
    )
