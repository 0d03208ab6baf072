"""What is likely before any picture is looked at: lenses, their drift, and the printed mat.

The mat: printers stretch and shear by a few parts in a thousand, and paper waves smoothly, so its
points move together: a covariance of affine growth, smooth waves of 0.5, 0.5 and 1.5 mm that
forget each other over 80 mm, and 0.03 mm at each point by itself. The cards of a set wave and
stretch each by itself, and lie where they were taped.
The lens: each picture may have its own focal length and principal point; how far they stray is
learned from the pictures (0.5 % and 8 px at the start), so that a steady lens is taken as steady.

Reference: D. J. C. MacKay, 'Bayesian interpolation', Neural Computation 4 (1992),
doi:10.1162/neco.1992.4.3.415, for the re-estimation of a prior's width.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

from buckwright.capture.sightings import Cameras

__all__ = ["Prior", "first_prior", "learned_drift", "packed", "unpacked"]

Array = NDArray[np.float64]

DRIFT_SIGMA = np.array([0.005, 8.0])
"""At the start and at most: share of the focal length, px of the principal point."""
_LEAST_DRIFT = np.array([1e-5, 0.02])
LENS_SIGMA = np.array([0.3, 0.05, 0.05, 0.5, 1.0, 0.02, 0.02, 1.0])
"""Wide, for few pictures: share of the focal length, of the width (twice), k1, k2, p1, p2, k3."""
_WAVE_SIGMA, _WAVE_LENGTH = (0.5, 0.5, 1.5), 80.0
_STRETCH_SIGMA, _POINT_SIGMA = 0.004, 0.03
_PLACE_SIGMA = 0.3
"""mm: the whole mat's place is held too, for the sake of the numbers only."""
_LAID_SIGMA, _TURNED_SIGMA = 50.0, 0.1
"""mm, rad: how well a card of a set is placed before everything is adjusted together."""


@dataclass(frozen=True, eq=False, slots=True)
class Prior:
    """Centre (p,) and inverse covariance (p, p) of all parameters, zero for the poses."""

    centre: Array
    weight: Array
    drift_sigma: Array
    """(2,) focal length, principal point."""


def packed(cameras: Cameras) -> Array:
    """All parameters in one array: lenses, (turn, shift, drift) by picture, points."""
    poses = np.hstack([cameras.turn, cameras.shift, cameras.drift])
    return np.concatenate([cameras.lens.ravel(), poses.ravel(), cameras.points.ravel()])


def unpacked(values: Array, like: Cameras) -> Cameras:
    """The inverse of `packed`, with as many lenses, pictures and points as `like` has."""
    lenses, pictures = like.lens.size, len(like.turn)
    poses = values[lenses : lenses + 9 * pictures].reshape(pictures, 9)
    return Cameras(
        lens=values[:lenses].reshape(like.lens.shape),
        turn=poses[:, :3],
        shift=poses[:, 3:6],
        drift=poses[:, 6:],
        points=values[lenses + 9 * pictures :].reshape(-1, 3),
    )


def first_prior(start: Cameras, widths: Array, *, each: int, held: int) -> Prior:
    """The prior round a plain calibration on the mat as drawn; widths (g,) px of the pictures.

    `each` corners make a board. The board numbered `held` keeps its place; others of a set lie
    somewhere near where they were found, as wholes.
    """
    spread = np.tile(LENS_SIGMA, (len(start.lens), 1))
    spread[:, 0] *= start.lens[:, 0]
    spread[:, 1:3] *= widths[:, None]
    centre = packed(start)
    weight = np.zeros((len(centre), len(centre)))
    lenses = np.arange(start.lens.size)
    weight[lenses, lenses] = 1.0 / spread.ravel() ** 2
    first = start.lens.size + 9 * len(start.turn)
    for card in range(len(start.points) // each):
        place = first + 3 * each * card
        own = np.s_[place : place + 3 * each]
        points = start.points[each * card : each * (card + 1)]
        weight[own, own] = linalg.inv(_board_covariance(points, free=card != held))
    return _with_drift(Prior(centre, weight, DRIFT_SIGMA), start, DRIFT_SIGMA)


def _board_covariance(points: Array, *, free: bool) -> Array:
    """(3 n, 3 n) of the coordinates of one board's points, x, y, z of each in turn.

    The board's own axes are those of the points as drawn: the normal is where they spread least.
    """
    count = len(points)
    arms = points - points.mean(axis=0)
    axes = np.eye(3)
    if np.abs(arms[:, 2]).max() > 1e-9:
        axes = np.linalg.svd(arms, full_matrices=False)[2]
    flat = (arms @ axes.T)[:, :2]
    gap = np.linalg.norm(flat[:, None] - flat[None], axis=2)
    waves = np.exp(-0.5 * (gap / _WAVE_LENGTH) ** 2)
    rest = _STRETCH_SIGMA**2 * flat @ flat.T + _POINT_SIGMA**2 * np.eye(count)
    rest += (_LAID_SIGMA if free else _PLACE_SIGMA) ** 2
    covariance = np.zeros((count, 3, count, 3))
    for axis, sigma in zip(axes, _WAVE_SIGMA, strict=True):
        one = sigma**2 * waves + rest
        covariance += one[:, None, :, None] * np.outer(axis, axis)[None, :, None, :]
    if free:
        turned = np.stack([np.cross(axis, arms) for axis in np.eye(3)])
        covariance += _TURNED_SIGMA**2 * np.einsum("mia,mjb->iajb", turned, turned)
    return covariance.reshape(3 * count, 3 * count)


def _drift_places(like: Cameras) -> NDArray[np.int64]:
    """(k, 3) where the drift of each picture stands among the parameters."""
    first = like.lens.size + 9 * np.arange(len(like.turn))
    return np.asarray(first[:, None] + np.array([6, 7, 8]))


def _with_drift(prior: Prior, like: Cameras, sigma: Array) -> Prior:
    places = _drift_places(like)
    weight = prior.weight.copy()
    weight[places[:, 0], places[:, 0]] = 1.0 / sigma[0] ** 2
    weight[places[:, 1:], places[:, 1:]] = 1.0 / sigma[1] ** 2
    return Prior(prior.centre, weight, sigma)


def learned_drift(prior: Prior, cameras: Cameras, covariance: Array) -> Prior:
    """The prior with the drift as wide as these pictures show it to be.

    Each kind's variance becomes the sum of squares over the number of drifts that the pictures
    determine (MacKay's update), inside fixed limits.
    """
    variance = np.diag(covariance)[_drift_places(cameras)]
    kinds = (np.s_[:, :1], np.s_[:, 1:])
    learned = []
    for kind, sigma in zip(kinds, prior.drift_sigma, strict=True):
        square = float(np.sum(cameras.drift[kind] ** 2))
        determined = variance[kind].size - float(np.sum(variance[kind])) / sigma**2
        learned.append(np.sqrt(square / max(determined, 0.2)))
    return _with_drift(prior, cameras, np.clip(learned, _LEAST_DRIFT, DRIFT_SIGMA))
