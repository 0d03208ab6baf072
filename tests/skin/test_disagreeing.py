import numpy as np
import pytest

from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec
from buckwright.skin.disagreeing import blamed_lines, judged_network
from networks_on_paper import network_of

SPEC = RegionSpec(
    name="panel",
    boundary=("across 0", "along 3", "across 3", "along 0"),
    inner=("across 1", "across 2", "along 1", "along 2"),
)


def _panel(low: dict[str, float]) -> LineNetwork:
    """Four lines each way over a flat square of 900 mm, some of them so many mm too low."""

    def straight(name: str, start: list[float], end: list[float]):
        a, b = np.array(start), np.array(end)
        down = np.array([0.0, 0.0, low.get(name, 0.0)])
        return lambda t: a + (b - a) * t[:, None] - down

    curves = {}
    for k in range(4):
        at = 300.0 * k
        curves[f"across {k}"] = straight(f"across {k}", [at, 0.0, 0.0], [at, 900.0, 0.0])
        curves[f"along {k}"] = straight(f"along {k}", [0.0, at, 0.0], [900.0, at, 0.0])
    return network_of(curves, tolerance=1e-3)


def _doubts(network: LineNetwork) -> dict[str, float]:
    return {line.name: line.doubt for line in network.lines}


def test_a_line_that_misses_all_others_bears_the_blame_alone() -> None:
    network = _panel({"along 1": 1.6})
    judged = judged_network(network, (SPEC,))
    (told,) = blamed_lines(network, judged, SPEC)
    assert told.where == "along 1"
    assert "by about 1.6 mm" in told.message
    assert told.place[1] == 300.0
    doubts = _doubts(judged)
    assert doubts.pop("along 1") == pytest.approx(1.6, rel=0.01)
    assert set(doubts.values()) == {0.0}


def test_where_two_lines_alone_miss_each_other_they_bear_it_alike() -> None:
    spec = RegionSpec(name="cross", boundary=("along 0", "across 0"), inner=())
    doubts = _doubts(judged_network(_panel({"across 0": 1.0}), (spec,)))
    for name in spec.boundary:
        assert doubts[name] == pytest.approx(np.sqrt(0.5), rel=0.01)


def test_they_cross_where_the_surer_line_passes() -> None:
    network = judged_network(_panel({"across 2": 1.2}), (SPEC,))
    met = [c for c in network.crossings if "across 2" in c.lines]
    assert len(met) == 4
    assert np.abs([c.point[2] for c in met]).max() < 1e-6


def test_doubts_that_are_known_are_not_lessened() -> None:
    network = _panel({"along 1": 0.5})
    sure = tuple(line.model_copy(update={"sigma": 0.8}) for line in network.lines)
    doubts = _doubts(judged_network(network.model_copy(update={"lines": sure}), (SPEC,)))
    assert set(doubts.values()) == {0.8}


def test_lines_that_meet_are_left_as_they_are() -> None:
    network = _panel({})
    judged = judged_network(network, (SPEC,))
    assert judged is network
    assert not blamed_lines(network, judged, SPEC)
