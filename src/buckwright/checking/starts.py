"""Where to begin seating: ways in which a heap of points may lie on a region."""

from itertools import permutations, product

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from scipy.spatial.transform import Rotation

from buckwright.geometry.mesh import triangle_areas, triangle_normals

__all__ = ["principal_axes", "region_samples", "rough_seats"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

POINTS = 150
ROUNDS, MORE_ROUNDS = 10, 20
"""Steps from every start, and then from the `BETTER` ones."""
BETTER, KEPT = 6, 3


def principal_axes(points: Array, weights: Array) -> tuple[Array, Array, Array]:
    """Middle (3,), axes as rows (3, 3), the widest first, and standard deviations (3,)."""
    share = weights / weights.sum()
    middle = share @ points
    arm = points - middle
    variance, axes = np.linalg.eigh((arm * share[:, None]).T @ arm)
    return middle, axes.T[::-1], np.sqrt(np.maximum(variance[::-1], 0.0))


def region_samples(vertices: Array, triangles: Index) -> tuple[Array, Array, Array]:
    """Middle (m, 3), normal (m, 3) and area (m,) of each triangle."""
    middle = vertices[triangles].mean(axis=1)
    return middle, triangle_normals(vertices, triangles), triangle_areas(vertices, triangles)


def rough_seats(points: Array, vertices: Array, triangles: Index) -> list[tuple[Array, Array]]:
    """A few promising (rotation, translation), the best first.

    Begun from all 24 ways to lay the points' principal axes along the region's, and from the
    points as they are; each is drawn on to the middles of the triangles.
    """
    few = points[:: max(len(points) // POINTS, 1)]
    middle, normal, area = region_samples(vertices, triangles)
    tree = cKDTree(middle)
    seats = _starts(points, middle, area)
    for rounds, kept in ((ROUNDS, BETTER), (MORE_ROUNDS, KEPT)):
        drawn = [_draw_on(few, tree, middle, normal, seat, rounds) for seat in seats]
        drawn.sort(key=lambda found: found[0])
        seats = [(rotation, shift) for _, rotation, shift in drawn[:kept]]
    return seats


def _starts(points: Array, samples: Array, area: Array) -> list[tuple[Array, Array]]:
    here, own, _ = principal_axes(points, np.ones(len(points)))
    there, axes, _ = principal_axes(samples, area)
    turns = [np.eye(3)]
    for order in permutations(range(3)):
        for signs in product((1.0, -1.0), repeat=3):
            turn = (axes[list(order)] * np.array(signs)[:, None]).T @ own
            if np.linalg.det(turn) > 0.0:
                turns.append(turn)
    return [(np.eye(3), np.zeros(3)), *((turn, there - turn @ here) for turn in turns)]


def _draw_on(
    points: Array,
    tree: cKDTree,
    middle: Array,
    normal: Array,
    start: tuple[Array, Array],
    rounds: int,
) -> tuple[float, Array, Array]:
    """Mean capped distance, rotation, translation after some steps towards the samples.

    Each point is drawn along the normal, and a little across it, which brings points from
    beyond the edge back on to the region.
    """
    rotation, shift = start
    across = 0.2
    for _ in range(rounds):
        seated = points @ rotation.T + shift
        gap, near = tree.query(seated)
        offset = seated - middle[near]
        along = np.einsum("nd,nd->n", offset, normal[near])
        weight = 1.0 / (1.0 + (gap / (2.0 * np.median(gap) + 1e-9)) ** 2)
        centre = seated.mean(axis=0)
        step = _step(seated - centre, offset, along, normal[near], weight, across)
        turn = Rotation.from_rotvec(step[:3]).as_matrix()
        rotation, shift = turn @ rotation, turn @ (shift - centre) + centre + step[3:]
    seated = points @ rotation.T + shift
    gap, _ = tree.query(seated)
    cap = 0.05 * float(np.ptp(middle, axis=0).max())
    return float(np.mean(np.minimum(gap, cap) ** 2)), rotation, shift


def _step(
    arm: Array, offset: Array, along: Array, normal: Array, weight: Array, across: float
) -> Array:
    lever = np.hstack([np.cross(arm, normal), normal])
    matrix = np.einsum("n,ni,nj->ij", weight, lever, lever)
    pull = -np.einsum("n,ni,n->i", weight, lever, along)
    skew = np.zeros((len(arm), 3, 3))
    skew[:, 0, 1], skew[:, 0, 2], skew[:, 1, 2] = arm[:, 2], -arm[:, 1], arm[:, 0]
    skew -= np.transpose(skew, (0, 2, 1))
    whole = np.concatenate([skew, np.tile(np.eye(3), (len(arm), 1, 1))], axis=2)
    matrix += across**2 * np.einsum("n,nki,nkj->ij", weight, whole, whole)
    pull -= across**2 * np.einsum("n,nki,nk->i", weight, whole, offset)
    return np.asarray(np.linalg.solve(matrix, pull))
