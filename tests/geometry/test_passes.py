import numpy as np
import pytest
from scipy.interpolate import BSpline

from buckwright.geometry.passes import LongCurve, near_passes
from buckwright.geometry.spline import basis_matrix, even_knots, spline_curve


def segment(start: list[float], end: list[float]) -> BSpline:
    a, b = np.array(start), np.array(end)
    knots = even_knots(8, 3, 0.0, float(np.linalg.norm(b - a)), closed=False)
    means = np.array([knots[k + 1 : k + 4].mean() for k in range(8)]) / knots[-1]
    return spline_curve(knots, a + means[:, None] * (b - a), 3, closed=False)


def ring(radius: float) -> BSpline:
    knots = even_knots(60, 3, 0.0, 2.0 * np.pi * radius, closed=True)
    turn = 2.0 * np.pi * np.arange(60) / 60
    goal = radius * np.column_stack([np.cos(turn), np.sin(turn), 0 * turn])
    control = np.linalg.solve(basis_matrix(knots, 3, turn * radius, closed=True), goal)
    return spline_curve(knots, control, 3, closed=True)


def long(curve: BSpline, *, closed: bool = False, reach: float = 0.0) -> LongCurve:
    return LongCurve(curve, closed=closed, reach=reach, step=4.0)


def test_two_skew_lines_pass_at_their_common_normal() -> None:
    first = long(segment([0, 0, 0], [400, 0, 0]))
    second = long(segment([150, -200, 3], [150, 100, 3]))
    (one,) = near_passes(first, second, within=5.0)
    assert one.first == pytest.approx(150.0, abs=1e-9)
    assert one.second == pytest.approx(200.0, abs=1e-9)
    assert one.gap == pytest.approx(3.0, abs=1e-12)
    assert one.angle == pytest.approx(np.pi / 2)


def test_a_ring_is_met_twice_by_a_line_through_it() -> None:
    found = near_passes(
        long(ring(300.0), closed=True), long(segment([-500, 90, 1], [500, 90, 1])), within=4.0
    )
    assert len(found) == 2
    places = sorted(one.first / 300.0 for one in found)
    low = np.arcsin(0.3)
    np.testing.assert_allclose(places, [low, np.pi - low], atol=1e-4)
    np.testing.assert_allclose([one.gap for one in found], 1.0, atol=1e-6)


def test_a_line_that_stops_short_still_passes_when_lengthened() -> None:
    across = long(segment([0, -100, 0], [0, 100, 0]))
    short = segment([300, 0, 0], [20, 0, 0])
    assert near_passes(long(short), across, within=5.0) == ()
    (one,) = near_passes(long(short, reach=40.0), across, within=5.0)
    assert one.first == pytest.approx(300.0, abs=1e-9)


def test_lines_farther_apart_than_asked_do_not_pass() -> None:
    first = long(segment([0, 0, 0], [400, 0, 0]))
    second = long(segment([150, -200, 6], [150, 100, 6]))
    assert near_passes(first, second, within=5.0) == ()


def test_lines_along_each_other_pass_once_with_their_stretch() -> None:
    first = long(segment([0, 0, 0], [400, 0, 0]))
    second = long(segment([100, 0, 1], [300, 0, 2]))
    (one,) = near_passes(first, second, within=5.0)
    assert one.stretch[0] == pytest.approx(100.0, abs=12.0)
    assert one.stretch[1] == pytest.approx(300.0, abs=12.0)
    assert one.angle < 0.01
