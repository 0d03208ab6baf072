"""First flat shapes of a disc-like mesh, from which its strain can be lessened.

Both take (n, 3) vertices and (m, 3) triangles of a mesh with one boundary, `rim` being its
vertices in the sense of the triangles (`boundary_loops`), and return (n, 2).
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import linalg

from buckwright.geometry.flat_energy import FlatEnergy
from buckwright.geometry.mesh import edges_of

__all__ = ["conformal_start", "factor_positive", "round_start"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def factor_positive(matrix: sparse.spmatrix) -> Any:
    """The factors of a sparse symmetric positive definite matrix: an object with `solve`.

    SuperLU in its symmetric mode, where no row is exchanged, with the minimum degree ordering:
    0.45 s for 50,000 unknowns of a plane mesh.
    """
    return linalg.splu(
        sparse.csc_matrix(matrix),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )


def conformal_start(vertices: Array, energy: FlatEnergy, rim: Index) -> Array:
    """The map with the least squared departure from keeping angles; triangles may be flipped.

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


def round_start(vertices: Array, triangles: Index, rim: Index) -> Array:
    """The rim on a circle, every other vertex the mean of its neighbours: never flipped.

    The circle has the length of the rim. Tutte, 'How to draw a graph', Proc. London Mathematical
    Society 13 (1963), doi:10.1112/plms/s3-13.1.743.
    """
    steps = np.linalg.norm(np.roll(vertices[rim], -1, axis=0) - vertices[rim], axis=1)
    angle = 2.0 * np.pi * np.concatenate([[0.0], np.cumsum(steps)[:-1]]) / steps.sum()
    radius = steps.sum() / (2.0 * np.pi)
    flat = np.zeros((len(vertices), 2))
    flat[rim] = radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    edges, _ = edges_of(triangles)
    both = np.vstack([edges, edges[:, ::-1]])
    count = len(vertices)
    links = sparse.csr_matrix((np.ones(len(both)), (both[:, 0], both[:, 1])), shape=(count, count))
    matrix = sparse.csr_matrix(sparse.diags(np.diff(links.indptr).astype(float)) - links)
    free = np.setdiff1d(np.arange(count), rim)
    if len(free):
        rows = matrix[free]
        flat[free] = factor_positive(rows[:, free]).solve(-rows[:, rim] @ flat[rim])
    return flat
