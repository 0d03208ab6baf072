import numpy as np
import pytest

from buckwright.lines.band import hold_in_band
from buckwright.lines.batten import Batten, choose_stiffness, lay_batten


def wave(
    count: int, *, alike: float, draw: int = 0, fine: int = 1
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Exact and noisy points of a long wave, errors of 1 mm alike over `alike` mm."""
    rng = np.random.default_rng(draw)
    x = np.linspace(0.0, 2000.0, count)
    size, ways = np.linalg.eigh(np.exp(-0.5 * (np.subtract.outer(x, x) / alike) ** 2))
    error = (ways * np.sqrt(np.maximum(size, 0.0))) @ rng.normal(size=(count, 2))
    exact = np.column_stack([x, 30.0 * np.sin(x / 400.0), 0.0 * x])
    noisy = exact + np.column_stack([np.zeros(count), error])
    return x[::fine], exact[::fine], noisy[::fine]


def laid(x: np.ndarray, points: np.ndarray) -> Batten:
    sigma = np.ones(len(x))
    return lay_batten(points, sigma, x, start=0.0, end=2000.0, count=40, closed=False)


def test_stiffer_battens_spend_less_freedom_and_miss_the_points_more() -> None:
    x, _, noisy = wave(80, alike=1.0)
    batten = laid(x, noisy)
    tries = batten.floor * 10.0 ** np.arange(1.0, 10.5, 0.5)[:, None] * np.ones(2)
    freedom = np.array([batten.freedom(stiff)[0] for stiff in tries])
    misfit = np.array([batten.misfit(batten.bend(stiff)) for stiff in tries])
    assert np.all(np.diff(freedom) < 0.0)
    assert np.all(np.diff(misfit) > 0.0)
    assert freedom.min() > 3.0 - 1e-3
    assert freedom.max() <= 40.0


def test_a_batten_at_rest_is_cheaper_than_any_other_near_it() -> None:
    x, _, noisy = wave(60, alike=1.0)
    batten = laid(x, noisy)
    stiffness = choose_stiffness(batten)
    rest = batten.bend(stiffness)

    def cost(control: np.ndarray) -> float:
        third = (batten.third @ control) @ batten.axes.T
        bending = (batten.limber[:, None] * third**2).sum(axis=0)
        return batten.misfit(control) + float(stiffness[[0, 0, 1]] @ bending)

    rng = np.random.default_rng(3)
    for _ in range(20):
        assert cost(rest + rng.normal(scale=0.05, size=rest.shape)) > cost(rest)


@pytest.mark.parametrize("alike", [1.0, 80.0])
def test_the_chosen_stiffness_is_nearly_the_best_there_is(alike: float) -> None:
    ours, best = [], []
    for draw in range(12):
        x, exact, noisy = wave(100, alike=alike, draw=draw)
        batten = laid(x, noisy)

        def error(
            stiffness: np.ndarray, exact: np.ndarray = exact, batten: Batten = batten
        ) -> float:
            gap = batten.basis @ batten.bend(stiffness) - exact
            return float(np.sqrt(np.mean((gap**2).sum(axis=1))))

        ours.append(error(choose_stiffness(batten)))
        tries = batten.floor * 10.0 ** np.arange(1.0, 10.5, 0.5)
        best.append(min(error(np.array([s, t])) for s in tries for t in tries))
    assert np.mean(ours) < 1.15 * np.mean(best)


def test_sampling_the_same_errors_more_densely_changes_little() -> None:
    for draw in range(6):
        dense = laid(*wave(241, alike=80.0, draw=draw)[::2])
        sparse = laid(*wave(241, alike=80.0, draw=draw, fine=3)[::2])
        at = np.linspace(0.0, 2000.0, 101)
        one = dense.rows(at) @ dense.bend(choose_stiffness(dense))
        other = sparse.rows(at) @ sparse.bend(choose_stiffness(sparse))
        assert np.sqrt(np.mean((one - other) ** 2)) < 0.25


def test_drawing_a_batten_to_a_place_moves_it_there_and_least_elsewhere() -> None:
    x, _, noisy = wave(60, alike=1.0)
    batten = laid(x, noisy)
    stiffness = choose_stiffness(batten)
    rows = batten.rows(np.array([500.0, 1200.0]))
    moves = np.array([[0.0, 2.0, 0.0], [0.0, 0.0, -1.0]])
    change = batten.draw(rows, moves, stiffness)
    np.testing.assert_allclose(rows @ change, moves, atol=1e-9)
    moved = np.linalg.norm(batten.rows(np.linspace(0.0, 2000.0, 201)) @ change, axis=1)
    assert moved.max() < 3.0


def test_a_narrow_band_holds_every_point_and_a_wide_one_changes_nothing() -> None:
    x, _, noisy = wave(60, alike=1.0)
    batten = laid(x, noisy)
    stiffness = 1e9 * batten.floor * np.ones(2)
    rest = batten.bend(stiffness)
    none = np.empty(0)
    same, wide = hold_in_band(batten, rest, stiffness, half_width=np.full(60, 99.0), pins=none)
    np.testing.assert_array_equal(same, rest)
    assert wide.pressed == 0
    free = np.linalg.norm((batten.basis @ rest - noisy)[:, 1:], axis=1).max()
    narrow = np.full(60, 0.8 * free)
    held, band = hold_in_band(batten, rest, stiffness, half_width=narrow, pins=none)
    gap = np.linalg.norm((batten.basis @ held - noisy)[:, 1:], axis=1)
    assert band.pressed > 0
    assert band.most_outside < 1e-3
    assert gap.max() < 0.801 * free


def test_pins_stay_where_they_are_while_the_band_is_brought_to_hold() -> None:
    x, _, noisy = wave(60, alike=1.0)
    batten = laid(x, noisy)
    stiffness = 1e9 * batten.floor * np.ones(2)
    rest = batten.bend(stiffness)
    pins = np.array([0.0, 1000.0])
    free = np.linalg.norm((batten.basis @ rest - noisy)[:, 1:], axis=1).max()
    narrow = np.full(60, 0.9 * free)
    held, band = hold_in_band(batten, rest, stiffness, half_width=narrow, pins=pins)
    assert band.pressed > 0
    np.testing.assert_allclose(batten.rows(pins) @ held, batten.rows(pins) @ rest, atol=1e-5)


def test_a_pin_outside_the_band_wins_and_is_told() -> None:
    x, exact, noisy = wave(60, alike=1.0)
    batten = laid(x, noisy)
    stiffness = choose_stiffness(batten)
    rest = batten.bend(stiffness)
    pin = x[[30]]
    rest = rest + batten.draw(
        batten.rows(pin), exact[[30]] + [0.0, 12.0, 0.0] - batten.rows(pin) @ rest, stiffness
    )
    held, band = hold_in_band(batten, rest, stiffness, half_width=np.full(60, 4.0), pins=pin)
    np.testing.assert_allclose(batten.rows(pin) @ held, batten.rows(pin) @ rest, atol=1e-5)
    assert band.most_outside > 3.0
