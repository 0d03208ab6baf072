import numpy as np
import pytest

from buckwright.model.seams import ShopReach
from buckwright.panels.seam_parts import Measure
from buckwright.panels.seam_start import whole_part
from buckwright.panels.seam_states import Bounds, State, cost, excess, lopsided, worst_part
from buckwright.panels.seam_ways import line_divisions
from seams_on_paper import wing_with_lines

ALONG = np.column_stack([np.linspace(0.0, 900.0, 20), np.full(20, 500.0), np.full(20, 700.0)])
TURN = np.linspace(0.0, np.pi, 30)
ARCH = np.column_stack([np.full(30, 400.0), 600.0 * np.cos(TURN), 900.0 * np.sin(TURN)])
MIRROR = np.array([1.0, -1.0, 1.0])
WHOLE = whole_part(wing_with_lines(6).regions[0])


def measure(peak: float, long: float = 900.0, short: float = 200.0) -> Measure:
    return Measure(peak, peak**2 * 1e5, peak, long, short, 1e5)


def test_seams_alike_left_and_right_are_not_lopsided() -> None:
    assert lopsided([]) == 0
    assert lopsided([ALONG, (ALONG * MIRROR)[::-1]]) == 0
    assert lopsided([ARCH]) == 0
    assert lopsided([ARCH, ALONG]) == 1
    assert lopsided([ALONG, ALONG * MIRROR + [0.0, 120.0, 0.0]]) == 2


def test_allowance_is_taken_from_reach_and_sheet_on_both_sides() -> None:
    bounds = Bounds.of(ShopReach(throat=400.0, longest=2000.0), (1000.0, 2100.0), 15.0)
    assert bounds.reach == (1970.0, 770.0)
    assert bounds.sheet == (2070.0, 970.0)
    assert excess(measure(0.01, long=1970.0, short=770.0), bounds.reach) == 0.0
    assert excess(measure(0.01, long=3940.0), bounds.reach) == pytest.approx(1.0)


def test_a_part_too_large_is_divided_before_one_that_is_worked_harder() -> None:
    bounds = Bounds.of(ShopReach(throat=400.0), (1219.0, 2438.0), 10.0)
    hard, large = measure(0.05), measure(0.01, short=1500.0)
    state = State((WHOLE, WHOLE), (hard, large))
    assert worst_part(state, hard, bounds) == 1
    assert worst_part(State((WHOLE, WHOLE), (hard, measure(0.04))), hard, bounds) == 0


def test_a_seam_with_no_gain_costs_more_than_none_and_lopsided_ones_more_still() -> None:
    whole = measure(0.05)
    single = State((WHOLE,), (whole,))
    half = Measure(0.05, 0.5 * whole.work, 0.05, 500.0, 200.0, 5e4)
    divided = single.divided(0, line_divisions(WHOLE)[0], (half, half))
    one_side = Bounds.of(ShopReach(), (1219.0, 2438.0), 10.0)
    both = Bounds.of(ShopReach(), (1219.0, 2438.0), 10.0, both_sides=True)
    assert cost(single, whole, one_side) == pytest.approx(1.25)
    assert cost(divided, whole, one_side) > 1.25
    # The wing lies wholly on the left: its crown has no mirror image.
    assert cost(divided, whole, both) == pytest.approx(cost(divided, whole, one_side) + 0.25)
    assert (divided.peak, len(divided.parts)) == (0.05, 2)
    assert divided.weld > 400.0
