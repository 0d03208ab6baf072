import numpy as np
import pytest

from buckwright.lines import fair_network
from buckwright.lines.offsets import even_stations, hold_offsets, table_of_offsets
from buckwright.model.lines import Departure, LineNetwork, Pin
from buckwright.model.offsets import OffsetRow
from lattices_on_paper import RADIUS, ball_lattice

STATIONS = np.array([-200.0, 0.0, 200.0])
LONGER = Departure(name="longer", reason="load", axis="x", start=-3000, end=-2500, by=60.0)


@pytest.fixture(scope="module")
def network() -> LineNetwork:
    return fair_network(*ball_lattice(2, 3))


def row(number: int, line: str = "parallel 1", station: float = 0.0, **figures) -> OffsetRow:
    return OffsetRow(row=number, line=line, station=station, **figures)


def test_offsets_are_those_of_the_ball(network: LineNetwork) -> None:
    table = table_of_offsets(network, STATIONS)
    parallels = [one for one in table if one.line.startswith("parallel")]
    assert len(parallels) == 3 * len(STATIONS)
    for one in parallels:
        assert np.hypot(np.hypot(one.station, one.half_breadth), one.height) == pytest.approx(
            RADIUS, abs=0.02
        )
        at = network.line(one.line).curve()(one.share)
        assert at[0] == pytest.approx(one.station, abs=1e-6)


def test_lines_that_run_along_a_station_are_not_read_off_there(network: LineNetwork) -> None:
    across = [one for one in table_of_offsets(network, STATIONS) if one.line == "meridian 0"]
    assert across == []


def test_stations_are_even_multiples_over_the_whole_length(network: LineNetwork) -> None:
    stations = even_stations(network, 250.0)
    assert np.allclose(stations % 250.0, 0.0)
    ends = [line.points(200)[:, 0] for line in network.lines]
    assert stations[0] - 250.0 < min(x.min() for x in ends) <= stations[0]
    assert stations[-1] <= max(x.max() for x in ends) < stations[-1] + 250.0


def test_a_typed_figure_holds_its_line_and_undoes_no_other(network: LineNetwork) -> None:
    was = table_of_offsets(network, np.array([0.0]))
    height = next(one.height for one in was if one.line == "parallel 1")
    held = hold_offsets((row(2, height=height + 4.0),), network, (), (), reason="by eye")
    assert (held.held, held.same, held.findings) == (1, 0, ())
    (pin,) = held.pins
    assert pin.point == (0.0, None, pytest.approx(height + 4.0))
    assert pin.reason == "by eye"
    placed, specs = ball_lattice(2, 3)
    after = fair_network(placed, specs, held.pins)
    now = table_of_offsets(after, np.array([0.0]))
    assert next(one.height for one in now if one.line == "parallel 1") == pytest.approx(
        height + 4.0, abs=1e-5
    )
    again = hold_offsets((row(2, half_breadth=1700.0),), network, (), held.pins, reason="")
    (both,) = again.pins
    assert both.point == (0.0, -1700.0, pytest.approx(height + 4.0))
    assert both.reason == "by eye"


def test_a_table_that_says_what_the_lines_have_holds_nothing(network: LineNetwork) -> None:
    table = table_of_offsets(network, STATIONS)
    rows = [
        row(k, one.line, one.station, half_breadth=one.half_breadth, height=one.height)
        for k, one in enumerate(table, start=2)
    ]
    held = hold_offsets(rows, network, (), (), reason="")
    assert (held.held, held.same, held.pins, held.findings) == (0, 2 * len(rows), (), ())


def test_what_cannot_be_is_told_by_row_and_the_rest_stands(network: LineNetwork) -> None:
    old = Pin(line="parallel 0", share=0.9, point=(None, None, 210.0))
    rows = (
        row(2, "nobody's", height=1.0),
        row(3, station=5000.0, height=1000.0),
        row(4, height=1400.0),
        row(5, station=200.0, half_breadth=1730.0),
        row(6, station=200.0, half_breadth=1731.0),
    )
    held = hold_offsets(rows, network, (), (old,), reason="")
    told = {finding.code: finding.message for finding in held.findings}
    assert set(told) == {"unknown-line", "no-such-station", "outlier", "offset-twice"}
    assert "Row 2" in told["unknown-line"]
    assert "Row 3" in told["no-such-station"]
    assert "Row 6" in told["offset-twice"]
    by = abs(1400.0 - RADIUS * np.sin(0.5))
    assert "Row 4" in told["outlier"]
    assert f"{by:.1f} mm apart" in told["outlier"]
    assert held.held == 1
    assert held.pins[0] is old
    assert len(held.pins) == 2


def test_figures_are_those_of_the_body_as_it_stands(network: LineNetwork) -> None:
    moved = network.model_copy(
        update={
            "lines": tuple(
                line.model_copy(update={"control": np.add(line.control, [60.0, 0.0, 0.0])})
                for line in network.lines
            )
        }
    )
    figures = row(2, station=60.0, half_breadth=1700.0)
    held = hold_offsets((figures,), moved, (LONGER,), (), reason="")
    assert held.pins[0].point == (pytest.approx(0.0, abs=1e-6), -1700.0, None)
