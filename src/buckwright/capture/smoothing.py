"""How stiff a curve may be taken to be in each direction, learned from its traces.

A line on a body often runs smoothly in one direction, as a door's outline does in and out of the
door, while it turns corners in the others; and it is often just that direction which pictures
from one side place worst. So third differences of the control points have a prior variance for
each principal axis of the line, re-estimated from the fit itself.

Reference: D. J. C. MacKay, 'Bayesian interpolation', Neural Computation 4 (1992),
doi:10.1162/neco.1992.4.3.415.
"""

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.curve import Curve, stretched, third_differences
from buckwright.capture.ends import ends_of
from buckwright.capture.fitting import Fit, fit_curve
from buckwright.capture.views import Marks, Views
from buckwright.capture.wobble import wobble_of

__all__ = ["smoothed_fit"]

Array = NDArray[np.float64]

_LEAST_SPANS = 6
_ROUNDS = 6
_LEAST_FREEDOM = 0.2
"""Of the numbers that a direction's stiffness is learned from."""
_BELIEF = 3.0
"""Third differences of nothing that a line is taken to bring along, because tape and edges lie
fair: a sill tells too few of its own to say how straight it is where a wheel hides it.
"""
_SOFTEST_PX, _STIFFEST_PX = 300.0, 0.03
"""Prior standard error of a third difference: limits, in pixels at the line."""


def smoothed_fit(fit: Fit, views: Views, marks: Marks, *, px: float) -> Fit:
    """The fit again, as stiff in each direction as its traces show the line to be."""
    curve = fit.curve
    spans = np.diff(curve.breaks)
    if len(spans) < _LEAST_SPANS:
        number = np.ceil(_LEAST_SPANS / len(spans)) * np.ones(len(spans), dtype=np.int64)
        curve = stretched(curve, _divided(curve.breaks, int(number[0])))
    axes = _principal_axes(curve)
    gate = max(5.0 * fit.sigma_px, 4.0)
    spread = np.full(3, 0.1 * _SOFTEST_PX * px)
    noise = wobble_of(fit, marks).to_a_mark
    ends = ends_of(fit.curve, fit.feet, views, marks, noise=noise)
    for _ in range(_ROUNDS):
        wobble = wobble_of(fit, marks)
        noise = wobble.to_a_mark
        stiff = noise * (axes / spread**2) @ axes.T
        fit = fit_curve(
            curve,
            views,
            marks,
            gate=gate,
            stiff=stiff,
            ends=ends,
            alike=wobble.alike,
            rounds=3,
            doubting=marks.snapped > 0.5,
        )
        curve = fit.curve
        before, spread = spread, _learned(fit, axes, spread, noise)
        spread = np.clip(spread, _STIFFEST_PX * px, _SOFTEST_PX * px)
        if np.allclose(spread, before, rtol=0.1, atol=0.0):
            break
    return fit


def _divided(breaks: Array, number: int) -> Array:
    part = np.arange(number) / number
    inner = (breaks[:-1, None] + np.diff(breaks)[:, None] * part).ravel()
    return np.append(inner, breaks[-1])


def _principal_axes(curve: Curve) -> Array:
    """(3, 3) unit columns: directions of greatest, middle and least extent of the line."""
    points = curve.points(curve.samples())
    _, _, axes = np.linalg.svd(points - points.mean(axis=0), full_matrices=False)
    return np.asarray(axes.T)


def _learned(fit: Fit, axes: Array, spread: Array, noise: float) -> Array:
    """(3,) mm: the spread of third differences along each axis, by MacKay's update."""
    control = fit.curve.control
    count = len(control)
    bend = third_differences(count, closed=fit.curve.closed)
    covariance = (np.linalg.inv(fit.normal) * noise).reshape(count, 3, count, 3)
    learned = np.empty(3)
    for axis in range(3):
        along = axes[:, axis]
        values = bend @ (control @ along)
        own = np.einsum("iajb,a,b->ij", covariance, along, along)
        doubt = float(np.einsum("mi,ij,mj->", bend, own, bend))
        told = max(len(values) - doubt / spread[axis] ** 2, _LEAST_FREEDOM)
        freedom = _BELIEF + told
        learned[axis] = np.sqrt(float(values @ values) / freedom)
    return learned
