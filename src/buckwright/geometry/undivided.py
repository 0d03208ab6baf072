"""The mesh that a divided one was made from."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.refine import refined_places

__all__ = ["undivided_mesh"]

Index = NDArray[np.int64]

MOST = 12
"""Parts to a side that are looked for at most."""


def undivided_mesh(triangles: Index) -> tuple[Index, Index]:
    """Vertices (k,) of the mesh before `refined_places` divided it, and its triangles over them.

    The vertices are numbers of the divided mesh, ascending. Whole blocks of triangles may have
    been left out since, and all of them turned over. What was not divided comes back as it is.
    """
    for parts in range(MOST, 0, -1):
        corners = _corners(triangles, parts)
        if corners is not None:
            break
    assert corners is not None
    used, renumbered = np.unique(corners, return_inverse=True)
    return used, np.asarray(renumbered.reshape(-1, 3), dtype=np.int64)


def _corners(triangles: Index, parts: int) -> Index | None:
    """(m, 3) corners of blocks of parts^2 triangles that divide one each; None if one does not."""
    if parts == 1:
        return triangles
    if not len(triangles) or len(triangles) % parts**2:
        return None
    lattice = refined_places(np.array([[0, 1, 2]]), 3, parts)[2]
    for turned in (False, True):
        local = (lattice[:, ::-1] if turned else lattice).ravel()
        first = np.unique(local, return_index=True)[1]
        blocks = triangles.reshape(-1, local.size)
        if (blocks == blocks[:, first][:, local]).all():
            return blocks[:, first[[0, 2, 1]] if turned else first[:3]]
    return None
