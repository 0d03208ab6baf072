"""A first flat shape of a disc-like mesh, from which its strain can be lessened."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import linalg

from buckwright.geometry.flat_energy import FlatEnergy

__all__ = ["conformal_start", "factor_positive", "fan_openings"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def factor_positive(matrix: sparse.spmatrix) -> Any:
    """The factors of a sparse symmetric positive definite matrix: an object with `solve`.

    SuperLU in its symmetric mode, where no row is exchanged, with the minimum degree ordering:
    0.4 s for 50,000 unknowns of a plane mesh. Its columns are not gathered into relaxed
    supernodes: with the default of ten, regular meshes were met that took 17 s instead of 0.4 s.
    """
    return linalg.splu(
        sparse.csc_matrix(matrix),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        relax=1,
        panel_size=4,
        options={"SymmetricMode": True},
    )


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
    free = np.setdiff1d(np.arange(len(answer)), held)
    rows = matrix[free]
    answer[free] = factor_positive(rows[:, free]).solve(-rows[:, held] @ answer[held])
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
