"""Closest points on one finely sampled polyline, asked often."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

__all__ = ["PolylineLocator"]

Array = NDArray[np.float64]


class PolylineLocator:
    """Finds closest points on a polyline whose pieces are short against its bends.

    Only the two pieces next to the nearest point are looked at, which is exact where the
    polyline does not fold back within the length of a piece.
    """

    def __init__(self, points: Array, along: Array) -> None:
        """Points (n, 3) in order, and (n,) any increasing length to read off along them."""
        self.points, self.along = points, along
        self._tree = cKDTree(points)

    def near(self, points: Array) -> Array:
        """(m,) distances to the nearest of the polyline's own points: not less than the true."""
        distance, _ = self._tree.query(points)
        return np.asarray(distance)

    def closest(self, points: Array) -> tuple[Array, Array, Array]:
        """Distances (m,), closest points (m, 3) and lengths along (m,)."""
        _, nearest = self._tree.query(points)
        last = len(self.points) - 1
        found = [self._on_piece(points, nearest + shift, last) for shift in (-1, 0)]
        second = (found[1][0] < found[0][0])[:, None]
        foot = np.where(second, found[1][1], found[0][1])
        return (
            np.minimum(found[0][0], found[1][0]),
            foot,
            np.where(second[:, 0], found[1][2], found[0][2]),
        )

    def _on_piece(
        self, points: Array, start: NDArray[np.int64], last: int
    ) -> tuple[Array, Array, Array]:
        start = np.clip(start, 0, last - 1)
        from_, side = self.points[start], self.points[start + 1] - self.points[start]
        square = np.maximum(np.einsum("nd,nd->n", side, side), 1e-300)
        share = np.clip(np.einsum("nd,nd->n", points - from_, side) / square, 0.0, 1.0)
        foot = from_ + share[:, None] * side
        along = self.along[start] + share * (self.along[start + 1] - self.along[start])
        return np.linalg.norm(points - foot, axis=1), foot, along
