"""Seating points on a region of skin: the turn and shift with the least robust distance.

Points are drawn along the normal only, so that they may slide to where they fit best, and what
lies far off (a dent) loses its pull (Tukey's biweight). Point-to-plane steps: Chen and Medioni,
'Object modelling by registration of multiple range images', Image and Vision Computing 10
(1992), doi:10.1016/0262-8856(92)90066-C.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from buckwright.checking.starts import rough_seats
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.mesh import edges_of

__all__ = ["Region", "Seat", "Touch", "seat_points"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

TUKEY = 4.685
"""Residuals beyond this many robust standard deviations have no weight (95 % efficiency)."""
ROUNDS = 60
LOST = 0.1
"""Points that begin this share of their own size off the region are of another part."""
MOST_POINTS = 3000
"""Points that take part in seating; of a larger survey an even choice is taken."""
WEAK = 1e-5
"""Share of the strongest direction below which a direction is not determined at all: flat
triangles in the place of a sphere seem to tell more than the sphere does."""


@dataclass(frozen=True, eq=False, slots=True)
class Touch:
    """Where points come to lie on the region."""

    distance: Array
    """(n,) mm, positive outside, along the normal of the nearest place."""
    normal: Array
    """(n, 3) outward."""
    off_edge: NDArray[np.bool_]
    """(n,) beyond the region's edge: nothing of the region lies under them."""
    beyond: Array
    """(n, 3) mm, from the edge to the point, across the normal; zero for all others."""


class Region:
    """A mesh, taken as the smooth surface through its vertices, that points are held against."""

    def __init__(self, vertices: Array, triangles: Index, *, edge_margin: float) -> None:
        self.vertices, self.triangles = vertices, triangles
        self.edge_margin = edge_margin
        self._curved = CurvedMesh(vertices, triangles)
        _, of_triangle = edges_of(triangles)
        self._open = np.bincount(of_triangle.ravel())[of_triangle] == 1
        """(m, 3) whether the edge opposite each corner belongs to one triangle only."""
        self._rim = np.zeros(len(vertices), dtype=bool)
        for k in range(3):
            ends = triangles[self._open[:, k]][:, [(k + 1) % 3, (k + 2) % 3]]
            self._rim[ends] = True

    def touch(self, points: Array) -> Touch:
        """How the points (n, 3) lie on the region."""
        _, _, triangle, weights = self._curved.locator.closest(points)
        nearest, normal = self._curved.at(triangle, weights)
        offset = points - nearest
        distance = np.einsum("nd,nd->n", offset, normal)
        beyond = offset - distance[:, None] * normal
        zero = weights < 1e-9
        corner = np.take_along_axis(self.triangles[triangle], weights.argmax(1)[:, None], axis=1)
        on_rim = (zero & self._open[triangle]).any(axis=1)
        on_rim |= (zero.sum(axis=1) == 2) & self._rim[corner[:, 0]]
        off = on_rim & (np.linalg.norm(beyond, axis=1) > self.edge_margin)
        beyond[~off] = 0.0
        return Touch(distance, normal, off, beyond)


@dataclass(frozen=True, eq=False, slots=True)
class Seat:
    """Seated = rotation @ p + translation, and how sure that is."""

    rotation: Array
    translation: Array
    spread: float
    """mm, robust standard deviation of the distances."""
    misfit: float
    """Mean of min((distance / limit)^2, 1) over the points, those off the edge counting fully."""
    covariance: Array
    """(6, 6) of a small turn (rad, about the middle of the points) and a shift (mm)."""
    middle: Array
    """(3,) middle of the seated points."""
    loose: float
    """mm that the points could slide without a change that shows (1 sigma); inf if free."""

    def apply(self, points: Array) -> Array:
        """Points (n, 3) as seated."""
        return np.asarray(points @ self.rotation.T + self.translation)

    def distance_sigma(self, points: Array, normal: Array) -> Array:
        """(n,) mm, standard error that the seating adds to the distance at seated points."""
        lever = _levers(points - self.middle, normal, 1.0)
        square = np.einsum("ni,ij,nj->n", lever, self.covariance, lever)
        return np.asarray(np.sqrt(np.maximum(square, 0.0)))


def seat_points(points: Array, region: Region, *, sigma: float) -> tuple[Seat, ...]:
    """The best seat of the points (n, 3) on the region, then others that are no copies of it.

    `sigma`: mm, standard error of a coordinate, the least spread that is believed. Points must
    span the region roughly (see `rough_seats`).
    """
    chosen = points[np.unique(np.linspace(0, len(points) - 1, MOST_POINTS).astype(np.int64))]
    rough = rough_seats(chosen, region.vertices, region.triangles)
    few = chosen[:: max(len(chosen) // 250, 1)]
    found = _different([_settle(few, region, turn, shift, sigma) for turn, shift in rough], few)
    limit = 3.0 * max(min(seat.spread for seat in found), sigma)
    fine = [_settle(chosen, region, s.rotation, s.translation, sigma, limit) for s in found]
    return tuple(_different(fine, few))


def _different(seats: Sequence[Seat], points: Array) -> list[Seat]:
    """The seats by their misfit, best first, without those that a better one is a copy of."""
    kept: list[Seat] = []
    for seat in sorted(seats, key=lambda seat: seat.misfit):
        if not any(_same(seat, other, points) for other in kept):
            kept.append(seat)
    return kept


def _same(one: Seat, other: Seat, points: Array) -> bool:
    """Whether two seats put the points in about the same place, set against their size."""
    apart = np.linalg.norm(one.apply(points) - other.apply(points), axis=1)
    return float(np.sqrt(np.mean(apart**2))) < 0.05 * float(np.ptp(points, axis=0).max())


def _levers(arm: Array, normal: Array, size: float) -> Array:
    """(n, 6) change of the distance with a small turn (times `size`) and a shift."""
    return np.hstack([np.cross(arm, normal) / size, normal])


def _settle(
    points: Array,
    region: Region,
    rotation: Array,
    translation: Array,
    sigma: float,
    limit: float | None = None,
) -> Seat:
    """Seat by repeated robust least squares from a start. `limit` is the misfit's, if known."""
    size = float(np.sqrt(np.mean(np.sum((points - points.mean(axis=0)) ** 2, axis=1))))
    for _ in range(ROUNDS):
        seated = points @ rotation.T + translation
        middle = seated.mean(axis=0)
        touch = region.touch(seated)
        if _spread(touch, sigma) > LOST * size:
            break
        normal_matrix, pull, _ = _equations(seated - middle, touch, sigma, size)
        step = _solve(normal_matrix, pull)
        turn = Rotation.from_rotvec(step[:3] / size).as_matrix()
        rotation = turn @ rotation
        translation = turn @ (translation - middle) + middle + step[3:]
        if np.linalg.norm(step) < 1e-4 * sigma:
            break
    seated = points @ rotation.T + translation
    return _judged(seated, region, rotation, translation, sigma, size, limit)


def _spread(touch: Touch, sigma: float) -> float:
    """Robust standard deviation of the distances, no less than sigma."""
    inside = np.abs(touch.distance[~touch.off_edge])
    beyond = np.linalg.norm(touch.beyond[touch.off_edge], axis=1)
    return max(sigma, 1.4826 * float(np.median(np.concatenate([inside, beyond]))))


def _biweight(residual: Array, spread: float) -> Array:
    share = np.minimum((residual / (TUKEY * spread)) ** 2, 1.0)
    return np.asarray((1.0 - share) ** 2)


def _equations(arm: Array, touch: Touch, sigma: float, size: float) -> tuple[Array, Array, float]:
    """Normal equations of one step, and the variance of the points that carry weight.

    A point off the edge is drawn towards it while the points are still far from their seat; near
    it such points (on a flange, on the bench) say nothing.
    """
    spread = _spread(touch, sigma)
    weight = _biweight(touch.distance, spread) * ~touch.off_edge
    lever = _levers(arm, touch.normal, size)
    matrix = np.einsum("n,ni,nj->ij", weight, lever, lever)
    pull = -np.einsum("n,ni,n->i", weight, lever, touch.distance)
    variance = float(weight @ touch.distance**2 / max(weight.sum(), 1e-12))
    length = np.linalg.norm(touch.beyond, axis=1)
    rows = np.flatnonzero(touch.off_edge)
    if len(rows) and spread > 4.0 * sigma:
        along = touch.beyond[rows] / length[rows, None]
        lever = _levers(arm[rows], along, size)
        weight = _biweight(length[rows], spread)
        matrix += np.einsum("n,ni,nj->ij", weight, lever, lever)
        pull -= np.einsum("n,ni,n->i", weight, lever, length[rows])
    return matrix, pull, variance


def _solve(matrix: Array, pull: Array) -> Array:
    """The step, without any in directions that the points do not determine."""
    value, direction = np.linalg.eigh(matrix)
    known = value > WEAK * max(float(value[-1]), 1e-300)
    inverse = np.where(known, 1.0 / np.where(known, value, 1.0), 0.0)
    return np.asarray(direction @ (inverse * (direction.T @ pull)))


def _judged(
    seated: Array,
    region: Region,
    rotation: Array,
    translation: Array,
    sigma: float,
    size: float,
    limit: float | None,
) -> Seat:
    touch = region.touch(seated)
    spread = _spread(touch, sigma)
    share = np.minimum((touch.distance / (limit or 3.0 * spread)) ** 2, 1.0)
    middle = seated.mean(axis=0)
    matrix, _, variance = _equations(seated - middle, touch, sigma, size)
    value, direction = np.linalg.eigh(matrix)
    known = value > WEAK * max(float(value[-1]), 1e-300)
    variance = max(variance, sigma**2)
    inverse = np.where(known, variance / np.where(known, value, 1.0), 0.0)
    scaled = (direction * inverse) @ direction.T
    unit = np.diag([1.0 / size] * 3 + [1.0] * 3)
    loose = float(np.sqrt(inverse.max())) if known.all() else float("inf")
    return Seat(
        rotation=rotation,
        translation=translation,
        spread=spread,
        misfit=float(np.mean(np.where(touch.off_edge, 1.0, share))),
        covariance=unit @ scaled @ unit,
        middle=middle,
        loose=loose,
    )
