import numpy as np
import pytest
from scipy.interpolate import BSpline

from buckwright.geometry.remap import refine_knots, remap_coordinate
from buckwright.geometry.spline import basis_matrix, even_knots, spline_curve


def curve(closed: bool) -> BSpline:
    knots = even_knots(20, 3, 0.0, 1.0, closed=closed)
    at = np.arange(20) / 20 if closed else np.array([k[1:4].mean() for k in _windows(knots)])
    turn = 2.0 * np.pi * at
    goal = np.column_stack([300 * np.cos(turn), 200 * np.sin(turn), 40 * np.sin(3 * turn)])
    return spline_curve(
        knots, np.linalg.solve(basis_matrix(knots, 3, at, closed=closed), goal), 3, closed=closed
    )


def _windows(knots: np.ndarray) -> list[np.ndarray]:
    return [knots[k : k + 5] for k in range(len(knots) - 4)]


def eased(at: np.ndarray) -> np.ndarray:
    part = np.clip((at + 100.0) / 200.0, 0.0, 1.0)
    return at + 50.0 * part**3 * (10.0 - 15.0 * part + 6.0 * part**2)


def outside(at: np.ndarray) -> np.ndarray:
    return np.abs(at) >= 100.0


@pytest.mark.parametrize("closed", [False, True])
def test_more_knots_leave_the_curve_where_it_is(closed: bool) -> None:
    one = curve(closed)
    knots, control = refine_knots(one, np.array([0.111, 0.5001, 0.87]), closed=closed)
    again = spline_curve(knots, control, 3, closed=closed)
    at = np.linspace(0.0, 1.0, 500)
    np.testing.assert_allclose(again(at), one(at), atol=1e-10)


@pytest.mark.parametrize("closed", [False, True])
def test_a_remapped_coordinate_is_exact_outside_and_close_inside(closed: bool) -> None:
    one = curve(closed)
    breaks = np.array([-100.0, 100.0])
    knots, control = remap_coordinate(one, 0, eased, breaks, outside, closed=closed)
    again = spline_curve(knots, control, 3, closed=closed)
    at = np.linspace(0.0, 1.0, 2001)
    before, after = one(at), again(at)
    gap = np.abs(after[:, 0] - eased(before[:, 0]))
    assert gap[outside(before[:, 0])].max() < 1e-9
    assert gap.max() < 5e-3
    np.testing.assert_allclose(after[:, 1:], before[:, 1:], atol=1e-9)


def test_a_curve_wholly_past_the_zone_is_only_shifted() -> None:
    one = curve(closed=True)
    far = BSpline(one.t, one.c + np.array([900.0, 0.0, 0.0]), 3, extrapolate="periodic")
    knots, control = remap_coordinate(
        far, 0, eased, np.array([-100.0, 100.0]), outside, closed=True
    )
    np.testing.assert_array_equal(knots, one.t)
    np.testing.assert_allclose(control - far.c[:20], [[50.0, 0.0, 0.0]] * 20, atol=1e-12)
