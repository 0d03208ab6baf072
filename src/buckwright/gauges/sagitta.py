"""How much the metal bends over a chord: sagitta, measured on the skin along both bends.

A sweep of radius R and chord c is s = R - sqrt(R^2 - (c/2)^2) deep; held where the metal is
another s deep over the same chord, light shows by the difference.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.curvature import mesh_curvatures
from buckwright.geometry.curved_mesh import CurvedMesh

__all__ = ["Depths", "chord_depths", "radius_of", "sagitta_of"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

SPACING = 0.1
"""Of a chord, between places."""
ON_METAL = 0.5
"""mm by which the end of a chord may miss the metal and still count as on it."""
ROUNDS = 5


@dataclass(frozen=True, eq=False, slots=True)
class Depths:
    """Sagittas over one chord at n vertices, mm, positive where metal bulges out.

    Attributes: greater, lesser (n,), nan where the metal is bent too tightly for the chord;
    greater_way, lesser_way (n, 3).
    """

    greater: Array
    lesser: Array
    greater_way: Array
    lesser_way: Array


def sagitta_of(curvature: Array, chord: float) -> Array:
    """Depth of a circle over a chord, signed as its curvature; nan where it does not span it."""
    half = 0.5 * chord
    under = 1.0 - (curvature * half) ** 2
    root = np.sqrt(np.where(under >= 0.0, under, np.nan))
    # R - sqrt(R^2 - h^2), without loss where the circle is nearly straight.
    return np.asarray(curvature * half**2 / (1.0 + root))


def radius_of(sagitta: Array, chord: float) -> Array:
    """Radius of the circle that is `sagitta` deep over the chord; infinite for none."""
    half = 0.5 * chord
    flat = np.abs(sagitta) < 1e-12
    deep = np.where(flat, 1.0, np.abs(sagitta))
    return np.where(flat, np.inf, (half**2 + deep**2) / (2.0 * deep))


def chord_depths(vertices: Array, triangles: Index, chord: float) -> Depths:
    """The metal's depth over a chord centred at each vertex, along both principal directions.

    Measured between points of the smooth surface half a chord to each side in the normal plane;
    where an end would lie beyond the metal's edge, read off the bend at the vertex itself. Places
    are a tenth of a chord apart; vertices in between take the nearest.
    """
    bends = mesh_curvatures(vertices, triangles)
    curved = CurvedMesh(vertices, triangles)
    places = _places(vertices, SPACING * chord)
    _, nearest = cKDTree(vertices[places]).query(vertices)
    found = []
    for bend, way in ((bends.greater, bends.greater_way), (bends.lesser, bends.lesser_way)):
        local = sagitta_of(bend[places], chord)
        over = _measured(curved, vertices[places], way[places], bends.normals[places], chord)
        found.append(np.where(np.isnan(over), local, over)[nearest])
    return Depths(found[0], found[1], bends.greater_way, bends.lesser_way)


def _places(vertices: Array, spacing: float) -> Index:
    """The first vertex in every cell of a grid."""
    cells = np.floor((vertices - vertices.min(axis=0)) / spacing).astype(np.int64)
    _, first = np.unique(cells, axis=0, return_index=True)
    return np.asarray(np.sort(first), dtype=np.int64)


def _measured(curved: CurvedMesh, middle: Array, way: Array, up: Array, chord: float) -> Array:
    """(k,) depth between both ends of the chord; nan where an end misses the metal."""
    drops = [_drop(curved, middle, sign * 0.5 * chord * way, up) for sign in (1.0, -1.0)]
    return np.asarray(0.5 * (drops[0] + drops[1]))


def _drop(curved: CurvedMesh, middle: Array, aside: Array, up: Array) -> Array:
    """How far below the tangent plane the surface is, that far aside."""
    drop = np.zeros(len(middle))
    miss = np.zeros(len(middle))
    for _ in range(ROUNDS):
        point = middle + aside - drop[:, None] * up
        on, normal = curved.lift(point)
        slope = np.maximum(np.einsum("kd,kd->k", up, normal), 0.1)
        off = np.einsum("kd,kd->k", point - on, normal)
        drop = drop + off / slope
        miss = np.linalg.norm(point - on - off[:, None] * normal, axis=1)
    return np.where((miss < ON_METAL) & (np.abs(off) < ON_METAL), drop, np.nan)
