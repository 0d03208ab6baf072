"""An arch whose pictures overlap only two by two: no third picture tells its legs apart."""

import numpy as np
import pytest

from buckwright.capture import calibrate, line_from_traces
from buckwright.geometry.polyline import closest_on_polyline
from sights_on_paper import hoop, shoot, trace, with_bar

STANDS = [(75, 20, 600), (105, 48, 620), (255, 48, 620), (285, 20, 600)]
"""Two on the side of one leg, two on the side of the other."""


@pytest.fixture(scope="module")
def calibration():
    return calibrate(shoot(stands=STANDS), with_bar())


def halves(*, seed=2):
    """Each picture shows its own leg and the top, as the body hides the other."""
    whole = hoop(1200)
    near, far = whole[: len(whole) * 2 // 3], whole[len(whole) // 3 :]
    one = trace("arch", near, stands=STANDS, seed=seed, wobble=0.3)
    other = trace("arch", far, stands=STANDS, seed=seed + 50, wobble=0.3)
    return [*one[:2], *other[2:]]


@pytest.mark.parametrize("seed", [2, 3])
def test_an_arch_shown_two_by_two_comes_back_whole(calibration, seed):
    line = line_from_traces("arch", halves(seed=seed), calibration, closed=False)
    gap, _, _ = closest_on_polyline(np.asarray(line.points), hoop())
    assert np.sqrt(np.mean(gap**2)) < 0.3
    missed, _, _ = closest_on_polyline(hoop(), np.asarray(line.points))
    assert np.mean(missed < 1.0) > 0.95
    assert np.mean(gap < 2.0 * np.sqrt(2.0) * line.sigma) > 0.85
