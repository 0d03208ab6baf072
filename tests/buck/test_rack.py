"""The rack: used first, filled again with what is left, and never promised twice."""

import pytest

from buckwright.buck import plan_cuts, rack_after
from buckwright.errors import JobError
from buckwright.model.buck import CuttingPlan, Piece, Remnant

ROD = "6.35 mm round rod"


def _plan(*lengths: float, rack: tuple[Remnant, ...] = (), useful: float = 500.0) -> CuttingPlan:
    pieces = [Piece(name=f"piece {k}", length=length) for k, length in enumerate(lengths)]
    return plan_cuts(
        pieces, bar_lengths=(6000.0,), kerf=2.0, stock=ROD, remnants=rack, useful=useful
    )


def test_what_fits_in_the_rack_is_not_bought() -> None:
    rack = (Remnant(stock=ROD, length=1500.0, count=2), Remnant(stock="tube", length=6000.0))
    plan = _plan(1400.0, 900.0, rack=rack)
    assert [bar.from_rack for bar in plan.bars] == [True, True]
    assert plan.length_bought == plan.length_bound == 0.0
    assert plan.proven
    assert plan.words == "Buy nothing; 2 from the rack. No plan buys less."


def test_a_remnant_of_another_stock_is_left_alone() -> None:
    plan = _plan(1400.0, rack=(Remnant(stock="tube", length=6000.0),))
    assert [bar.from_rack for bar in plan.bars] == [False]


def test_what_is_left_and_long_enough_goes_back_to_the_rack() -> None:
    rack = (Remnant(stock=ROD, length=1500.0, count=2), Remnant(stock="tube", length=900.0))
    plan = _plan(1400.0, 5000.0, rack=rack)
    assert [(r.length, r.count) for r in plan.left_over] == [(998.0, 1)]
    after = {(r.stock, r.length): r.count for r in rack_after(rack, [plan])}
    assert after == {(ROD, 1500.0): 1, (ROD, 998.0): 1, ("tube", 900.0): 1}
    short = _plan(1400.0, 5000.0, rack=rack, useful=1200.0)
    assert short.left_over == ()


def test_a_second_plan_is_cut_from_what_the_first_left() -> None:
    first = _plan(4000.0)
    rack = rack_after((), [first])
    assert [(r.length, r.count) for r in rack] == [(1998.0, 1)]
    second = _plan(1900.0, rack=rack)
    assert second.length_bought == 0.0
    assert rack_after(rack, [second]) == ()


def test_a_plan_for_a_rack_that_is_gone_is_refused() -> None:
    rack = (Remnant(stock=ROD, length=1500.0),)
    plan = _plan(1400.0, rack=rack)
    with pytest.raises(JobError, match="which has none") as refused:
        rack_after((), [plan])
    assert "again" in refused.value.remedy


def test_the_bound_is_told_when_it_is_not_reached() -> None:
    plan = _plan(3100.0, 3100.0, 3100.0)
    assert (len(plan.bars), plan.proven) == (3, True)
    assert plan.words == "Buy 3 bars of 6000 mm. No plan buys less."
    assert _plan().words == "Buy nothing. No plan buys less."
