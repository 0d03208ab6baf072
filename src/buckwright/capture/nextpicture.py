"""Where to stand for the picture that would make a line surest where it is worst.

Each stand is tried on the line's covariance: a picture from there tells one more direction across
the line at every point, as well as the pictures tell theirs that show it already. A point is
taken to be seen from the side from which pictures see it now.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.fitting import Fit
from buckwright.capture.precision import Precision
from buckwright.capture.views import Views

__all__ = ["NextPicture", "next_picture"]

Array = NDArray[np.float64]

_AZIMUTHS = 24
_HEIGHTS = np.radians([15.0, 30.0, 48.0, 70.0])
_ENOUGH = 40
"""Points along the line that are looked at."""
_WORST = 0.8
"""Share of the points below the one that stands for the worst."""
_OWN_SIDE = 0.2
"""Least cosine between a stand and the way that the pictures look from now."""


@dataclass(frozen=True, eq=False, slots=True)
class NextPicture:
    """A stand, and what it is worth."""

    azimuth: float
    """rad about the mat's z, from its x."""
    height: float
    """rad above the mat."""
    now: float
    """mm, standard error in the worst direction of the worst fifth of the line's points."""
    then: float
    """mm, the same with that picture."""


def next_picture(at: Array, fit: Fit, precise: Precision, views: Views) -> NextPicture | None:
    """The best of 96 stands for points at parameters `at` (n,) of the line; None if none helps."""
    shown = np.flatnonzero(precise.views >= 1)
    if len(shown) == 0:
        return None
    shown = shown[:: 1 + len(shown) // _ENOUGH]
    points = fit.curve.points(at)[shown]
    tangent = (fit.curve.basis(at, derivative=1) @ fit.curve.control)[shown]
    across, spread = precise.across[shown], precise.spread[shown]
    from_now = views.centre.mean(axis=0) - points
    from_now /= np.linalg.norm(from_now, axis=1, keepdims=True)
    reach = float(np.median(np.linalg.norm(views.centre - points.mean(axis=0), axis=1)))
    focal = float(np.median(views.focal))
    # What a px of one view is worth where the views tell best: the noise of one reading.
    noise = _noise_of_a_view(precise, shown)
    now = _worst(spread)
    best = None
    for height in _HEIGHTS:
        for k in range(_AZIMUTHS):
            azimuth = 2.0 * np.pi * k / _AZIMUTHS
            ray = points.mean(axis=0) + reach * _direction(azimuth, height) - points
            towards = ray / np.linalg.norm(ray, axis=1, keepdims=True)
            normal = np.cross(towards, tangent)
            normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12)
            seen = np.einsum("ni,ni->n", towards, from_now) > _OWN_SIDE
            pull = np.einsum("nj,nkj->nk", normal, across) * (focal / reach)
            told = pull[:, :, None] * pull[:, None, :] * (seen / noise)[:, None, None]
            then = _worst(np.linalg.inv(np.linalg.inv(spread) + told))
            if best is None or then < best.then:
                best = NextPicture(azimuth, float(height), now, then)
    return best if best is not None and best.then < 0.95 * now else None


def _noise_of_a_view(precise: Precision, shown: NDArray[np.int64]) -> float:
    """px^2 with which a view's reading counts at a point, in the directions told best."""
    best = 1.0 / np.linalg.eigvalsh(precise.spread[shown])[:, 0]
    told = np.linalg.eigvalsh(precise.told[shown])[:, 1]
    return float(np.median(np.maximum(told, 1e-9) / best))


def _worst(spread: Array) -> float:
    greatest = np.sqrt(np.linalg.eigvalsh(spread)[:, 1])
    return float(np.quantile(greatest, _WORST))


def _direction(azimuth: float, height: float) -> Array:
    flat = np.cos(height)
    return np.array([flat * np.cos(azimuth), flat * np.sin(azimuth), np.sin(height)])
