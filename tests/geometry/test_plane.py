import numpy as np
import pytest

from buckwright.geometry.plane import fit_plane, project


def leaf(rng):
    flat = rng.normal(size=(80, 2)) * (300.0, 60.0)
    return np.column_stack([flat, rng.normal(size=80) * 0.1])


def rotation(rng):
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    return turn * np.sign(np.linalg.det(turn))


def test_the_axes_are_right_handed_and_u_runs_the_long_way():
    plane = fit_plane(leaf(np.random.default_rng(1)))
    np.testing.assert_allclose(plane.axes @ plane.axes.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(plane.axes) == pytest.approx(1.0)
    assert abs(plane.axes[0, 0]) > 0.99
    assert plane.axes[2, 2] > 0.99


def test_turned_and_shifted_points_keep_their_heights():
    rng = np.random.default_rng(2)
    points, turn = leaf(rng), rotation(rng)
    _, plain = project(points, fit_plane(points))
    moved = points @ turn.T + (1e4, -500.0, 30.0)
    _, heights = project(moved, fit_plane(moved))
    np.testing.assert_allclose(np.abs(heights), np.abs(plain), atol=1e-8)


def test_distances_in_the_plane_are_true_to_scale():
    points = np.array([[0.0, 0.0, 5.0], [300.0, 0.0, 5.0], [300.0, 40.0, 5.0], [0.0, 40.0, 5.0]])
    flat, heights = project(points, fit_plane(points))
    np.testing.assert_allclose(heights, 0.0, atol=1e-9)
    assert np.linalg.norm(flat[0] - flat[1]) == pytest.approx(300.0)
    assert np.linalg.norm(flat[1] - flat[2]) == pytest.approx(40.0)


def test_u_keeps_the_sense_of_the_points_and_turns_with_them():
    points = np.column_stack([np.linspace(0.0, 500.0, 30), np.zeros(30), np.zeros(30)])
    assert fit_plane(points).axes[0] @ (1.0, 0.0, 0.0) == pytest.approx(1.0)
    assert fit_plane(points[::-1]).axes[0] @ (1.0, 0.0, 0.0) == pytest.approx(-1.0)


def test_mirrored_points_lie_in_the_mirrored_plane():
    points = leaf(np.random.default_rng(3)) @ rotation(np.random.default_rng(4)).T
    mirror = np.array([1.0, -1.0, 1.0])
    one, other = fit_plane(points).axes[2], fit_plane(points * mirror).axes[2]
    assert abs(one @ (other * mirror)) == pytest.approx(1.0)


def test_one_point_has_no_plane():
    with pytest.raises(ValueError, match="two points"):
        fit_plane(np.zeros((1, 3)))
