"""The smooth surface behind a triangle mesh: normals by local quadrics, curved triangles.

A mesh of 25 mm triangles on a radius of 100 mm has chords that lie 0.8 mm inside the surface
its vertices came from. Curved triangles through the same vertices follow that surface to a few
hundredths of a millimetre.
"""

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from buckwright.geometry.mesh import MeshLocator, vertex_normals

__all__ = ["CurvedMesh", "quadric_normals", "vertices_near"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def vertices_near(triangles: Index, count: int) -> tuple[Index, NDArray[np.bool_]]:
    """(n, w) vertices within two edges of each (three where those are few), and which are real."""
    rows = np.concatenate([triangles[:, k] for k in (0, 1, 2)] * 2)
    columns = np.concatenate([triangles[:, k] for k in (1, 2, 0, 2, 0, 1)])
    one = sparse.csr_matrix((np.ones(len(rows)), (rows, columns)), shape=(count, count))
    two = one + one @ one
    few = sparse.diags((np.diff(two.indptr) < 13).astype(np.float64))
    two = two + few @ two @ one
    two = two.tocsr()
    two.setdiag(0.0)
    two.eliminate_zeros()
    sizes = np.diff(two.indptr)
    places = np.arange(max(int(sizes.max()), 1))
    real = places[None, :] < sizes[:, None]
    near = np.zeros(real.shape, dtype=np.int64)
    near[real] = two.indices
    return near, real


def quadric_normals(vertices: Array, triangles: Index) -> Array:
    """(n, 3) unit outward normals, second-order exact also at the rim of an open mesh.

    For each vertex the quadric z = a x + b y + c x^2 + d x y + e y^2 through it is fitted to the
    vertices round it, over its angle-weighted normal; (-a, -b, 1) is the normal. Reference:
    Cazals and Pouget, 'Estimating differential quantities using polynomial fitting of osculating
    jets', CAGD 22 (2005), doi:10.1016/j.cagd.2004.09.004.
    """
    up = vertex_normals(vertices, triangles)
    near, real = vertices_near(triangles, len(vertices))
    # Any axis not along the normal starts a local frame.
    axis = np.eye(3)[np.argmin(np.abs(up), axis=1)]
    east = np.cross(axis, up)
    east /= np.linalg.norm(east, axis=1, keepdims=True)
    north = np.cross(up, east)
    offset = (vertices[near] - vertices[:, None, :]) * real[:, :, None]
    x, y, z = (np.einsum("nwd,nd->nw", offset, e) for e in (east, north, up))
    size = np.sqrt((x * x + y * y).sum(axis=1) / np.maximum(real.sum(axis=1), 1))[:, None]
    x, y, z = x / size, y / size, z / size
    terms = np.stack([x, y, x * x, x * y, y * y], axis=2)
    square = np.einsum("nwi,nwj->nij", terms, terms) + 1e-9 * np.eye(5)
    slope = np.linalg.solve(square, np.einsum("nwi,nw->ni", terms, z)[:, :, None])[:, :2, 0]
    normal = up - slope[:, :1] * east - slope[:, 1:] * north
    return np.asarray(normal / np.linalg.norm(normal, axis=1, keepdims=True))


class CurvedMesh:
    """A mesh with curved triangles: find a place on the flat ones, read it on the curved ones.

    Curved triangles after Vlachos, Peters, Boyd and Mitchell, 'Curved PN triangles', Proc. I3D
    2001, doi:10.1145/364338.364387, with normals interpolated linearly.
    """

    def __init__(self, vertices: Array, triangles: Index) -> None:
        self.vertices, self.triangles = vertices, triangles
        self.normals = quadric_normals(vertices, triangles)
        self.locator = MeshLocator(vertices, triangles)

    def lift(self, points: Array) -> tuple[Array, Array]:
        """The curved surface's points (k, 3) and unit normals (k, 3) over points of the mesh."""
        _, _, triangle, weights = self.locator.closest(points)
        return self.at(triangle, weights)

    def at(self, triangle: Index, weights: Array) -> tuple[Array, Array]:
        """Points and unit normals at barycentric weights (k, 3) of triangles (k,)."""
        corners = self.vertices[self.triangles[triangle]]
        normals = self.normals[self.triangles[triangle]]
        w = weights[:, :, None]
        total = np.einsum("kid,kid->kd", w**3, corners)
        inner = np.zeros_like(total)
        for i in range(3):
            for j in ((i + 1) % 3, (i + 2) % 3):
                side = corners[:, j] - corners[:, i]
                rise = np.einsum("kd,kd->k", side, normals[:, i])[:, None] * normals[:, i]
                handle = corners[:, i] + (side - rise) / 3.0
                total += 3.0 * w[:, i] ** 2 * w[:, j] * handle
                inner += handle / 6.0
        middle = 1.5 * inner - 0.5 * corners.mean(axis=1)
        total += 6.0 * w[:, 0] * w[:, 1] * w[:, 2] * middle
        blend = np.einsum("kid,kid->kd", w, normals)
        return total, blend / np.linalg.norm(blend, axis=1, keepdims=True)

    def on_plane(self, points: Array, origin: Array, normal: Array) -> tuple[Array, Array]:
        """`lift`, then each point slid along the surface back into a plane it should lie in."""
        across = np.asarray(normal) / np.linalg.norm(normal)
        lifted, upright = self.lift(points)
        along = across - np.einsum("d,kd->k", across, upright)[:, None] * upright
        off = (lifted - origin) @ across
        square = np.maximum(np.einsum("kd,kd->k", along, along), 1e-6)
        return lifted - (off / square)[:, None] * along, upright
