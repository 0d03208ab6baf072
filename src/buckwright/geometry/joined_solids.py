"""Closed meshes that overlap made one closed mesh, through the library manifold3d."""

from collections.abc import Sequence

import manifold3d
import numpy as np
from numpy.typing import NDArray

__all__ = ["join_solids"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def join_solids(solids: Sequence[tuple[Array, Index]]) -> tuple[Array, Index] | None:
    """The union of closed meshes, each edge with two triangles, outside counter-clockwise.

    None where one of them is not closed and turned alike, or encloses nothing.
    """
    bodies = [_body(vertices, triangles) for vertices, triangles in solids]
    if any(body.status() != manifold3d.Error.NoError or body.is_empty() for body in bodies):
        return None
    whole = manifold3d.Manifold.batch_boolean(bodies, manifold3d.OpType.Add)
    if whole.status() != manifold3d.Error.NoError:
        return None
    mesh = whole.to_mesh64()
    vertices = np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]
    return vertices, np.asarray(mesh.tri_verts, dtype=np.int64)


def _body(vertices: Array, triangles: Index) -> manifold3d.Manifold:
    return manifold3d.Manifold(
        manifold3d.Mesh64(
            np.ascontiguousarray(vertices, dtype=np.float64),
            np.ascontiguousarray(triangles, dtype=np.uint64),
        )
    )
