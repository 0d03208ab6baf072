"""Capture against OpenCV's solvers on ideal data, and against the textbook's formulas."""

import cv2
import numpy as np
import pytest

from buckwright.capture import calibrate, line_from_traces, point_from_traces
from buckwright.geometry.camera import project, undistort
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.pictures import Trace
from faulty_shoots import faulty_shoot, measured
from sights_on_paper import (
    FOCAL,
    LENS,
    MAT,
    PRINCIPAL,
    SIZE,
    STANDS,
    hoop,
    mat_corners,
    pose,
    seen,
    shoot,
    trace,
    with_bar,
)

MATRIX = np.array([[FOCAL, 0, PRINCIPAL[0]], [0, FOCAL, PRINCIPAL[1]], [0, 0, 1.0]])


def test_lens_and_focal_length_are_those_of_opencvs_calibrate_camera():
    corners = shoot(noise=0.0)
    points = [mat_corners()[c.ids].astype(np.float32) for c in corners]
    px = [np.array(c.px, np.float32) for c in corners]
    _, matrix, lens, _, _ = cv2.calibrateCamera(
        points, px, SIZE, np.eye(3), np.zeros(5), flags=cv2.CALIB_FIX_ASPECT_RATIO
    )
    (group,) = calibrate(corners, MAT).groups
    assert group.focal == pytest.approx(matrix[0, 0], abs=0.2)
    np.testing.assert_allclose(group.centre, matrix[:2, 2], atol=0.3)
    np.testing.assert_allclose(group.distortion, np.ravel(lens), atol=0.01)


def test_a_line_of_two_pictures_runs_through_opencvs_triangulated_points():
    calibration = calibrate(shoot(noise=0.0), with_bar())
    two = (0, 11)
    traces = trace("hoop", hoop(), wobble=1e-3, vertex=5.0)
    line = line_from_traces("hoop", [traces[k] for k in two], calibration, closed=False)
    flat, cameras = [], []
    for k in two:
        turn, shift = pose(*STANDS[k])
        cameras.append(np.column_stack([cv2.Rodrigues(turn)[0], shift]))
        flat.append(undistort((seen(hoop(), STANDS[k]) - PRINCIPAL) / FOCAL, LENS).T)
    theirs = cv2.triangulatePoints(*cameras, *flat)
    theirs = (theirs[:3] / theirs[3]).T
    np.testing.assert_allclose(theirs, hoop(), atol=1e-5)
    # To 0.3 px; not at the very ends, where a curve of two pictures is loose.
    inner = np.array(line.points)[len(line.points) // 20 : -len(line.points) // 20]
    gap, _, _ = closest_on_polyline(inner, theirs)
    assert np.sqrt(np.mean(gap**2)) < 0.06


@pytest.mark.parametrize("chosen", [(0, 2, 4, 6, 8, 9, 11, 13), tuple(range(15))])
def test_the_printed_sigma_obeys_the_planning_formula_of_convergent_networks(chosen):
    # Fraser: sigma = q (D / f) sigma_px / sqrt(k), with q of 0.4 to 0.8 for convergent pictures
    # all round (network design, Photogrammetric Engineering and Remote Sensing, 1980s; from
    # memory). It speaks of points, of which a picture tells two coordinates; of a line it tells
    # one, hence the root of two. A span of the curve takes about one reading of each picture.
    # The printed sigma also holds 0.2 px for where an edge seems to be: that is taken off.
    calibration = calibrate(shoot(), with_bar())
    traces = trace("hoop", hoop())
    line = line_from_traces("hoop", [traces[k] for k in chosen], calibration, closed=False)
    middle = line.sigma[len(line.sigma) // 3 : -len(line.sigma) // 3]
    pixel = 600.0 / FOCAL
    sigma = float(np.sqrt(np.mean(middle**2) - (0.2 * pixel) ** 2))
    q = sigma / np.sqrt(2.0) / (pixel * 1.0 / np.sqrt(len(chosen)))
    assert 0.4 < q < 0.8


def test_points_scatter_as_the_planning_formula_of_convergent_networks_says():
    # Fraser: each coordinate of a point by q (D / f) sigma_px / sqrt(k), k exposures at each of the
    # four stations of his standard network, q of 0.4 to 0.8. Sixteen pictures all round are four to
    # a station; marks seen with 0.5 px of noise.
    corners, mat, shown = faulty_shoot(1)
    calibration = calibrate(corners, mat)
    still = measured(calibration, shown)
    random = np.random.default_rng(4)
    noisy = [measured(calibration, shown + 0.5 * random.normal(size=shown.shape)) for _ in range(8)]
    sigma = float(np.sqrt(np.mean((np.array(noisy) - still) ** 2)))
    assert 0.4 < sigma / (610.0 / FOCAL * 0.5 / np.sqrt(4.0)) < 0.8


@pytest.mark.parametrize(("distance", "expected"), [(10_000.0, 78.34), (5_000.0, 145.30)])
def test_what_lies_behind_a_plane_shows_by_the_parallax_formula(distance, expected):
    # A point 0.85 m behind a plane, 1 m aside of a camera's axis, shows r d / (D + d) nearer to
    # the axis on that plane (similar triangles; values of CHECKS).
    camera = {
        "turn": np.zeros(3),
        "shift": np.array([0.0, 0.0, distance]),
        "focal": np.array(FOCAL),
        "principal": PRINCIPAL,
        "lens": LENS,
    }
    px = project(np.array([[1000.0, 0.0, 850.0]]), **camera)
    flat = undistort((px - PRINCIPAL) / FOCAL, LENS)
    on_plane = flat[0, 0] * distance
    assert 1000.0 - on_plane == pytest.approx(1000.0 * 850.0 / (distance + 850.0), abs=1e-6)
    assert 1000.0 - on_plane == pytest.approx(expected, abs=0.005)


def test_a_marked_point_of_two_pictures_is_opencvs_triangulated_point():
    calibration = calibrate(shoot(noise=0.0), with_bar())
    place, two = np.array([[300.0, -180.0, 90.0]]), (0, 11)
    marks = [
        Trace(line="bolt", picture=f"p{k:02d}.jpg", px=seen(place, STANDS[k]), kind="point")
        for k in two
    ]
    point = point_from_traces("bolt", marks, calibration)
    flat, cameras = [], []
    for k, mark in zip(two, marks, strict=True):
        turn, shift = pose(*STANDS[k])
        cameras.append(np.column_stack([cv2.Rodrigues(turn)[0], shift]))
        flat.append(undistort((mark.px - PRINCIPAL) / FOCAL, LENS).T)
    theirs = cv2.triangulatePoints(*cameras, *flat)[:, 0]
    np.testing.assert_allclose(theirs[:3] / theirs[3], place[0], atol=1e-5)
    np.testing.assert_allclose(point.point, theirs[:3] / theirs[3], atol=0.01)
