import numpy as np
import pytest
from scipy.interpolate import BSpline

from buckwright.geometry.spline import (
    basis_matrix,
    closest_parameters,
    curvature_extrema,
    curve_length,
    domain,
    even_knots,
    foot_parameters,
    length_table,
    signed_curvature,
    spline_curve,
    tangents,
)


def wavy(closed: bool) -> BSpline:
    knots = even_knots(12, 3, 0.0, 100.0, closed=closed)
    turn = 2.0 * np.pi * np.arange(12) / 12
    control = np.column_stack([40 * np.cos(turn), 25 * np.sin(turn), 5 * np.sin(2 * turn)])
    return spline_curve(knots, control, 3, closed=closed)


def test_an_open_curve_ends_on_its_end_control_points() -> None:
    curve = wavy(closed=False)
    start, end = domain(curve)
    assert (start, end) == (0.0, 100.0)
    np.testing.assert_allclose(curve(start), curve.c[0], atol=1e-12)
    np.testing.assert_allclose(curve(end), curve.c[-1], atol=1e-12)


def test_a_closed_curve_joins_with_the_same_curvature() -> None:
    curve = wavy(closed=True)
    for derivative in range(3):
        np.testing.assert_allclose(
            curve(0.0, nu=derivative), curve(100.0, nu=derivative), atol=1e-12
        )


@pytest.mark.parametrize("closed", [False, True])
def test_the_basis_gives_the_curve_and_its_derivatives(closed: bool) -> None:
    curve = wavy(closed)
    at = np.linspace(0.0, 99.9, 57)
    control = curve.c[:12]
    for derivative in range(4):
        rows = basis_matrix(curve.t, 3, at, derivative=derivative, closed=closed)
        np.testing.assert_allclose(rows @ control, curve(at, nu=derivative), atol=1e-12)


@pytest.mark.parametrize("closed", [False, True])
def test_feet_of_points_on_normals_are_found_again(closed: bool) -> None:
    curve = wavy(closed)
    at = np.linspace(3.0, 97.0, 41)
    run = tangents(curve, at)
    across = np.cross(run, [0.3, -0.2, 0.9])
    points = curve(at) + 0.8 * across / np.linalg.norm(across, axis=1, keepdims=True)
    np.testing.assert_allclose(
        foot_parameters(curve, points, at + 1.0, closed=closed, rounds=12), at, atol=1e-6
    )
    found, distance = closest_parameters(curve, points, closed=closed)
    np.testing.assert_allclose(distance, 0.8, atol=1e-6)
    np.testing.assert_allclose(found, at, atol=1e-4)


def test_a_point_past_an_end_has_a_foot_on_the_end_tangent() -> None:
    curve = wavy(closed=False)
    run = curve(100.0, nu=1)
    past = curve(100.0) + 7.0 * run
    foot = foot_parameters(curve, past[None], np.array([99.0]), closed=False, rounds=12)
    assert foot[0] == pytest.approx(107.0, abs=1e-9)
    held, distance = closest_parameters(curve, (curve(100.0) + 0.2 * run)[None], closed=False)
    assert held[0] == pytest.approx(100.0)
    assert distance[0] == pytest.approx(0.2 * np.linalg.norm(run))


def test_length_is_the_same_from_the_table_and_from_a_fine_polyline() -> None:
    curve = wavy(closed=True)
    fine = np.linalg.norm(np.diff(curve(np.linspace(0.0, 100.0, 20001)), axis=0), axis=1).sum()
    assert curve_length(curve) == pytest.approx(fine, rel=1e-7)
    knots, lengths = length_table(curve)
    assert len(knots) == len(lengths) == 13
    assert np.all(np.diff(lengths) > 0.0)


def test_curvature_changes_its_sign_at_an_inflexion_and_keeps_it_elsewhere() -> None:
    x = np.linspace(0.0, 2.0 * np.pi, 200)
    knots = even_knots(60, 3, 0.0, 2.0 * np.pi, closed=False)
    rows = basis_matrix(knots, 3, x)
    control = np.linalg.lstsq(rows, np.column_stack([x, np.sin(x), 0 * x]), rcond=None)[0]
    curve = spline_curve(knots, control, 3, closed=False)
    at = np.linspace(0.1, 2.0 * np.pi - 0.1, 400)
    bend = signed_curvature(curve, at)
    exact = np.sin(at) / (1.0 + np.cos(at) ** 2) ** 1.5
    np.testing.assert_allclose(bend, exact, atol=2e-3)
    assert curvature_extrema(curve, closed=False) == 2


def test_an_ellipse_has_four_curvature_extrema_and_a_straight_line_none() -> None:
    knots = even_knots(80, 3, 0.0, 1.0, closed=True)
    at = np.arange(80) / 80
    goal = np.column_stack([3.0 * np.cos(2 * np.pi * at), np.sin(2 * np.pi * at), 0 * at])
    control = np.linalg.solve(basis_matrix(knots, 3, at, closed=True), 100.0 * goal)
    assert curvature_extrema(spline_curve(knots, control, 3, closed=True), closed=True) == 4
    knots = even_knots(9, 3, 0.0, 1.0, closed=False)
    straight = np.outer(np.linspace(0.0, 1.0, 9), [300.0, 20.0, -5.0])
    assert curvature_extrema(spline_curve(knots, straight, 3, closed=False), closed=False) == 0
