"""Projection: every derivative against differences, every inverse against what it undoes."""

import cv2
import numpy as np
import pytest

from buckwright.geometry.camera import (
    camera_centre,
    distort,
    project,
    project_slopes,
    rotation_matrix,
    turn_slopes,
    undistort,
)

LENS = np.array([0.11, -0.28, 0.0006, -0.0004, 0.17])
TURN, SHIFT = np.array([1.9, 0.4, -0.2]), np.array([-210.0, 35.0, 640.0])
CAMERA = {
    "turn": TURN,
    "shift": SHIFT,
    "focal": np.array(3050.0),
    "principal": np.array([2022.0, 1502.0]),
    "lens": LENS,
}


@pytest.fixture
def points():
    return np.random.default_rng(7).uniform([0.0, -390.0, 0.0], [570.0, 0.0, 200.0], (40, 3))


def differences(change, size, width):
    """Central differences of `change(step)` (n, 2) by the entries of a step (width,)."""
    columns = []
    for k in range(width):
        step = np.zeros(width)
        step[k] = size
        columns.append((change(step) - change(-step)) / (2.0 * size))
    return np.stack(columns, axis=-1)


@pytest.mark.parametrize("angle", [0.0, 1e-6, 0.3, 2.9])
def test_a_rotation_vector_means_what_opencv_means(angle):
    vector = angle * np.array([0.6, -0.64, 0.48])
    theirs, _ = cv2.Rodrigues(vector)
    np.testing.assert_allclose(rotation_matrix(vector), theirs, atol=1e-12)


@pytest.mark.parametrize("angle", [0.0, 3e-5, 0.3, 2.9])
def test_a_turned_point_moves_with_the_rotation_vector_as_its_slope_says(points, angle):
    vector = angle * np.array([0.6, -0.64, 0.48])
    found = turn_slopes(vector, points)
    expected = differences(lambda step: points @ rotation_matrix(vector + step).T, 1e-5, 3)
    np.testing.assert_allclose(found, expected, atol=1e-5)


def test_pixels_move_as_their_slopes_say(points):
    slopes = project_slopes(points, **CAMERA)
    np.testing.assert_allclose(slopes.px, project(points, **CAMERA), atol=1e-9)
    by_turn = differences(lambda s: project(points, **CAMERA | {"turn": TURN + s}), 1e-6, 3)
    by_shift = differences(lambda s: project(points, **CAMERA | {"shift": SHIFT + s}), 1e-3, 3)
    by_point = differences(lambda s: project(points + s, **CAMERA), 1e-3, 3)
    by_lens = differences(lambda s: project(points, **CAMERA | {"lens": LENS + s}), 1e-6, 5)
    by_focal = differences(
        lambda s: project(points, **CAMERA | {"focal": CAMERA["focal"] + s[0]}), 1e-2, 1
    )
    np.testing.assert_allclose(slopes.by_turn, by_turn, rtol=1e-5, atol=1e-3)
    np.testing.assert_allclose(slopes.by_shift, by_shift, rtol=1e-6, atol=1e-6)
    np.testing.assert_allclose(slopes.by_point, by_point, rtol=1e-6, atol=1e-6)
    np.testing.assert_allclose(slopes.by_lens, by_lens, rtol=1e-6, atol=1e-4)
    np.testing.assert_allclose(slopes.by_focal, by_focal[:, :, 0], rtol=1e-6, atol=1e-8)


def test_each_point_may_have_a_camera_of_its_own(points):
    count = len(points)
    many = {name: np.broadcast_to(value, (count, *value.shape)) for name, value in CAMERA.items()}
    np.testing.assert_allclose(project(points, **many), project(points, **CAMERA), atol=1e-9)


def test_taking_the_lens_out_undoes_putting_it_in():
    flat = np.random.default_rng(3).uniform(-0.6, 0.6, (500, 2))
    np.testing.assert_allclose(undistort(distort(flat, LENS), LENS), flat, atol=1e-11)


def test_a_lens_that_folds_over_is_refused():
    with pytest.raises(ValueError, match="no inverse"):
        undistort(np.array([[2.0, 0.0]]), np.array([-0.6, 0.0, 0.0, 0.0, 0.0]))


def test_the_centre_of_a_camera_is_seen_at_its_own_origin():
    centre = camera_centre(TURN, SHIFT)
    np.testing.assert_allclose(rotation_matrix(TURN) @ centre + SHIFT, 0.0, atol=1e-10)
