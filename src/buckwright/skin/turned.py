"""Places where the skin turns inward, and no line does."""

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from buckwright.geometry.curvature import Curvatures
from buckwright.geometry.mesh import edges_of, vertex_areas
from buckwright.model.crowns import CrownLimits
from buckwright.model.lines import Line, LineNetwork
from buckwright.model.skin import SkinRegion

__all__ = ["TurnedPlace", "turned_places"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

ALIKE = 0.8
"""Share of the inward bend that must lie one way; round a bump it lies all ways."""
ASKED = 0.5
"""A line asks for an inward bend if it is bent so by this share of it along its own way."""
BESIDE = 1.5
"""Edge lengths within which a line runs over the place."""
ALONG = np.cos(np.radians(45.0))
SAMPLES = 401


class TurnedPlace:
    """Vertices that are bent inward, joined up.

    `members` (k,), `middle` the one in their middle, `way` (3,) unit in which they are bent, `bend`
    1/mm on the mean, `across` mm along the way, `depth` mm: bend * across^2 / 8, the dip under a
    straightedge laid over it.
    """

    def __init__(self, members: Index, region: SkinRegion, bends: Curvatures, areas: Array) -> None:
        self.members = members
        weight = areas[members] * -bends.lesser[members]
        ways = bends.lesser_way[members]
        tensor = np.einsum("k,ki,kj->ij", weight, ways, ways) / weight.sum()
        sizes, axes = np.linalg.eigh(tensor)
        self.alike, self.way = float(sizes[-1]), axes[:, -1]
        self.bend = float(weight.sum() / areas[members].sum())
        self.across = float(np.ptp(region.vertices[members] @ self.way))
        self.depth = self.bend * self.across**2 / 8.0
        at = region.vertices[members]
        centre = weight @ at / weight.sum()
        self.middle = int(members[int(np.argmin(((at - centre) ** 2).sum(axis=1)))])


def turned_places(
    region: SkinRegion, bends: Curvatures, network: LineNetwork, limits: CrownLimits
) -> tuple[TurnedPlace, ...]:
    """Where the skin is bent inward tighter than flat, deep enough for a dip, and unasked for.

    Of the lines of the region those count that run over the place in the way of its bend: a line
    that is bent inward there too asks for it.
    """
    names = {t.line for t in (*region.boundary, *region.inner, *region.holes)}
    lines = [line for line in network.lines if line.name in names]
    areas = vertex_areas(region.vertices, region.triangles)
    edges, _ = edges_of(region.triangles)
    step = float(
        np.linalg.norm(region.vertices[edges[:, 0]] - region.vertices[edges[:, 1]], axis=1).mean()
    )
    places = [
        TurnedPlace(members, region, bends, areas)
        for members in _joined(bends.lesser < -1.0 / limits.flat, edges)
    ]
    deep = [p for p in places if p.depth >= limits.least_dip and p.alike >= ALIKE]
    return tuple(
        p for p in deep if not any(_asks(line, p, region, bends, BESIDE * step) for line in lines)
    )


def _joined(inward: NDArray[np.bool_], edges: Index) -> list[Index]:
    a, b = edges[inward[edges].all(axis=1)].T
    count = len(inward)
    graph = sparse.csr_matrix((np.ones(len(a)), (a, b)), shape=(count, count))
    _, label = connected_components(graph, directed=False)
    found = np.flatnonzero(inward)
    order = found[np.argsort(label[found], kind="stable")]
    return [g for g in np.split(order, np.flatnonzero(np.diff(label[order])) + 1) if len(g) > 2]


def _asks(
    line: Line, place: TurnedPlace, region: SkinRegion, bends: Curvatures, beside: float
) -> bool:
    curve, at = line.curve(), np.linspace(0.0, 1.0, SAMPLES)
    points, first, second = curve(at), curve.derivative(1)(at), curve.derivative(2)(at)
    gap, near = cKDTree(region.vertices[place.members]).query(points)
    speed = np.linalg.norm(first, axis=1)
    over = (gap < beside) & (np.abs(first @ place.way) > ALONG * speed)
    if over.sum() < 2:
        return False
    normals = bends.normals[place.members[near[over]]]
    inward = np.einsum("ki,ki->k", second[over], normals) / speed[over] ** 2
    return bool(np.median(inward) >= ASKED * place.bend)
