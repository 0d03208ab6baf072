import numpy as np
import pytest
import shapely

from buckwright.panels.outline import allowed_outline, overlaps, smallest_box

SQUARE = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 60.0], [0.0, 60.0]])


def test_the_allowance_is_added_all_round_with_sharp_corners() -> None:
    wide = shapely.Polygon(allowed_outline(SQUARE, 10.0))
    assert wide.equals(shapely.box(-10.0, -10.0, 110.0, 70.0))
    assert wide.exterior.is_ccw


def test_needle_corners_are_cut_off_at_twice_the_allowance() -> None:
    needle = np.array([[0.0, 0.0], [200.0, -5.0], [200.0, 5.0]])
    wide = allowed_outline(needle, 10.0)
    assert -21.0 < wide[:, 0].min() < -10.0


def test_every_edge_of_the_net_outline_keeps_the_allowance() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 90, endpoint=False)
    wavy = (200.0 + 40.0 * np.cos(3.0 * turn))[:, None] * np.column_stack(
        [np.cos(turn), np.sin(turn)]
    )
    wide = shapely.LinearRing(allowed_outline(wavy, 12.0))
    gaps = [wide.distance(shapely.Point(p)) for p in wavy]
    assert min(gaps) == pytest.approx(12.0, abs=1e-6)
    assert max(gaps) < 12.0 / np.cos(np.pi / 30.0) + 0.5


def test_no_allowance_leaves_the_outline_as_it_is() -> None:
    assert np.array_equal(allowed_outline(SQUARE, 0.0), SQUARE)


def test_less_than_none_is_refused() -> None:
    with pytest.raises(ValueError, match="negative"):
        allowed_outline(SQUARE, -1.0)


def test_an_outline_that_crosses_itself_is_known() -> None:
    assert not overlaps(SQUARE)
    assert overlaps(SQUARE[[0, 2, 1, 3]])


def test_the_smallest_box_does_not_care_how_the_outline_is_turned() -> None:
    for angle in (0.0, 0.3, 1.2):
        turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        assert smallest_box(SQUARE @ turn.T) == pytest.approx((60.0, 100.0))
