"""Cameras and lines come back from corners and traces, and say when they cannot."""

import numpy as np
import pytest

from buckwright.capture import calibrate, find_corners, line_from_traces
from buckwright.errors import JobError
from buckwright.geometry.camera import camera_centre
from buckwright.geometry.polyline import closest_on_polyline
from sights_on_paper import FOCAL, MAT, STANDS, hoop, pose, shoot, trace, with_bar


@pytest.fixture(scope="module")
def calibration():
    return calibrate(shoot(), with_bar())


def centre_errors(calibration, stands=STANDS):
    return [
        np.linalg.norm(camera_centre(p.rotation_vector, p.translation) - camera_centre(*pose(*s)))
        for p, s in zip(calibration.pictures, stands, strict=True)
    ]


def test_cameras_stand_where_they_stood(calibration):
    assert np.sqrt(np.mean(np.square(centre_errors(calibration)))) < 0.06
    assert calibration.scale == "bar"
    assert np.mean([p.focal for p in calibration.pictures]) == pytest.approx(FOCAL, abs=0.6)


def test_a_stretched_print_is_set_right_by_the_bar_alone():
    stretched = calibrate(shoot(stretch=1.003), with_bar(1.003))
    span = np.linalg.norm(stretched.mat_points[17] - stretched.mat_points[0])
    assert span == pytest.approx(510.0 * 1.003, abs=0.05)
    blind = calibrate(shoot(stretch=1.003), MAT)
    assert blind.scale == "not measured"
    assert "scale" in " ".join(f.message.lower() + f.code for f in blind.findings)
    assert blind.residual_px == pytest.approx(stretched.residual_px, abs=0.003)


def test_a_line_comes_back_within_its_printed_doubt(calibration):
    line = line_from_traces("hoop", trace("hoop", hoop()), calibration, closed=False)
    gap, _, _ = closest_on_polyline(np.array(line.points), hoop())
    assert np.sqrt(np.mean(gap**2)) < 0.15
    assert 0.9 <= np.mean(gap < 2.0 * np.sqrt(2.0) * line.sigma) <= 1.0
    assert np.sqrt(np.mean(line.sigma**2)) < 0.3


def test_more_pictures_make_a_line_better(calibration):
    doubts = []
    for count in (4, 15):
        chosen = [0, 3, 9, 12] if count == 4 else range(15)
        traces = trace("hoop", hoop())
        line = line_from_traces("hoop", [traces[k] for k in chosen], calibration, closed=False)
        doubts.append(float(np.sqrt(np.mean(line.sigma**2))))
    assert doubts[1] < doubts[0]


def test_the_sense_of_a_trace_does_not_matter(calibration):
    traces = trace("hoop", hoop())
    turned = [
        t.model_copy(update={"px": t.px[::-1].copy()}) if k % 2 else t for k, t in enumerate(traces)
    ]
    one = line_from_traces("hoop", traces, calibration, closed=False)
    two = line_from_traces("hoop", turned, calibration, closed=False)
    gap, _, _ = closest_on_polyline(np.array(two.points), np.array(one.points))
    assert np.sqrt(np.mean(gap**2)) < np.sqrt(np.mean(one.sigma**2))


def test_one_picture_is_refused_by_name(calibration):
    with pytest.raises(JobError, match="hoop"):
        line_from_traces("hoop", trace("hoop", hoop())[:1], calibration, closed=False)


def test_pictures_that_were_not_solved_do_not_count(calibration):
    lost = [
        t.model_copy(update={"picture": f"lost{k}.jpg"})
        for k, t in enumerate(trace("hoop", hoop()))
    ]
    with pytest.raises(JobError, match="hoop"):
        line_from_traces("hoop", lost, calibration, closed=False)


def test_traces_of_two_different_marks_do_not_make_a_line(calibration):
    one, _, other = trace("hoop", hoop())[:3]
    in_the_sky = other.model_copy(update={"px": other.px - [0.0, 2000.0]})
    with pytest.raises(JobError, match="do not meet"):
        line_from_traces("hoop", [one, in_the_sky], calibration, closed=False)


def test_a_picture_without_the_mat_is_refused_by_name():
    with pytest.raises(JobError, match=r"blank\.jpg"):
        find_corners(np.full((1200, 1600), 128, np.uint8), MAT, picture="blank.jpg")


def test_one_picture_of_the_mat_is_not_enough():
    with pytest.raises(JobError, match="only one picture"):
        calibrate(shoot()[:1], MAT)
