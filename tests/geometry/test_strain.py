import numpy as np
import pytest

from buckwright.geometry.flat_energy import FlatEnergy, longest_step
from buckwright.geometry.strain import (
    greatest_measure,
    hencky_measure,
    map_matrices,
    shape_gradients,
    stretch_of,
    symmetric_measure,
)
from discs_on_paper import bumpy, cap

MEASURES = [hencky_measure, symmetric_measure, greatest_measure(4.0, 0.3)]


def linear_maps(rng: np.random.Generator, count: int) -> np.ndarray:
    return np.eye(2) + rng.uniform(-0.4, 0.4, (count, 2, 2))


def one_triangle_each(maps: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Separate triangles in space and their images under the maps."""
    corners = np.array([[0.0, 0.0], [3.0, 0.2], [0.7, 2.0]])
    flat = np.einsum("mij,kj->mki", maps, corners).reshape(-1, 2)
    space = np.tile(np.column_stack([corners, np.zeros(3)]), (len(maps), 1))
    return space, flat, np.arange(3 * len(maps)).reshape(-1, 3)


def test_singular_values_and_directions_are_those_of_numpy() -> None:
    maps = linear_maps(np.random.default_rng(1), 200)
    space, flat, triangles = one_triangle_each(maps)
    _, gradients = shape_gradients(space, triangles)
    stretch = stretch_of(flat, triangles, map_matrices(gradients))
    left, values, _ = np.linalg.svd(maps)
    assert np.allclose(stretch.major, values[:, 0], atol=1e-12)
    assert np.allclose(stretch.minor, np.sign(np.linalg.det(maps)) * values[:, 1], atol=1e-12)
    angle = stretch.major_angle()
    along = np.abs(
        np.einsum("mi,mi->m", np.stack([np.cos(angle), np.sin(angle)], 1), left[:, :, 0])
    )
    # The frame of each triangle is turned, which does not touch the left singular vectors.
    assert along.min() > 1.0 - 1e-9


def test_a_flipped_triangle_has_a_negative_minor_stretch() -> None:
    space, flat, triangles = one_triangle_each(np.diag([1.0, -1.0])[None])
    _, gradients = shape_gradients(space, triangles)
    stretch = stretch_of(flat, triangles, map_matrices(gradients))
    assert stretch.minor[0] == pytest.approx(-1.0)
    assert FlatEnergy(space, triangles, hencky_measure).value(flat) == np.inf


@pytest.mark.parametrize("measure", MEASURES)
def test_slopes_and_second_derivatives_of_measures_are_their_differences(measure) -> None:
    rng = np.random.default_rng(2)
    e1, e2 = rng.uniform(-0.5, 0.5, (2, 50))
    step = 1e-5
    value, g1, g2, g11, g12, g22 = measure(e1, e2)
    up, down = measure(e1 + step, e2), measure(e1 - step, e2)
    over, under = measure(e1, e2 + step), measure(e1, e2 - step)
    for got, high, low, part in [
        (g1, up, down, 0), (g2, over, under, 0),
        (g11, up, down, 1), (g12, over, under, 1), (g22, over, under, 2),
    ]:  # fmt: skip
        wanted = (high[part] - low[part]) / (2.0 * step)
        assert np.allclose(got, wanted, rtol=1e-5, atol=1e-5 * np.abs(value).max() + 1e-8)


@pytest.mark.parametrize("measure", MEASURES)
def test_the_slope_of_the_energy_is_its_difference(measure) -> None:
    vertices, triangles = bumpy(3, rings=3)
    energy = FlatEnergy(vertices, triangles, measure)
    flat = vertices[:, :2] * 1.05
    _, slope, _ = energy.derivatives(flat)
    rng = np.random.default_rng(4)
    for _ in range(5):
        step = rng.normal(size=flat.shape)
        change = (energy.value(flat + 1e-4 * step) - energy.value(flat - 1e-4 * step)) / 2e-4
        assert slope @ step.ravel() == pytest.approx(change, rel=1e-5, abs=1e-7)


def test_second_derivatives_are_exact_where_they_are_positive_anyway() -> None:
    vertices, triangles = cap(4, 0.4)
    energy = FlatEnergy(vertices, triangles, symmetric_measure)
    flat = vertices[:, :2] * 1.3
    _, _, second = energy.derivatives(flat)
    dense = second.toarray()
    assert np.allclose(dense, dense.T)
    step, rng = 1e-3, np.random.default_rng(5)
    shift = rng.normal(size=flat.shape)
    up, down = (energy.derivatives(flat + s * step * shift)[1] for s in (1.0, -1.0))
    assert np.allclose(dense @ shift.ravel(), (up - down) / (2 * step), rtol=1e-5, atol=1e-6)


@pytest.mark.parametrize("measure", MEASURES)
def test_second_derivatives_are_never_negative(measure) -> None:
    vertices, triangles = bumpy(6, rings=3)
    energy = FlatEnergy(vertices, triangles, measure)
    flat = vertices[:, :2] * np.array([2.5, 0.6])
    dense = energy.derivatives(flat)[2].toarray()
    values = np.linalg.eigvalsh(dense)
    assert values.min() > -1e-10 * values.max()


def test_a_triangle_loses_its_area_exactly_at_the_longest_step() -> None:
    rng = np.random.default_rng(7)
    for _ in range(50):
        flat = np.array([[0.0, 0.0], [1.0, 0.0], [0.3, 0.8]])
        step = rng.normal(size=(3, 2))
        reach = longest_step(flat, np.array([[0, 1, 2]]), step)
        doubles = [
            np.linalg.det((flat + t * step)[1:] - (flat + t * step)[0])
            for t in np.linspace(0.0, min(reach, 50.0), 200)[:-1]
        ]
        assert min(doubles) > 0.0
        if np.isfinite(reach):
            end = flat + reach * step
            assert abs(np.linalg.det(end[1:] - end[0])) < 1e-9 * max(1.0, reach**2)


def test_a_shift_never_flips_anything() -> None:
    flat = np.array([[0.0, 0.0], [1.0, 0.0], [0.3, 0.8]])
    assert longest_step(flat, np.array([[0, 1, 2]]), np.ones((3, 2))) == np.inf


def test_a_triangle_without_area_is_refused() -> None:
    with pytest.raises(ValueError, match="no area"):
        shape_gradients(np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0]]), np.array([[0, 1, 2]]))
