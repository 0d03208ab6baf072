"""Guides and epipolar bands for the next trace, and clicks that can be a trace."""

import cv2
import numpy as np
import pytest

from buckwright.capture.clicks import check_clicks, clicks_along, hide_stretch
from buckwright.capture.guides import epipolar_bands, model_box, projected_pieces
from buckwright.errors import JobError
from buckwright.geometry.camera import rotation_matrix
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.pictures import Picture
from web.invented_pictures import make_measured, make_pictures

CALIBRATION = make_pictures()[3]
ONE, OTHER = CALIBRATION.pictures[:2]
BOX = model_box(CALIBRATION)
LENS = np.array([0.08, -0.12, 0.001, -0.0007, 0.05])


def bent(picture: Picture) -> Picture:
    return picture.model_copy(update={"distortion": LENS})


def cv_px(points: np.ndarray, picture: Picture) -> np.ndarray:
    """OpenCV's own projection."""
    inner = np.array(
        [
            [picture.focal, 0.0, picture.principal[0]],
            [0.0, picture.focal, picture.principal[1]],
            [0.0, 0.0, 1.0],
        ]
    )
    px, _ = cv2.projectPoints(
        points, picture.rotation_vector, picture.translation, inner, np.array(picture.distortion)
    )
    return px.reshape(-1, 2)


def points_in(box: np.ndarray, count: int) -> np.ndarray:
    middle, half = box.mean(axis=0), 0.3 * (box[1] - box[0])
    return middle + np.random.default_rng(5).uniform(-half, half, (count, 3))


def test_a_point_of_one_picture_lies_on_its_curve_in_the_other_as_opencv_projects_it() -> None:
    points = points_in(BOX, 12)
    one, other = bent(ONE), bent(OTHER)
    bands = epipolar_bands(cv_px(points, one), one, other, BOX)
    for (curve, ray), place, point in zip(bands, cv_px(points, other), points, strict=True):
        assert closest_on_polyline(place[None], curve)[0][0] < 0.2
        assert closest_on_polyline(point[None], ray)[0][0] < 1e-4


def test_without_a_lens_s_bend_the_curve_is_opencv_s_epipolar_line() -> None:
    """cv2.computeCorrespondEpilines with F = K^-T [t]x R K^-1 from the two poses."""
    turn = [rotation_matrix(p.rotation_vector) for p in (ONE, OTHER)]
    between = turn[1] @ turn[0].T
    shift = np.asarray(OTHER.translation) - between @ np.asarray(ONE.translation)
    cross = np.array([[0, -shift[2], shift[1]], [shift[2], 0, -shift[0]], [-shift[1], shift[0], 0]])
    inner = np.array(
        [[ONE.focal, 0, ONE.principal[0]], [0, ONE.focal, ONE.principal[1]], [0, 0, 1.0]]
    )
    fundamental = np.linalg.inv(inner).T @ cross @ between @ np.linalg.inv(inner)
    px = cv_px(points_in(BOX, 8), ONE)
    lines = cv2.computeCorrespondEpilines(px.reshape(-1, 1, 2), 1, fundamental).reshape(-1, 3)
    for (curve, _), (a, b, c) in zip(epipolar_bands(px, ONE, OTHER, BOX), lines, strict=True):
        assert len(curve) > 15
        assert np.abs(curve @ [a, b] + c).max() < 1e-3


def test_a_place_beside_the_model_has_no_band() -> None:
    corner = np.array([[0.0, 0.0]])
    curve, ray = epipolar_bands(corner, ONE, OTHER, np.array([BOX.mean(0) - 5, BOX.mean(0) + 5]))[0]
    assert (len(curve), len(ray)) == (0, 0)


def test_a_guide_breaks_off_at_the_rim_of_the_picture() -> None:
    line = make_measured()[0].points
    far = np.vstack([line, line[-1] + np.linspace(0, 1, 20)[:, None] * [0.0, 4000.0, 0.0]])
    pieces = projected_pieces(far, ONE)
    assert pieces
    for piece in pieces:
        assert np.all((piece > -0.5) & (piece < np.array(ONE.size) - 0.5))
    whole = projected_pieces(line, ONE)
    assert np.abs(whole[0][:5] - cv_px(line[:5], ONE)).max() < 1e-3


def test_a_line_behind_the_camera_is_not_drawn() -> None:
    way = rotation_matrix(np.asarray(ONE.rotation_vector))[2]
    centre = -rotation_matrix(np.asarray(ONE.rotation_vector)).T @ np.asarray(ONE.translation)
    behind = centre - 200.0 * way + np.linspace(0, 50, 9)[:, None] * [1.0, 0.0, 0.0]
    assert projected_pieces(behind, ONE) == []


def test_known_lines_make_the_box_tighter() -> None:
    known = tuple(line.points for line in make_measured())
    tight = model_box(CALIBRATION, known)
    assert np.all(np.vstack(known) > tight[0])
    assert np.all(np.vstack(known) < tight[1])
    assert np.prod(tight[1] - tight[0]) < np.prod(BOX[1] - BOX[0])


def test_clicks_taken_from_a_trace_stay_on_it_and_are_closer_at_bends() -> None:
    angle = np.linspace(0.0, np.pi, 200)
    arc = 60.0 * np.column_stack([np.cos(angle), np.sin(angle)])
    straight = np.column_stack([np.linspace(-60.0, -60.0, 40), np.linspace(0.0, -400.0, 40)])
    trace = np.vstack([arc, straight[1:]])
    clicks = clicks_along(trace)
    assert closest_on_polyline(trace, clicks)[0].max() < 4.5
    assert np.array_equal(clicks[[0, -1]], trace[[0, -1]])
    gaps = np.linalg.norm(np.diff(clicks, axis=0), axis=1)
    assert gaps[0] < 60.0 < 75.0 < gaps[-1] < 120.0


def test_hiding_a_stretch_of_a_closed_trace_opens_it_there() -> None:
    clicks = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    (left,) = hide_stretch(clicks, 1, closed=True)
    assert left.tolist() == [[10.0, 10.0], [0.0, 10.0], [0.0, 0.0], [10.0, 0.0]]
    one, other = hide_stretch(clicks, 1, closed=False)
    assert (one.tolist(), other.tolist()) == (clicks[:2].tolist(), clicks[2:].tolist())
    with pytest.raises(ValueError, match="no such stretch"):
        hide_stretch(clicks, 3, closed=False)


def test_a_closed_trace_may_not_cross_itself_on_its_way_back() -> None:
    clicks = np.array([[10.0, 10.0], [90.0, 10.0], [10.0, 80.0], [90.0, 90.0]])
    check_clicks(clicks, line="hoop", picture="a.jpg", size=(100, 100), closed=False)
    with pytest.raises(JobError, match="crosses itself"):
        check_clicks(clicks, line="hoop", picture="a.jpg", size=(100, 100), closed=True)
