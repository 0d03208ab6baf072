import numpy as np
import pytest

from buckwright.tables.alloys import alloys
from buckwright.tables.bending import (
    bend_allowance,
    bend_rule,
    bend_rules,
    least_bend_radius,
    neutral_factor,
    relief_hole,
    setback,
)
from buckwright.tables.edges import edge_allowance, edge_allowances, wired_edge_metal
from buckwright.tables.forming import annealing_of, forming_limit_at, uniform_elongation


def test_every_row_says_where_it_comes_from() -> None:
    assert all(rule.source for rule in (*edge_allowances(), *bend_rules()))
    for alloy in alloys():
        heat = annealing_of(alloy.family)
        assert heat is not None
        assert heat.source
        assert heat.caution
        radius = least_bend_radius(alloy.name, 1.27)
        assert radius is not None
        assert radius.source


def test_rules_of_bends_agree_within_a_tenth() -> None:
    radius, thickness, angle = 2.0, 1.27, np.pi / 2
    lengths = [
        90.0 * (rule.radius_factor * radius + rule.thickness_factor * thickness)
        for rule in bend_rules()
    ]
    assert max(lengths) / min(lengths) < 1.1
    assert lengths[0] == pytest.approx(bend_allowance(radius, thickness, angle))


def test_between_rows_the_nearest_radius_and_thickness_hold() -> None:
    assert neutral_factor("aluminium", 0.8, 0.8)[0] == 0.398
    assert neutral_factor("aluminium", 100.0, 3.0)[0] == 0.406


def test_the_tightest_radius_is_known_by_thickness_and_not_beyond_the_table() -> None:
    assert least_bend_radius("5052-H32", 1.5).radius == pytest.approx(1.5)
    assert least_bend_radius("5052-H32", 2.0).radius == pytest.approx(3.0)
    assert least_bend_radius("5052-H32", 9.0) is None


def test_relief_holes_are_twice_the_radius_and_no_smaller_than_the_table() -> None:
    assert relief_hole(4.0, 1.0) == 8.0
    assert relief_hole(1.0, 1.0) == pytest.approx(3.175)
    assert relief_hole(1.0, 2.0) == pytest.approx(4.7625)


def test_the_limit_curve_is_level_beyond_what_is_sourced() -> None:
    far = forming_limit_at(np.array([np.log(1.2), 0.5]), 0.3)
    assert far[0] == far[1]


def test_heat_is_one_figure_or_a_range() -> None:
    assert annealing_of("3003").heat == "413 °C"
    assert annealing_of("low-carbon steel").heat == "595 to 705 °C"
    assert annealing_of("gold") is None


def test_what_no_table_has_is_refused() -> None:
    with pytest.raises(ValueError, match="no rule for a 'beading'"):
        edge_allowance("beading")
    with pytest.raises(ValueError, match="needs a wire"):
        wired_edge_metal(0.0, 1.0)
    with pytest.raises(ValueError, match="no bend rule"):
        bend_rule("guess")
    with pytest.raises(ValueError, match="no K-factors"):
        neutral_factor("gold", 1.0, 1.0)
    with pytest.raises(ValueError, match="below half a turn"):
        setback(1.0, 1.0, np.pi)
    with pytest.raises(ValueError, match="a bend needs"):
        bend_allowance(-1.0, 1.0, 1.0)
    with pytest.raises(ValueError, match="cannot be negative"):
        uniform_elongation(-0.1)
