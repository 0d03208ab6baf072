import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from buckwright.geometry import polyline
from buckwright.geometry.polyline import (
    arc_lengths,
    closest_on_polyline,
    crossing_of_polylines,
    polyline_length,
    resample_polyline,
)
from meshes_on_paper import MOVES

BENT = np.array([[0.0, 0, 0], [3, 0, 0], [3, 4, 0], [3, 4, 12]])


def test_lengths_add_up() -> None:
    assert arc_lengths(BENT) == pytest.approx([0.0, 3.0, 7.0, 19.0])
    assert arc_lengths(BENT, closed=True)[-1] == pytest.approx(32.0)
    assert polyline_length(BENT) == pytest.approx(19.0)
    assert polyline_length(BENT[::-1]) == pytest.approx(19.0)


def test_the_perimeter_of_a_polygon_of_many_sides_is_that_of_the_circle() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 2000, endpoint=False)
    circle = np.column_stack([np.cos(turn), np.sin(turn)])
    assert polyline_length(circle, closed=True) == pytest.approx(2.0 * np.pi, rel=1e-6)


def test_resampling_keeps_ends_and_spaces_points_evenly() -> None:
    found = resample_polyline(BENT, 20)
    assert found[[0, -1]] == pytest.approx(BENT[[0, -1]])
    _, _, along = closest_on_polyline(found, BENT)
    assert np.diff(along) == pytest.approx(np.full(19, 1.0))
    ring = resample_polyline(BENT, 32, closed=True)
    assert ring[0] == pytest.approx(BENT[0])
    assert len(np.unique(ring.round(9), axis=0)) == 32


@pytest.mark.parametrize("count", [0, 1])
def test_resampling_to_less_than_two_points_is_refused(count: int) -> None:
    with pytest.raises(ValueError, match="two points"):
        resample_polyline(BENT, count)


def test_resampling_a_point_is_refused() -> None:
    with pytest.raises(ValueError, match="two points"):
        resample_polyline(BENT[:1], 5)
    with pytest.raises(ValueError, match="without length"):
        resample_polyline(np.zeros((3, 2)), 5)


def test_closest_points_lie_on_sides_corners_and_the_closing_side() -> None:
    asked = np.array([[1.0, 1.0, 0.0], [5.0, -1.0, 0.0], [3.5, 4.5, 20.0], [0.0, 0.0, 6.0]])
    gap, found, along = closest_on_polyline(asked, BENT)
    assert found[:3] == pytest.approx(np.array([[1.0, 0, 0], [3, 0, 0], [3, 4, 12]]))
    assert along[:3] == pytest.approx([1.0, 3.0, 19.0])
    assert gap[1] == pytest.approx(np.sqrt(5.0))
    closed_gap, closed_found, closed_along = closest_on_polyline(asked, BENT, closed=True)
    assert closed_gap[3] < gap[3]
    assert 19.0 < closed_along[3] < 32.0
    assert closed_found[3] == pytest.approx(BENT[3] * (1.0 - (closed_along[3] - 19.0) / 13.0))


def test_many_queries_are_answered_as_few_are(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(3)
    path, asked = rng.normal(size=(40, 3)).cumsum(axis=0), rng.normal(size=(200, 3)) * 5.0
    whole = closest_on_polyline(asked, path)
    monkeypatch.setattr(polyline, "BLOCK", 100)
    for part, one in zip(closest_on_polyline(asked, path), whole, strict=True):
        assert part == pytest.approx(one)


@pytest.mark.parametrize("name", MOVES)
def test_closest_points_move_with_the_polyline(name: str) -> None:
    move = MOVES[name]
    asked = np.array([[1.0, 1.0, 0.4], [5.0, -1.0, 2.0]])
    scale = 2.5 if name == "scale" else 1.0
    gap, found, along = closest_on_polyline(asked, BENT)
    moved = closest_on_polyline(move(asked), move(BENT))
    assert moved[0] == pytest.approx(scale * gap)
    assert moved[1] == pytest.approx(move(found))
    assert moved[2] == pytest.approx(scale * along)


def test_reversing_a_polyline_keeps_closest_points() -> None:
    asked = np.array([[1.0, 1.0, 0.4]])
    gap, found, along = closest_on_polyline(asked, BENT)
    back = closest_on_polyline(asked, BENT[::-1])
    assert back[0] == pytest.approx(gap)
    assert back[1] == pytest.approx(found)
    assert back[2] == pytest.approx(19.0 - along)


def test_crossing_lines_meet_where_they_cross() -> None:
    first = np.array([[0.0, 0, 0], [10, 0, 0]])
    second = np.array([[4.0, -3, 2], [4, 5, 2]])
    gap, p, q, along, other = crossing_of_polylines(first, second)
    assert gap == pytest.approx(2.0)
    assert p == pytest.approx([4.0, 0.0, 0.0])
    assert q == pytest.approx([4.0, 0.0, 2.0])
    assert (along, other) == (pytest.approx(4.0), pytest.approx(3.0))


def test_a_closing_side_can_hold_the_crossing() -> None:
    ring = np.array([[0.0, 0, 0], [4, 0, 0], [4, 4, 0]])
    pole = np.array([[2.0, 2.0, -1.0], [2.0, 2.0, 1.0]])
    gap, _, _, along, _ = crossing_of_polylines(ring, pole, first_closed=True)
    assert gap == pytest.approx(0.0, abs=1e-12)
    assert along == pytest.approx(8.0 + 2.0 * np.sqrt(2.0))


def test_parallel_and_degenerate_sides_have_a_distance() -> None:
    first = np.array([[0.0, 0, 0], [10, 0, 0]])
    assert crossing_of_polylines(first, first + np.array([2.0, 3.0, 0.0]))[0] == pytest.approx(3.0)
    point = np.array([[4.0, 1, 0], [4, 1, 0]])
    assert crossing_of_polylines(first, point)[0] == pytest.approx(1.0)


points3 = arrays(np.float64, (4, 3), elements=st.floats(-100.0, 100.0, width=16))


@given(points3, points3)
def test_no_two_points_are_nearer_than_the_crossing(first: np.ndarray, second: np.ndarray) -> None:
    gap, p, q, _, _ = crossing_of_polylines(first, second)
    assert np.linalg.norm(p - q) == pytest.approx(gap, abs=1e-9)
    for path, point in ((first, p), (second, q)):
        assert closest_on_polyline(point[None], path)[0][0] < 1e-6
    t = np.linspace(0.0, 1.0, 9)[:, None, None]
    dense = [(a[:-1] * (1.0 - t) + a[1:] * t).reshape(-1, 3) for a in (first, second)]
    apart = np.linalg.norm(dense[0][:, None] - dense[1][None], axis=2)
    assert gap <= apart.min() + 1e-6
