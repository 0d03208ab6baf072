"""A first flat shape of a disc-like mesh, from which its strain can be lessened."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from buckwright.geometry.factor import OrderedFactor, factor_positive
from buckwright.geometry.flat_energy import FlatEnergy

__all__ = ["conformal_start", "factor_positive", "fan_openings"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def conformal_start(vertices: Array, energy: FlatEnergy, rim: Index) -> Array:
    """(n, 2) the map with the least squared departure from keeping angles; it may have flips.

    `rim` (k,) are the vertices of the outer boundary in order.

    Levy, Petitjean, Ray and Maillot, 'Least squares conformal maps', ACM Transactions on
    Graphics 21 (2002), doi:10.1145/566654.566590. Two rim vertices far apart are held.
    """
    first = rim[0]
    first = rim[np.argmax(np.linalg.norm(vertices[rim] - vertices[first], axis=1))]
    gaps = np.linalg.norm(vertices[rim] - vertices[first], axis=1)
    second = rim[np.argmax(gaps)]
    skew = energy.matrices[:, 2:]
    weighed = skew * energy.areas[:, None, None]
    matrix = energy.assemble(np.swapaxes(skew, 1, 2) @ weighed).tocsr()
    answer = np.zeros(2 * len(vertices))
    held = np.array([2 * first, 2 * first + 1, 2 * second, 2 * second + 1])
    answer[held] = [0.0, 0.0, gaps.max(), 0.0]
    right = -matrix[:, held] @ answer[held]
    free = np.ones(len(answer))
    free[held] = 0.0
    # Held unknowns stay in the system, each alone in its row, so that its pattern is the mesh's.
    loose = sparse.diags(free)
    scale = float(matrix.diagonal().mean())
    system = loose @ matrix @ loose + scale * sparse.diags(1.0 - free)
    answer[held] *= scale
    solver = OrderedFactor(system, energy.elimination)
    answer = solver.solve(np.where(free > 0.0, right, answer))
    return answer.reshape(-1, 2)


def fan_openings(
    vertices: Array, triangles: Index, openings: Sequence[Index]
) -> tuple[Array, Index]:
    """The mesh with each opening closed by triangles round a new vertex at its middle.

    The openings are loops in the sense of the triangles. Vertices and triangles keep their
    order; the new ones come last, and need not lie well in space.
    """
    middles = [vertices[loop].mean(axis=0, keepdims=True) for loop in openings]
    fans = [
        np.column_stack([np.roll(loop, -1), loop, np.full(len(loop), len(vertices) + k)])
        for k, loop in enumerate(openings)
    ]
    return np.vstack([vertices, *middles]), np.vstack([triangles, *fans])
