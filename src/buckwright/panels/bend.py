"""How a panel is bent: its principal curvatures, apart from any stretch."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.curvature import mesh_curvatures
from buckwright.geometry.mesh import edges_of, vertex_areas

__all__ = ["FLAT", "Bends", "panel_bends"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

FLAT = 10_000.0
"""mm, radius beyond which sheet lies down by itself."""
_MOST = 1e6
"""mm, the radius written where the panel is flat."""
_ROUNDS = 3
"""Rounds of averaging: a vertex speaks for the metal three edges about it."""


@dataclass(frozen=True, eq=False, slots=True)
class Bends:
    """Principal curvatures at n vertices, 1/mm, positive where crowned.

    Attributes: tight (n,), the one of larger size; slack (n,), the other; way (n, 3), unit
    tangents along which the metal bends most, either sense.
    """

    tight: Array
    slack: Array
    way: Array

    @property
    def radius(self) -> Array:
        """(n,) the tighter radius, mm, a million where the metal is flat."""
        return np.asarray(1.0 / np.maximum(np.abs(self.tight), 1.0 / _MOST))

    def on_blank(self, vertices: Array, triangles: Index, flat: Array) -> Array:
        """(n, 2) the unit `way` on the blank."""
        corners, laid = vertices[triangles], flat[triangles]
        sides = np.swapaxes(corners[:, 1:] - corners[:, :1], 1, 2)
        carry = np.swapaxes(laid[:, 1:] - laid[:, :1], 1, 2) @ np.linalg.pinv(sides)
        # Any triangle of a vertex will do: the map changes little from one to the next.
        owner = np.zeros(len(vertices), dtype=np.int64)
        owner[triangles.ravel()] = np.repeat(np.arange(len(triangles)), 3)
        found = np.einsum("nij,nj->ni", carry[owner], self.way)
        length = np.linalg.norm(found, axis=1, keepdims=True)
        return np.asarray(np.where(length > 1e-9, found / np.maximum(length, 1e-9), [1.0, 0.0]))


def panel_bends(vertices: Array, triangles: Index) -> Bends:
    """Principal curvatures of a panel, evened out over a few edges about each vertex."""
    bends = mesh_curvatures(vertices, triangles)
    tensor = _square(bends.greater, bends.greater_way) + _square(bends.lesser, bends.lesser_way)
    edges, _ = edges_of(triangles)
    weight = vertex_areas(vertices, triangles)
    for _ in range(_ROUNDS):
        tensor = _evened(tensor, weight, edges)
    east = bends.greater_way - _along(bends.greater_way, bends.normals)
    east /= np.linalg.norm(east, axis=1, keepdims=True)
    frame = np.stack([east, np.cross(bends.normals, east)], axis=1)
    values, ways = np.linalg.eigh(frame @ tensor @ np.swapaxes(frame, 1, 2))
    larger = np.argmax(np.abs(values), axis=1)
    row = np.arange(len(values))
    way = np.einsum("nij,ni->nj", frame, ways[row, :, larger])
    return Bends(values[row, larger], values[row, 1 - larger], way)


def _square(values: Array, ways: Array) -> Array:
    return np.asarray(values[:, None, None] * ways[:, :, None] * ways[:, None, :])


def _along(vectors: Array, units: Array) -> Array:
    return np.asarray(np.einsum("nd,nd->n", vectors, units)[:, None] * units)


def _evened(values: Array, weight: Array, edges: Index) -> Array:
    """Means of each vertex and its neighbours, weighed by area."""
    total, whole = weight[:, None, None] * values, weight.copy()
    for here, there in (edges.T, edges[:, ::-1].T):
        np.add.at(total, here, weight[there, None, None] * values[there])
        np.add.at(whole, here, weight[there])
    return np.asarray(total / whole[:, None, None])
