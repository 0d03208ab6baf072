"""Smooth curves through close points, and closest points on fine polylines."""

import numpy as np
import pytest

from buckwright.geometry.fit_curve import fit_close_points
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.geometry.polyline_locator import PolylineLocator


def _circle(radius: float, count: int, turn: float) -> np.ndarray:
    at = np.linspace(0.0, turn, count, endpoint=turn < 6.28)
    return radius * np.column_stack([np.cos(at), np.sin(at), 0.0 * at])


@pytest.mark.parametrize("turn", [2.0, 2.0 * np.pi])
def test_a_circle_is_kept_with_few_knots(turn: float) -> None:
    closed = turn > 6.28
    points = _circle(300.0, 201, turn)
    curve = fit_close_points(points, points, tolerances=(0.02, 0.02), closed=closed)
    at = np.linspace(0.0, float(curve.t[-curve.k - 1]), 999)
    found = curve(at)
    assert np.linalg.norm(found[:, :3], axis=1) == pytest.approx(300.0, abs=0.02)
    assert found[:, 3:] == pytest.approx(found[:, :3], abs=1e-6)
    assert len(curve.t) < 40
    if closed:
        assert curve(0.0) == pytest.approx(curve(at[-1]), abs=1e-9)


def test_noise_from_point_to_point_is_not_followed() -> None:
    points = _circle(500.0, 301, 1.5)
    points[:, 2] += 0.015 * (-1.0) ** np.arange(301)
    curve = fit_close_points(points, points[:, :1], tolerances=(0.02, 1.0), closed=False)
    found = curve(np.linspace(0.0, float(curve.t[-1]), 2001))
    assert np.abs(found[20:-20, 2]).max() < 0.004


def test_a_curve_needs_two_points() -> None:
    with pytest.raises(ValueError, match="two distinct"):
        fit_close_points(np.zeros((3, 3)), np.zeros((3, 1)), tolerances=(1, 1), closed=False)


def test_the_locator_agrees_with_looking_at_every_piece() -> None:
    at = np.linspace(0.0, 6.0, 400)
    points = np.column_stack([100.0 * np.cos(at), 80.0 * np.sin(at), 10.0 * at])
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    queries = points[::7] + np.array([5.0, -3.0, 4.0])
    gap, foot, where = PolylineLocator(points, along).closest(queries)
    expected = closest_on_polyline(queries, points)
    assert gap == pytest.approx(expected[0])
    assert foot == pytest.approx(expected[1])
    assert where == pytest.approx(expected[2])


def test_few_points_are_not_swung_through() -> None:
    points = _circle(60.0, 41, 1.2)[[0, 1, 14, 15, 28, 40]]
    curve = fit_close_points(points, points, tolerances=(0.02, 0.02), closed=False)
    found = np.asarray(curve(np.linspace(0.0, float(curve.t[-1]), 500)))[:, :3]
    length = np.linalg.norm(np.diff(found, axis=0), axis=1).sum()
    assert length == pytest.approx(60.0 * 1.2, rel=0.02)
