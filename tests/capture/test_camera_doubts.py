"""What calibration refuses, what it doubts, and what it solves for: lens drift and wavy paper."""

import numpy as np
import pytest

from buckwright.capture import calibrate
from buckwright.errors import JobError
from buckwright.geometry.camera import camera_centre
from buckwright.model.pictures import Bar, Mat
from sights_on_paper import MAT, STANDS, mat_corners, pose, seen, shoot, with_bar


def codes(calibration):
    return {finding.code for finding in calibration.findings}


def bent(corners, *, height):
    """The same shoot of paper that waves by `height` mm."""
    points = mat_corners()
    wave = height * np.sin(points[:, 0] / 78.0) * np.cos(points[:, 1] / 66.0)
    moved = points + wave[:, None] * [0.0, 0.0, 1.0]
    return [
        c.model_copy(update={"px": c.px + (seen(moved, s) - seen(points, s))[c.ids]})
        for c, s in zip(corners, STANDS, strict=True)
    ]


def drifting(corners, *, focal, centre):
    """The same shoot by a phone that moves its lens from picture to picture."""
    random = np.random.default_rng(11)
    middle = np.array([2015.5, 1511.5])
    found = []
    for c in corners:
        grown = 1.0 + focal * random.uniform(-1.0, 1.0)
        px = middle + grown * (c.px - middle) + centre * random.uniform(-1.0, 1.0, 2)
        found.append(c.model_copy(update={"px": px}))
    return found


def centre_misses(calibration):
    return np.array(
        [
            camera_centre(p.rotation_vector, p.translation) - camera_centre(*pose(*s))
            for p, s in zip(calibration.pictures, STANDS, strict=True)
        ]
    )


def test_a_clean_shoot_has_no_doubts():
    assert calibrate(shoot(), with_bar()).findings == ()


def test_wrong_corners_are_thrown_out():
    corners = shoot()
    px = np.array(corners[3].px)
    px[::10] += [6.0, -3.0]
    corners[3] = corners[3].model_copy(update={"px": px})
    calibration = calibrate(corners, with_bar())
    assert calibration.pictures[3].corners_used <= len(px) - len(px[::10])
    assert np.sqrt(np.mean(np.sum(centre_misses(calibration) ** 2, axis=1))) < 0.06


def test_wavy_paper_is_solved_for_and_told():
    calibration = calibrate(bent(shoot(), height=0.5), with_bar())
    assert "mat-or-lens" in codes(calibration)
    assert calibration.residual_px < 0.06
    points = mat_corners()
    wave = 0.5 * np.sin(points[:, 0] / 78.0) * np.cos(points[:, 1] / 66.0)
    plane = np.column_stack([np.ones(len(points)), points[:, :2]])
    level = wave - plane @ np.linalg.lstsq(plane, wave, rcond=None)[0]
    np.testing.assert_allclose(calibration.mat_points[:, 2], level, atol=0.06)


def test_a_lens_that_moves_is_told_from_one_that_does_not():
    steady = calibrate(shoot(), with_bar())
    moving = calibrate(drifting(shoot(), focal=0.002, centre=4.0), with_bar())
    assert moving.residual_px == pytest.approx(steady.residual_px, abs=0.01)
    # Where the lens moves, the place of a camera is less sure, and its sigma must say so.
    assert np.median(moving.centre_sigma) > 2.0 * np.median(steady.centre_sigma)
    ratio = np.abs(centre_misses(moving)) / moving.centre_sigma[:, None]
    assert np.mean(ratio < 2.0) > 0.8
    focals = np.array([p.focal for p in steady.pictures])
    assert np.ptp(focals) < 1.0
    assert np.ptp([p.focal for p in moving.pictures]) > 5.0


def test_camera_sigmas_are_honest_over_several_shoots():
    ratios = []
    for seed in (5, 6):
        calibration = calibrate(shoot(seed=seed), with_bar())
        ratios.append(np.abs(centre_misses(calibration)) / calibration.centre_sigma[:, None])
    inside = np.mean(np.concatenate(ratios) < 2.0)
    assert inside > 0.9


def test_the_frame_lies_on_the_mat_with_z_out_of_the_paper():
    calibration = calibrate(shoot(), with_bar())
    np.testing.assert_allclose(calibration.mat_points, mat_corners(), atol=0.06)
    for picture in calibration.pictures:
        assert camera_centre(picture.rotation_vector, picture.translation)[2] > 100.0


def test_a_print_stretched_more_one_way_keeps_its_corner_and_axes():
    points = mat_corners() * [1.003, 1.001, 1.0]
    corners = [
        c.model_copy(update={"px": seen(points, s)[c.ids]})
        for c, s in zip(shoot(), STANDS, strict=True)
    ]
    mat = MAT.model_copy(update={"bars": (Bar(start=(1, 1), end=(18, 1), mm=510.0 * 1.003),)})
    np.testing.assert_allclose(calibrate(corners, mat).mat_points, points, atol=0.03)


def test_bars_that_disagree_are_named():
    bars = (Bar(start=(1, 1), end=(18, 1), mm=510.0), Bar(start=(1, 1), end=(1, 12), mm=332.0))
    found = calibrate(shoot(), MAT.model_copy(update={"bars": bars}))
    assert [f.code for f in found.findings].count("bars-disagree") >= 1


def test_a_bar_that_no_picture_shows_does_not_count():
    hidden = [
        c.model_copy(update={"ids": c.ids[c.ids != 0], "px": c.px[c.ids != 0]}) for c in shoot()
    ]
    found = calibrate(hidden, with_bar())
    assert found.scale == "not measured"
    assert codes(found) == {"bar-not-seen", "scale-not-measured"}


def test_pictures_from_one_height_are_doubted():
    low = STANDS[:9]
    assert "one-height" in codes(calibrate(shoot(stands=low), with_bar()))


def test_few_pictures_are_doubted_and_still_solved():
    few = [STANDS[0], STANDS[3], STANDS[10], STANDS[13]]
    found = calibrate(shoot(stands=few), with_bar())
    assert "few-pictures" in codes(found)
    for picture, stand in zip(found.pictures, few, strict=True):
        miss = camera_centre(picture.rotation_vector, picture.translation) - camera_centre(
            *pose(*stand)
        )
        assert np.linalg.norm(miss) < 3.0


def test_an_even_number_of_rows_is_doubted():
    even = Mat(squares=(19, 12), square_mm=30.0, marker_mm=22.0, dictionary="DICT_5X5_250")
    corners = [
        c.model_copy(update={"ids": c.ids[c.ids < 198], "px": c.px[c.ids < 198]}) for c in shoot()
    ]
    assert "even-rows" in codes(calibrate(corners, even))


def test_a_mirrored_picture_is_refused_by_name():
    corners = shoot()
    flipped = corners[5].px * [-1.0, 1.0] + [4031.0, 0.0]
    corners[5] = corners[5].model_copy(update={"px": flipped})
    with pytest.raises(JobError, match=r"p05\.jpg shows the mat mirrored"):
        calibrate(corners, MAT)


def test_a_picture_with_hardly_any_corners_is_refused_by_name():
    corners = shoot()
    corners[2] = corners[2].model_copy(update={"ids": corners[2].ids[:5], "px": corners[2].px[:5]})
    with pytest.raises(JobError, match=r"p02\.jpg shows only 5 corners"):
        calibrate(corners, MAT)


def test_no_picture_at_all_is_refused():
    with pytest.raises(JobError, match="no picture"):
        calibrate([], MAT)


def test_two_pictures_of_one_name_and_foreign_corners_are_the_callers_fault():
    corners = shoot()
    with pytest.raises(ValueError, match="name of its own"):
        calibrate([*corners, corners[0]], MAT)
    small = Mat(squares=(5, 5), square_mm=30.0, marker_mm=22.0, dictionary="DICT_5X5_250")
    with pytest.raises(ValueError, match="do not belong"):
        calibrate(corners, small)
