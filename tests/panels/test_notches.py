import numpy as np
import pytest
import shapely

from buckwright.panels.notches import cut_notches, opening_cut
from buckwright.panels.outline import allowed_outline

ELL = np.array([[0.0, 0], [300, 0], [300, 120], [140, 120], [140, 250], [0, 250]])
SQUARE = np.array([[0.0, 0], [200, 0], [200, 100], [0, 100]])


def test_an_inside_corner_gets_one_notch_down_to_the_trim_line() -> None:
    wide = allowed_outline(ELL, 20.0)
    outline, notches = cut_notches(ELL, wide)
    (notch,) = notches
    assert notch.corner == (140.0, 120.0)
    assert notch.turn == pytest.approx(np.pi / 2)
    tip = notch.ring[1]
    assert np.linalg.norm(tip - [140.0, 120.0]) == pytest.approx(1.0)
    assert tip[0] > 140.0
    assert tip[1] > 120.0
    cut = shapely.Polygon(outline)
    assert cut.is_valid
    assert cut.contains(shapely.Polygon(ELL).buffer(-1e-6))
    assert cut.exterior.is_ccw
    lost = shapely.Polygon(wide).area - cut.area
    assert 0.0 < lost < 0.5 * 20.0 * 20.0
    assert cut.exterior.distance(shapely.Point(tip)) < 1e-9


def test_the_corner_counts_though_it_is_rounded_over_a_few_millimetres() -> None:
    turn = np.linspace(-np.pi / 2, -np.pi, 7)
    bow = np.array([145.0, 125.0]) + 5.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    rounded = np.vstack([ELL[:3], bow, ELL[4:]])
    outline, notches = cut_notches(rounded, allowed_outline(rounded, 20.0))
    assert len(notches) == 1
    assert shapely.Polygon(outline).is_valid


def test_outside_corners_gentle_bays_and_narrow_allowances_get_none() -> None:
    assert cut_notches(SQUARE, allowed_outline(SQUARE, 20.0))[1] == ()
    turn = np.linspace(0.0, 2.0 * np.pi, 240, endpoint=False)
    bay = (200.0 + 40.0 * np.cos(3.0 * turn))[:, None] * np.column_stack(
        [np.cos(turn), np.sin(turn)]
    )
    assert cut_notches(bay, allowed_outline(bay, 12.0))[1] == ()
    assert cut_notches(ELL, ELL) == (pytest.approx(ELL), ())
    assert cut_notches(ELL, allowed_outline(ELL, 2.0))[1] == ()


def test_turning_and_shifting_moves_the_notch_along() -> None:
    angle = 0.7
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    moved = ELL @ turn.T + [30.0, -80.0]
    (there,) = cut_notches(moved, allowed_outline(moved, 15.0))[1]
    (here,) = cut_notches(ELL, allowed_outline(ELL, 15.0))[1]
    assert there.ring == pytest.approx(here.ring @ turn.T + [30.0, -80.0], abs=1e-6)


def test_an_opening_keeps_its_allowance_inside() -> None:
    assert shapely.Polygon(opening_cut(SQUARE, 10.0)).equals(shapely.box(10, 10, 190, 90))
    assert np.array_equal(opening_cut(SQUARE, 0.0), SQUARE)
    assert opening_cut(SQUARE, 60.0) is None
