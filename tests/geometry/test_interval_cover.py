"""The fewest points that serve all intervals, with the proof that there are no fewer."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buckwright.geometry.interval_cover import fewest_offered, fewest_points

INTERVALS = st.lists(
    st.tuples(st.integers(-20, 20), st.integers(0, 9)), min_size=1, max_size=12
).map(lambda pairs: np.array([(a, a + w) for a, w in pairs], dtype=float))


def served(points: np.ndarray, intervals: np.ndarray) -> np.ndarray:
    return np.any((intervals[:, :1] <= points) & (points <= intervals[:, 1:]), axis=1)


@given(INTERVALS)
def test_one_point_out_of_each_range_serves_every_interval(intervals: np.ndarray) -> None:
    ranges, _ = fewest_points(*intervals.T)
    assert np.all(ranges[:, 0] <= ranges[:, 1])
    for share in (0.0, 0.37, 1.0):
        assert served(ranges[:, 0] + share * np.ptp(ranges, axis=1), intervals).all()


@given(INTERVALS)
def test_the_proof_is_as_many_intervals_that_no_two_share_a_point(intervals: np.ndarray) -> None:
    ranges, proof = fewest_points(*intervals.T)
    assert len(proof) == len(ranges)
    for one, other in combinations(intervals[proof], 2):
        assert one[1] < other[0] or other[1] < one[0]


@given(INTERVALS, st.lists(st.integers(-22, 30), min_size=1, max_size=9).map(np.array))
def test_offered_points_are_as_few_as_trying_every_choice_finds(
    intervals: np.ndarray, offered: np.ndarray
) -> None:
    points, proof, unserved = fewest_offered(*intervals.T, offered.astype(float))
    assert set(points) <= set(offered)
    some = np.delete(intervals, unserved, axis=0)
    assert not served(offered, intervals[unserved]).any()
    assert len(proof) == len(points)
    if len(some):
        assert served(points, some).all()
        choices = sorted(set(offered.tolist()))
        least = next(
            count
            for count in range(1, len(choices) + 1)
            if any(served(np.array(c), some).all() for c in combinations(choices, count))
        )
        assert len(points) == least
    else:
        assert len(points) == 0


def test_shifted_scaled_and_mirrored_intervals_take_as_many_points() -> None:
    low = np.random.default_rng(5).uniform(0.0, 100.0, 60)
    high = low + 7.0
    count = len(fewest_points(low, high)[0])
    assert len(fewest_points(low + 31.0, high + 31.0)[0]) == count
    assert len(fewest_points(3.0 * low, 3.0 * high)[0]) == count
    assert len(fewest_points(-high, -low)[0]) == count


def test_no_interval_needs_no_point_and_an_empty_interval_is_refused() -> None:
    none = np.zeros(0)
    assert fewest_points(none, none)[0].shape == (0, 2)
    with pytest.raises(ValueError, match="before it begins"):
        fewest_points(np.array([1.0]), np.array([0.0]))
