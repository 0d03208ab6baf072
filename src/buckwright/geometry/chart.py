"""Flat charts: a disc-like mesh laid in the plane without folds, lengths nearly kept."""

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from buckwright.geometry.factor import factor_positive
from buckwright.geometry.flat_energy import FlatEnergy, longest_step
from buckwright.geometry.mesh import edges_of, triangle_areas
from buckwright.geometry.strain import map_matrices, shape_gradients, symmetric_measure

__all__ = ["even_chart", "tutte_layout", "unevenness"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

FLATTEST = 0.02
"""Triangles lower than this share of their first side count as that high: each has an area."""
ENOUGH = 1e-7
"""A round that gains less than this share of the energy is the last."""


def tutte_layout(vertices: Array, triangles: Index, loop: Index) -> Array:
    """(n, 2) layout on the unit disc without folds; the loop goes round it counter-clockwise.

    `loop` is the whole boundary, in order, spaced on the circle by length. Every inner vertex is
    the mean of its neighbours, weighed by the inverse of the distance, so that small fields
    inside large ones do not shrink to nothing. No chord may join two vertices of the loop.
    Reference: Tutte, 'How to draw a graph', Proc. London Math. Soc. 13 (1963),
    doi:10.1112/plms/s3-13.1.743.
    """
    count = len(vertices)
    edges, _ = edges_of(triangles)
    length = np.linalg.norm(vertices[edges[:, 0]] - vertices[edges[:, 1]], axis=1)
    pull = 1.0 / np.maximum(length, 1e-3 * length.mean())
    rows, columns = np.concatenate([edges, edges[:, ::-1]]).T
    weights = sparse.csr_matrix((np.tile(pull, 2), (rows, columns)), shape=(count, count))
    laplacian = (sparse.diags(np.asarray(weights.sum(axis=1)).ravel()) - weights).tocsr()
    sides = np.linalg.norm(vertices[np.roll(loop, -1)] - vertices[loop], axis=1)
    sides = np.maximum(sides, 1e-3 * sides.mean())
    turn = 2.0 * np.pi * np.concatenate([[0.0], np.cumsum(sides)[:-1]]) / sides.sum()
    flat = np.zeros((count, 2))
    flat[loop] = np.column_stack([np.cos(turn), np.sin(turn)])
    inner = np.setdiff1d(np.arange(count), loop)
    if len(inner):
        rows_in = laplacian[inner]
        flat[inner] = factor_positive(rows_in[:, inner]).solve(-rows_in[:, loop] @ flat[loop])
    return flat


def even_chart(vertices: Array, triangles: Index, start: Array, *, rounds: int) -> Array:
    """(n, 2) a chart of nearly equal lengths, by descents of the symmetric Dirichlet energy.

    `start` (n, 2) must have no triangle turned over (ValueError), and none is ever made. The
    chart may overlap itself where the mesh winds round. Unlike a blank it may be taken from
    triangles in space that are flat or nearly so, and need not be settled.
    """
    flat = triangle_areas(start, triangles)
    if not np.all(flat > 0.0):
        message = "the chart to start from has triangles turned over"
        raise ValueError(message)
    energy = _energy(vertices, triangles, start)
    chart = np.asarray(start * np.sqrt(energy.areas.sum() / flat.sum()))
    for _ in range(rounds):
        before, slope, second = energy.derivatives(chart)
        lift = 1e-8 * float(second.diagonal().mean())
        solver = factor_positive(second.tocsr() + lift * sparse.identity(len(slope), format="csr"))
        step = -np.asarray(solver.solve(slope)).reshape(-1, 2)
        chart, after = _lowered(energy, chart, step, before)
        if before - after <= ENOUGH * before:
            break
    return chart


def unevenness(vertices: Array, triangles: Index, chart: Array) -> float:
    """Mean over the area of s^2 + 1/s^2 - 2 for both stretches; 0 where all lengths are kept.

    Infinite where a triangle is turned over.
    """
    if not np.all(triangle_areas(chart, triangles) > 0.0):
        return float("inf")
    energy = _energy(vertices, triangles, chart)
    return energy.value(chart) / float(energy.areas.sum())


def _energy(vertices: Array, triangles: Index, chart: Array) -> FlatEnergy:
    """The energy of charts of the mesh, whose triangles are first laid flat one by one."""
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    base = np.maximum(np.linalg.norm(b - a, axis=1), 1e-12)
    along = np.einsum("ij,ij->i", c - a, b - a) / base
    height = np.sqrt(np.maximum(np.einsum("ij,ij->i", c - a, c - a) - along**2, 0.0))
    flat = np.zeros((len(triangles), 3, 2))
    flat[:, 1, 0], flat[:, 2, 0] = base, along
    flat[:, 2, 1] = np.maximum(height, FLATTEST * base)
    apart = np.arange(3 * len(triangles), dtype=np.int64).reshape(-1, 3)
    areas, gradients = shape_gradients(flat.reshape(-1, 2), apart)
    # The chart only lends its pattern; lengths are those of the triangles laid flat.
    energy = FlatEnergy(chart, triangles, symmetric_measure)
    energy.areas, energy.matrices = areas, map_matrices(gradients)
    return energy


def _lowered(energy: FlatEnergy, chart: Array, step: Array, before: float) -> tuple[Array, float]:
    share = min(1.0, 0.9 * longest_step(chart, energy.triangles, step))
    for _ in range(40):
        moved = np.asarray(chart + share * step)
        after = energy.value(moved)
        if after < before:
            return moved, after
        share *= 0.5
    return chart, before
