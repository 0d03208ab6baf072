"""The bundle adjustment: cameras, drift of the lens and the mat's true shape, all at once.

Printed paper is stretched and wavy, and a phone moves its lens from picture to picture; `priors`
says how much of either is likely. Measured bars pull their ends to their lengths. Least squares
by Levenberg-Marquardt with an exact Jacobian, Huber weights, and wrong corners thrown out as they
show. The images leave the whole figure's place and turn open, and without bars its size; the
priors hold them, and `placing` puts them right afterwards.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg, sparse

from buckwright.capture.priors import Prior, learned_drift, packed, unpacked
from buckwright.capture.sightings import Cameras, Sightings, residuals
from buckwright.capture.start import robust_limit
from buckwright.geometry.camera import project_slopes

__all__ = ["Adjusted", "Lengths", "adjust"]

Array = NDArray[np.float64]

_LEAST_SIGMA = 0.02
_HUBER = 2.0
_ROUNDS = 8


@dataclass(frozen=True, eq=False, slots=True)
class Lengths:
    """Measured distances between corners."""

    ends: NDArray[np.int64]
    """(b, 2) corners."""
    mm: Array
    """(b,)."""
    sigma: Array
    """(b,) mm, standard errors of the readings."""

    def gap(self, points: Array) -> Array:
        """(b,) each length in the figure less the measured one, in standard errors."""
        side = points[self.ends[:, 1]] - points[self.ends[:, 0]]
        return np.asarray((np.linalg.norm(side, axis=1) - self.mm) / self.sigma)

    def slopes(self, points: Array) -> Array:
        """(b, 3) how a gap grows as the second end moves; as the first moves, the opposite."""
        side = points[self.ends[:, 1]] - points[self.ends[:, 0]]
        return np.asarray(side / np.linalg.norm(side, axis=1, keepdims=True) / self.sigma[:, None])


@dataclass(frozen=True, eq=False, slots=True)
class Adjusted:
    """The adjusted cameras, the corners kept, and how sure everything is."""

    cameras: Cameras
    seen: Sightings
    sigma_px: float
    """Standard error of one coordinate of a corner seen large."""
    covariance: Array
    """(p, p) of the parameters in the order lens, (turn, shift, drift) by picture, points."""


def adjust(start: Cameras, seen: Sightings, *, prior: Prior, bars: Lengths) -> Adjusted:
    """Adjust everything from a plain calibration.

    Parameters: start with the mat as drawn, seen, the prior round it, the bars whose ends are
    seen.
    """
    cameras, sigma = start, 0.1
    for _ in range(_ROUNDS):
        problem = _Problem(seen, prior, bars, sigma)
        cameras = problem.solved(cameras)
        gap = _weighed(cameras, seen)
        sigma = max(1.4826 * float(np.median(np.abs(gap))), _LEAST_SIGMA)
        good = _agreeing(gap, seen)
        seen = seen.kept(good)
        normal, _ = _Problem(seen, prior, bars, sigma).normal(cameras)
        covariance = _inverse(normal)
        before, prior = prior, learned_drift(prior, cameras, covariance)
        if good.all() and np.allclose(prior.drift_sigma, before.drift_sigma, rtol=0.05, atol=0.0):
            break
    # Parameters take their share of the noise out of the residuals; give it back.
    taken = len(normal) - float(np.sum(prior.weight * covariance))
    freedom = max(2.0 * len(seen.px) - taken, 0.2 * len(seen.px))
    square = float(np.sum(_weighed(cameras, seen) ** 2)) / freedom
    factor = max(square / sigma**2, 1.0)
    return Adjusted(cameras, seen, float(np.sqrt(square)), covariance * factor)


def _inverse(normal: Array) -> Array:
    """Inverse of a positive definite matrix whose entries differ by many powers of ten."""
    root = 1.0 / np.sqrt(np.diag(normal))
    scaled = normal * np.outer(root, root)
    factor = linalg.cho_factor(scaled)
    return np.asarray(linalg.cho_solve(factor, np.eye(len(normal))) * np.outer(root, root))


def _agreeing(gap: Array, seen: Sightings) -> NDArray[np.bool_]:
    """(n,) corners within `robust_limit`; a picture that would lose nearly all keeps all."""
    length = np.linalg.norm(gap, axis=1)
    good = length <= robust_limit(length)
    return np.asarray(good | ~(seen.kept(good).counts() >= 6)[seen.picture])


def _weighed(cameras: Cameras, seen: Sightings) -> Array:
    """(n, 2) residuals in px of a corner seen large."""
    return residuals(cameras, seen) * seen.trust[:, None]


def _huber(size: Array) -> float:
    return float(np.where(size <= _HUBER, size**2, 2.0 * _HUBER * size - _HUBER**2).sum())


@dataclass(frozen=True, eq=False, slots=True)
class _Problem:
    """What is to be made least, at one standard error of a corner in px."""

    seen: Sightings
    prior: Prior
    bars: Lengths
    sigma: float

    def cost(self, cameras: Cameras) -> float:
        size = np.linalg.norm(_weighed(cameras, self.seen), axis=1) / self.sigma
        off = packed(cameras) - self.prior.centre
        bars = np.abs(self.bars.gap(cameras.points))
        return _huber(size) + _huber(bars) + float(off @ self.prior.weight @ off)

    def solved(self, cameras: Cameras) -> Cameras:
        """By Levenberg's and Marquardt's method."""
        damping, cost = 1e-6, self.cost(cameras)
        for _ in range(40):
            normal, slope = self.normal(cameras)
            here = packed(cameras)
            while damping < 1e8:
                damped = normal + damping * np.diag(np.diag(normal))
                step = linalg.cho_solve(linalg.cho_factor(damped), slope)
                tried = unpacked(here - step, cameras)
                new = self.cost(tried)
                if new <= cost:
                    break
                damping *= 8.0
            else:
                return cameras
            gained, cost, cameras = cost - new, new, tried
            damping = max(damping / 8.0, 1e-12)
            if gained < 1e-6 * cost:
                return cameras
        return cameras

    def normal(self, cameras: Cameras) -> tuple[Array, Array]:
        """Normal matrix and half the gradient, with Huber's weights in."""
        seen, prior = self.seen, self.prior
        jacobian, gap = _jacobian(cameras, seen)
        size = np.linalg.norm(gap, axis=1) * seen.trust / self.sigma
        root = np.sqrt(np.minimum(1.0, _HUBER / np.maximum(size, 1e-12)))
        root *= seen.trust / self.sigma
        weighted = sparse.diags(np.repeat(root, 2)) @ jacobian
        white = gap * root[:, None]
        normal = (weighted.T @ weighted).toarray() + prior.weight
        slope = weighted.T @ white.ravel() + prior.weight @ (packed(cameras) - prior.centre)
        self._add_bars(cameras, normal, slope)
        return normal, slope

    def _add_bars(self, cameras: Cameras, normal: Array, slope: Array) -> None:
        gaps, sides = self.bars.gap(cameras.points), self.bars.slopes(cameras.points)
        first = cameras.lens.size + 9 * len(cameras.turn)
        for ends, gap, side in zip(self.bars.ends, gaps, sides, strict=True):
            rows = (first + 3 * ends[:, None] + np.arange(3)).ravel()
            pull = np.concatenate([-side, side])
            weight = min(1.0, _HUBER / max(abs(float(gap)), 1e-12))
            normal[np.ix_(rows, rows)] += weight * np.outer(pull, pull)
            slope[rows] += weight * gap * pull


def _jacobian(cameras: Cameras, seen: Sightings) -> tuple[sparse.csr_matrix, Array]:
    """(2 n, p) derivative of the pixels by all parameters, and the residuals (n, 2)."""
    of, group = seen.picture, seen.group[seen.picture]
    focal = cameras.focal(seen.group)[of]
    seen_at = project_slopes(
        cameras.points[seen.corner],
        turn=cameras.turn[of],
        shift=cameras.shift[of],
        focal=focal,
        principal=cameras.principal(seen.group)[of],
        lens=cameras.lens[group, 3:],
    )
    count = len(of)
    block = np.zeros((count, 2, 20))
    block[:, :, 0] = seen_at.by_focal * (1.0 + cameras.drift[of, :1])
    block[:, [0, 1], [1, 2]] = 1.0
    block[:, :, 3:8] = seen_at.by_lens
    block[:, :, 8:11] = seen_at.by_turn
    block[:, :, 11:14] = seen_at.by_shift
    block[:, :, 14] = seen_at.by_focal * cameras.lens[group, :1]
    block[:, [0, 1], [15, 16]] = 1.0
    block[:, :, 17:] = seen_at.by_point
    lenses, poses = cameras.lens.size, 9 * len(cameras.turn)
    columns = np.hstack(
        [
            8 * group[:, None] + np.arange(8),
            lenses + 9 * of[:, None] + np.arange(9),
            lenses + poses + 3 * seen.corner[:, None] + np.arange(3),
        ]
    )
    index = np.repeat(columns, 2, axis=0)
    starts = 20 * np.arange(2 * count + 1)
    shape = (2 * count, lenses + poses + cameras.points.size)
    return sparse.csr_matrix((block.ravel(), index.ravel(), starts), shape=shape), (
        seen_at.px - seen.px
    )
