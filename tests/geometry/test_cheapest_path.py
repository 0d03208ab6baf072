"""The cheapest way across a table."""

from itertools import product

import numpy as np
import pytest

from buckwright.geometry.cheapest_path import cheapest_path


def price(cost: np.ndarray, way: tuple[int, ...], bend: float) -> float:
    turns = np.diff(way)
    return float(cost[np.arange(len(way)), way].sum() + bend * np.sum(turns**2))


@pytest.mark.parametrize("seed", range(5))
def test_no_other_way_is_cheaper(seed: int) -> None:
    cost = np.random.default_rng(seed).uniform(0.0, 1.0, (5, 5))
    way, least = cheapest_path(cost, reach=2, bend=0.1)
    every = [w for w in product(range(5), repeat=5) if np.abs(np.diff(w)).max() <= 2]
    assert least == pytest.approx(price(cost, tuple(way), 0.1))
    assert least == pytest.approx(min(price(cost, w, 0.1) for w in every))


def test_a_table_read_backwards_has_the_same_way() -> None:
    cost = np.random.default_rng(8).uniform(0.0, 1.0, (40, 21))
    way, least = cheapest_path(cost, reach=3, bend=0.05)
    back, same = cheapest_path(cost[::-1], reach=3, bend=0.05)
    assert np.array_equal(way, back[::-1])
    assert least == pytest.approx(same)


def test_an_empty_table_is_refused() -> None:
    with pytest.raises(ValueError, match="rows and columns"):
        cheapest_path(np.zeros((0, 4)), reach=1, bend=0.0)
