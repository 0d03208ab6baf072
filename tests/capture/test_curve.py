"""The basis of a curve, span by span."""

import numpy as np
import pytest

from buckwright.capture.curve import Curve

BREAKS = np.array([0.0, 3.0, 4.0, 9.0, 11.5, 16.0])


@pytest.mark.parametrize("closed", [False, True])
def test_polynomials_of_spans_are_the_splines_of_scipy(closed: bool) -> None:
    """scipy.interpolate.BSpline, which `basis` asks."""
    count = len(BREAKS) - 1 if closed else len(BREAKS) + 2
    curve = Curve(BREAKS, np.random.default_rng(1).normal(size=(count, 3)), closed)
    at = np.concatenate([BREAKS, np.linspace(-0.0, 16.0, 101)])
    points, slopes = curve.moving(at)
    assert np.abs(points - curve.basis(at) @ curve.control).max() < 1e-12
    # At a break the third derivative jumps; value and slope do not.
    assert np.abs(slopes - curve.basis(at, derivative=1) @ curve.control).max() < 1e-11
    assert np.abs(curve.points(at) - points).max() == 0.0
