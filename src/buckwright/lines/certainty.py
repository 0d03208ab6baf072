"""How sure a fair line is of itself.

A batten that rests on many points lies nearer to the truth than any of them. Read as Bayes would,
its bending is what was expected of the line beforehand, and its points are what was seen: then the
line's own covariance is  B (B'WB + stiffness * bending)^-1 B',  which takes in what noise
the batten follows and what shape it irons out. References: Wahba, 'Bayesian "confidence intervals"
for the cross-validated smoothing spline', J. R. Statist. Soc. B 45 (1983),
doi:10.1111/j.2517-6161.1983.tb01239.x; Nychka, 'Bayesian confidence intervals for smoothing
splines', J. Am. Statist. Assoc. 83 (1988), doi:10.1080/01621459.1988.10478711.

Neighbouring points that share one error say no more than one of them: the covariance grows with
how many do. And what all points share no batten can take out: where they scatter about it by less
than their doubt, the rest of their doubt is the line's, as with points that come from a smooth
curve fitted in pictures. That lines agree where they cross makes them surer still, which is left
out here.
"""

from typing import TypedDict

import numpy as np
from numpy.typing import NDArray

from buckwright.lines.batten import Batten, alike_points, gaps_beside
from buckwright.lines.drafting import Draft

__all__ = ["FairDoubt", "fair_doubt", "square_variance"]

Array = NDArray[np.float64]

PLACES = 120
"""Places along the line at which it is reckoned."""
SURE = 4.0
"""Standard errors of the scatter that are put down to chance: what is shared must be plain."""


class FairDoubt(TypedDict):
    """What a line says of itself."""

    fair_sigma: float
    alike: float


def fair_doubt(draft: Draft) -> FairDoubt:
    """Standard error of the line itself, and mm along it over which its error is much the same."""
    at = np.linspace(draft.start, draft.end, PLACES)
    alike = max(1.0, alike_points(draft.batten, draft.stiffness))
    own = alike * square_variance(draft.batten, draft.control, draft.stiffness, at).mean()
    length, freedom = draft.end - draft.start, float(draft.batten.freedom(draft.stiffness).mean())
    points = float(np.mean(draft.sigma**2))
    shared = points * _shared(draft, alike, freedom)
    return {
        "fair_sigma": float(np.sqrt(own + shared)),
        "alike": length / max(1.0, freedom),
    }


def _shared(draft: Draft, alike: float, freedom: float) -> float:
    """Share of the points' variance that they do not scatter by, as far as chance allows."""
    gap = gaps_beside(draft.batten, draft.stiffness)
    count = len(gap)
    left = max(1.0 - alike * freedom / count, 1.0 / count)
    scatter = 0.5 * float((gap**2).sum()) / count / left
    # Two directions to a point; points that err alike count once.
    chance = SURE * float(np.sqrt(alike / count))
    return max(0.0, 1.0 - scatter * (1.0 + chance))


def square_variance(batten: Batten, control: Array, stiffness: Array, at: Array) -> Array:
    """(k,) mm^2: variance of the batten at parameters, the mean of both ways square to it."""
    seen = (batten.rows(at) @ batten.modes) ** 2
    own = seen @ batten.give(stiffness)
    run = batten.rows(at, derivative=1) @ control @ batten.axes.T
    run = run / np.maximum(np.linalg.norm(run, axis=1, keepdims=True), 1e-300)
    return np.asarray(0.5 * (own * (1.0 - run**2)).sum(axis=1))
