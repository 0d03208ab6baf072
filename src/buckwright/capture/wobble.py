"""The hand's wobble, learned from what the views disagree on: how much, and over what distance."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.fitting import Fit
from buckwright.capture.views import Marks

__all__ = ["Wobble", "wobble_of"]

Array = NDArray[np.float64]

_USUAL_VARIANCE, _USUAL_REACH = 1.0, 106.0
"""px^2; px of trace to one independent reading, for a wobble that fades over 60 px."""
_SNAPPED_VARIANCE, _SNAPPED_REACH = 0.04, 30.0
"""The same of traces that were snapped: 0.2 px, over twice the length that profiles are taken from.
"""
_LEAST_REACH, _MOST_REACH = 12.0, 200.0
_BELIEF = 15.0
"""How many independent readings the usual wobble is worth."""
_LAGS_PX = 150.0
"""Along a trace, over which likeness is looked for."""


@dataclass(frozen=True, eq=False, slots=True)
class Wobble:
    """px^2 of a trace's distance from the line, and px of trace to one independent reading."""

    variance: float
    reach: float
    pitch: float
    """px of trace from mark to mark."""

    @property
    def to_a_mark(self) -> float:
        """The variance that a mark must be given for marks to be counted as independent."""
        return self.variance * self.reach / self.pitch

    @property
    def alike(self) -> float:
        """Correlation of neighbouring marks of a wobble that fades as a Markov chain does.

        Over half the reach: a hand's wobble is smoother than such a chain, and taken at its full
        reach the chain believes too much in how a trace bends. On three draws of the example's
        wobble lines were nearest to the truth so: 0.116 mm rms, 0.118 without, 0.117 in full.
        """
        reach = 0.5 * self.reach
        return max(reach - self.pitch, 0.0) / (reach + self.pitch)


def wobble_of(fit: Fit, marks: Marks) -> Wobble:
    """The wobble of the traces of one line, drawn towards the usual one where they say little.

    The reach is the sum of the gaps' correlation over the distance between marks.
    """
    gaps = np.where(fit.counts, np.clip(fit.feet.gap, -4.0 * fit.sigma_px, 4.0 * fit.sigma_px), 0.0)
    used = fit.counts.astype(np.float64)
    products, pairs = [], []
    for lag in range(max(round(_LAGS_PX / marks.pitch), 1)):
        same = marks.piece[lag:] == marks.piece[: len(marks.piece) - lag]
        products.append(float(gaps[lag:][same] @ gaps[: len(gaps) - lag][same]))
        pairs.append(float(used[lag:][same] @ used[: len(used) - lag][same]))
    count = max(pairs[0], 1.0)
    square = products[0] / count
    likeness = [
        product / max(number, 1.0) / max(square, 1e-9)
        for product, number in zip(products[1:], pairs[1:], strict=True)
    ]
    ends = next((k for k, r in enumerate(likeness) if r <= 0.05), len(likeness))
    pitch = marks.pitch
    found = pitch * (1.0 + 2.0 * float(np.sum(likeness[:ends])))
    readings = count * pitch / max(found, _LEAST_REACH)
    # A curve takes two of its three numbers to a control point out of the readings.
    freedom = max(readings - 2.0 * len(fit.curve.control), 0.0)
    share = freedom / (freedom + _BELIEF)
    # What is left after the curve has taken its share is too small by that share.
    grown = square * readings / max(freedom, 0.25 * readings)
    usual, usual_reach = _usual(marks)
    variance = share * grown + (1.0 - share) * usual
    reach = share * float(np.clip(found, _LEAST_REACH, _MOST_REACH)) + (1.0 - share) * usual_reach
    return Wobble(variance, reach, pitch)


def _usual(marks: Marks) -> tuple[float, float]:
    """Variance and reach before anything is learned, by how many marks were snapped."""
    hand, snapped = 1.0 - marks.snapped, marks.snapped
    return (
        hand * _USUAL_VARIANCE + snapped * _SNAPPED_VARIANCE,
        hand * _USUAL_REACH + snapped * _SNAPPED_REACH,
    )
