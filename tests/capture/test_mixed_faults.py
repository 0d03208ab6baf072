"""Stretched, wavy paper and a moving lens, all at once, with one measured bar."""

import numpy as np

from buckwright.capture import calibrate
from faulty_shoots import body, faulty_shoot, measured, rigid_and_scale


def test_everything_wrong_at_once_and_one_bar_still_measures_to_three_hundredths():
    rigid, scale = [], []
    for seed in range(4):
        corners, mat, shown = faulty_shoot(seed)
        calibration = calibrate(corners, mat)
        one, grown = rigid_and_scale(measured(calibration, shown), body())
        rigid.append(one)
        scale.append(grown)
        # The printed doubt of the scale covers it.
        assert abs(grown) < 2.5e3 * calibration.scale_sigma
        assert {finding.code for finding in calibration.findings} == {"mat-or-lens"}
    assert np.sqrt(np.mean(np.square(rigid))) < 0.03
    assert np.sqrt(np.mean(np.square(scale))) < 0.15


def test_without_the_bar_it_is_three_per_mille_long_and_says_so():
    corners, mat, shown = faulty_shoot(0)
    calibration = calibrate(corners, mat.model_copy(update={"bars": ()}))
    _, grown = rigid_and_scale(measured(calibration, shown), body())
    assert -3.5 < grown < -1.0
    assert calibration.scale == "not measured"
    assert "scale-not-measured" in {finding.code for finding in calibration.findings}


def test_the_same_corners_give_the_same_cameras_to_the_last_digit():
    corners, mat, _ = faulty_shoot(0)
    first, again = calibrate(corners, mat), calibrate(corners, mat)
    np.testing.assert_array_equal(first.mat_points, again.mat_points)
    for one, other in zip(first.pictures, again.pictures, strict=True):
        np.testing.assert_array_equal(one.translation, other.translation)
