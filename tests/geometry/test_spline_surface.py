import numpy as np
import pytest
from scipy.interpolate import BSpline

from buckwright.geometry.spline_surface import fit_surface
from meshes_on_paper import MOVES, over_rectangle


def _wave(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    return np.column_stack([u, v, 30.0 * np.sin(u / 200.0) * np.cos(v / 150.0)])


def _fit(step: float = 25.0, spacing: float = 50.0) -> tuple:
    points, _, chart = over_rectangle(_wave, 600.0, 400.0, step)
    weights = np.ones(len(points))
    return points, chart, fit_surface(chart, points, weights=weights, spacing=spacing)


def test_a_cubic_is_followed_though_smoothing_costs_it_a_little() -> None:
    points, _, chart = over_rectangle(
        lambda u, v: np.column_stack([u, v, 1e-6 * u**3 - 2e-6 * u * u * v + 1e-4 * v * v]),
        600.0,
        400.0,
        30.0,
    )
    weights = np.ones(len(points))
    surface = fit_surface(chart, points, weights=weights, spacing=80.0)
    assert surface.points(chart) == pytest.approx(points, abs=0.01)


def test_a_wave_is_followed_between_the_points_too() -> None:
    _, _, surface = _fit()
    rng = np.random.default_rng(1)
    between = rng.uniform([-290.0, -190.0], [290.0, 190.0], (300, 2))
    assert surface.points(between) == pytest.approx(_wave(*between.T), abs=0.02)


def test_the_surface_reaches_beyond_the_points() -> None:
    _, chart, surface = _fit()
    for knots, at in zip((surface.knots_u, surface.knots_v), chart.T, strict=True):
        assert knots[0] < at.min() - 40.0
        assert knots[-1] > at.max() + 40.0
        assert np.all(knots[:4] == knots[0])
        assert np.all(knots[-4:] == knots[-1])


def test_points_are_those_of_the_tensor_product() -> None:
    _, _, surface = _fit()
    at = np.array([[13.0, -77.0], [250.0, 180.0]])
    rows = BSpline(surface.knots_v, np.moveaxis(surface.control, 1, 0), 3)(at[:, 1])
    expected = [BSpline(surface.knots_u, row, 3)(u) for row, u in zip(rows, at[:, 0], strict=True)]
    assert surface.points(at) == pytest.approx(np.array(expected))


def test_derivatives_are_those_of_the_surface() -> None:
    _, _, surface = _fit()
    at, h = np.array([[13.0, -77.0], [250.0, 180.0]]), 1e-3
    for axis, order in ((0, (1, 0)), (1, (0, 1))):
        step = h * np.eye(2)[axis]
        slope = (surface.points(at + step) - surface.points(at - step)) / (2.0 * h)
        assert surface.points(at, along=order) == pytest.approx(slope, abs=1e-6)
    bend = surface.points(at, along=(2, 0))[:, 2]
    assert bend == pytest.approx(-_wave(*at.T)[:, 2] / 200.0**2, rel=0.05)


def test_normals_are_upright_on_the_left_of_u_and_v() -> None:
    _, chart, surface = _fit()
    normals = surface.normals(chart)
    assert normals[:, 2].min() > 0.9
    assert np.linalg.norm(normals, axis=1) == pytest.approx(1.0)


@pytest.mark.parametrize("name", MOVES)
def test_the_surface_moves_with_its_points(name: str) -> None:
    points, chart, surface = _fit(40.0, 80.0)
    move = MOVES[name]
    weights = np.ones(len(points))
    moved = fit_surface(chart, move(points), weights=weights, spacing=80.0)
    assert moved.points(chart) == pytest.approx(move(surface.points(chart)), abs=1e-4)


def test_heavy_points_are_followed_more_closely() -> None:
    points, _, chart = over_rectangle(_wave, 600.0, 400.0, 25.0)
    odd = points.copy()
    middle = int(np.argmin(np.linalg.norm(chart, axis=1)))
    odd[middle, 2] += 5.0
    offs = []
    for weight in (1.0, 1e4):
        weights = np.ones(len(points))
        weights[middle] = weight
        surface = fit_surface(chart, odd, weights=weights, spacing=50.0)
        offs.append(abs(surface.points(chart[middle][None])[0, 2] - odd[middle, 2]))
    assert offs[1] < 0.05 * offs[0]
