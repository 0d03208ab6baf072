import numpy as np
import pytest

from buckwright.geometry.polyline_meetings import polyline_meetings, self_meetings
from meshes_on_paper import MOVES


def _line(start: tuple[float, ...], end: tuple[float, ...], count: int = 60) -> np.ndarray:
    return np.linspace(np.array(start, dtype=float), np.array(end, dtype=float), count)


def _ring(radius: float, z: float = 0.0, count: int = 200) -> np.ndarray:
    turn = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    return np.column_stack([radius * np.cos(turn), radius * np.sin(turn), np.full(count, z)])


def test_a_chord_meets_a_ring_twice_and_the_gap_is_that_in_height() -> None:
    chord = _line((-300, 60, 1.5), (300, 60, 1.5))
    met = polyline_meetings(chord, _ring(100.0, count=2000), within=2.0, second_closed=True)
    assert [m.gap for m in met] == pytest.approx([1.5, 1.5], abs=1e-6)
    assert [m.first for m in met] == pytest.approx([220.0, 380.0], abs=0.01)


def test_lines_that_keep_farther_apart_do_not_meet() -> None:
    assert (
        polyline_meetings(_line((0, 0, 0), (9, 0, 0)), _line((4, -5, 2.1), (4, 5, 2.1)), within=2.0)
        == ()
    )


def test_a_meeting_on_the_seam_of_a_closed_line_is_one() -> None:
    ray = _line((50, 0, 0), (150, 0, 0))
    for first, second, closed in (
        (ray, _ring(100.0), {"second_closed": True}),
        (_ring(100.0), ray, {"first_closed": True}),
    ):
        (met,) = polyline_meetings(first, second, within=2.0, **closed)
        assert met.gap == pytest.approx(0.0, abs=1e-9)


def test_lines_that_run_along_each_other_have_a_long_stretch() -> None:
    (met,) = polyline_meetings(
        _line((0, 0, 0), (500, 0, 0)), _line((100, 1, 0), (400, 1, 0)), within=2.0
    )
    assert met.stretch == pytest.approx(300.0, abs=25.0)


@pytest.mark.parametrize("move", MOVES)
def test_a_meeting_moves_with_its_lines(move: str) -> None:
    first, second = _line((0, 0, 0), (500, 0, 0)), _line((200, -90, 1), (230, 120, 1))
    scale = 2.5 if move == "scale" else 1.0
    (before,) = polyline_meetings(first, second, within=2.0)
    moved = MOVES[move]
    (after,) = polyline_meetings(moved(first), moved(second), within=2.0 * scale)
    assert after.gap == pytest.approx(scale * before.gap)
    assert after.point == pytest.approx(moved(before.point[None])[0], abs=1e-6)


def test_an_eight_meets_itself_once_and_a_ring_never() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    eight = np.column_stack([150 * np.sin(turn), 60 * np.sin(2 * turn), 0.0 * turn])
    (met,) = self_meetings(eight, within=2.0, apart=25.0, closed=True)
    assert met.point == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)
    assert self_meetings(_ring(100.0), within=2.0, apart=25.0, closed=True) == []
