import numpy as np
import pytest

from buckwright.lines import fair_network
from buckwright.model.finding import Finding
from buckwright.model.lines import LineNetwork
from lattices_on_paper import ball_lattice, on_ball, placed_line, specs_of

UP = np.linspace(0.05, 0.95, 24)


def told(network: LineNetwork, code: str) -> list[Finding]:
    return [finding for finding in network.findings if finding.code == code]


def test_a_line_that_was_traced_twice_is_told_once() -> None:
    placed, _ = ball_lattice(3, 3)
    again = placed_line("meridian again", on_ball(1.4, UP + 0.01), 0.02)
    network = fair_network((*placed, again), specs_of((*placed, again)))
    twins = told(network, "doubled-line")
    assert [finding.where for finding in twins] == ["meridian 1"]
    assert "'meridian again'" in twins[0].message


def test_lines_beside_each_other_are_not_taken_for_one() -> None:
    placed, specs = ball_lattice(6, 3)
    assert told(fair_network(placed, specs), "doubled-line") == []


def test_an_island_is_noted_by_the_names_of_its_lines() -> None:
    placed, _ = ball_lattice(3, 3)
    shift = np.array([0.0, -3000.0, 0.0])
    island = (
        placed_line("wing crown", on_ball(1.4, UP) + shift, 0.02),
        placed_line("wing section", on_ball(np.linspace(1.2, 1.6, 24), 0.5) + shift, 0.02),
    )
    network = fair_network((*placed, *island), specs_of((*placed, *island)))
    notes = told(network, "island")
    assert len(notes) == 1
    assert notes[0].kind == "note"
    assert "'wing crown' and 'wing section'" in notes[0].message


def test_lines_that_cross_twice_meet_at_both_places() -> None:
    at = np.linspace(-1.0, 1.0, 30)
    bow = placed_line("bow", np.column_stack([1000 * at, -500 + 0 * at, 1200 - 400 * at**2]), 0.02)
    string = placed_line("string", np.column_stack([1000 * at, -500 + 0 * at, 900 + 0 * at]), 0.02)
    network = fair_network((bow, string), specs_of((bow, string)))
    stations = sorted(float(crossing.point[0]) for crossing in network.crossings)
    half = 1000.0 * np.sqrt(0.75)
    assert stations == pytest.approx([-half, half], abs=0.05)


def test_a_loose_end_names_the_nearest_line_and_how_far_it_is() -> None:
    placed, _ = ball_lattice(3, 3)
    # It ends 0.08 rad, 160 mm, short of the parallel at 0.9.
    short = placed_line("short", on_ball(1.2, np.linspace(0.05, 0.82, 24)), 0.02)
    network = fair_network((*placed, short), specs_of((*placed, short)))
    ends = [f.message for f in told(network, "loose-end") if f.where == "short"]
    assert any("'parallel 2', 160 mm away" in message for message in ends)


def test_lines_that_do_not_want_to_meet_say_where_by_how_much_and_what_would_let_them() -> None:
    up = np.linspace(0.0, 1.0, 20)
    post = placed_line("post", np.column_stack([800 + 0 * up, -600 + 0 * up, 300 + 900 * up]), 0.2)
    rail = placed_line("rail", np.column_stack([400 + 900 * up, -606 + 0 * up, 700 + 0 * up]), 0.2)
    apart = fair_network((post, rail), specs_of((post, rail)))
    (miss,) = told(apart, "lines-miss")
    assert "missed each other by 6.0 mm near (800, -603, 700)" in miss.message
    assert apart.crossings == ()
    # What it says lets them is enough, shared between the two.
    assert "a tolerance of 4.3 mm on one of them would let them meet" in miss.remedy
    together = fair_network((post, rail), specs_of((post, rail), tolerance=2.2))
    assert len(together.crossings) == 1
    assert np.linalg.norm(together.line("post").curve()(0.44444) - [800, -603, 700]) < 1.0
