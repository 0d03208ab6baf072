import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.lines import apply_departures, fair_network
from buckwright.lines.departing import moved_along
from buckwright.model.lines import Departure, LineNetwork
from small_cab import SPECS, placed_lines

LONGER = Departure(
    name="longer load floor", reason="two more sacks", axis="x", start=600.0, end=1000.0, by=60.0
)
WIDER = Departure(
    name="wider", reason="broad shoulders", axis="y", start=-400.0, end=400.0, by=50.0
)
LOWER = Departure(name="lower roof", reason="looks", axis="z", start=1000.0, end=1300.0, by=-40.0)
AXES = {"x": 0, "y": 1, "z": 2}


@pytest.fixture(scope="module")
def network() -> LineNetwork:
    return fair_network(placed_lines(sigma=1.2), SPECS)


@pytest.mark.parametrize("departure", [LONGER, WIDER, LOWER], ids=lambda d: d.name)
def test_outside_the_zone_lines_move_as_a_whole_and_inside_smoothly(
    network: LineNetwork, departure: Departure
) -> None:
    axis = AXES[departure.axis]
    after = apply_departures(network, (departure,))
    shift = (-25.0, 25.0) if departure.axis == "y" else (0.0, departure.by)
    for old, new in zip(network.lines, after.lines, strict=True):
        before, now = old.points(3001), new.points(3001)
        at = before[:, axis]
        goal = before.copy()
        goal[:, axis] = moved_along(at, (departure,))
        low, high = at <= departure.start, at >= departure.end
        rigid = before + np.eye(3)[axis] * np.where(high, shift[1], shift[0])[:, None]
        np.testing.assert_allclose(now[low | high], rigid[low | high], atol=1e-9)
        np.testing.assert_allclose(now, goal, atol=0.02)


@pytest.mark.parametrize("departure", [LONGER, WIDER, LOWER], ids=lambda d: d.name)
def test_crossings_stay_crossings(network: LineNetwork, departure: Departure) -> None:
    after = apply_departures(network, (departure,))
    for old, new in zip(network.crossings, after.crossings, strict=True):
        assert (new.lines, new.parameters, new.gap) == (old.lines, old.parameters, old.gap)
        for name, at in zip(new.lines, new.parameters, strict=True):
            gap = np.linalg.norm(after.line(name).curve()(at) - new.point)
            assert gap < 1e-3


def test_the_zone_is_twice_continuously_differentiable() -> None:
    at = np.linspace(500.0, 1100.0, 600001)
    moved = moved_along(at, (LONGER,))
    step = at[1] - at[0]
    slope = np.diff(moved) / step
    bend = np.diff(slope) / step
    assert np.abs(np.diff(bend)).max() < 1e-5
    assert slope.min() > 0.99
    assert moved[-1] - at[-1] == pytest.approx(60.0)


def test_lines_stay_twice_continuously_differentiable(network: LineNetwork) -> None:
    line = apply_departures(network, (LONGER,)).line("belt left")
    inner = np.unique(line.knots)[1:-1]
    tiny = 1e-7
    for derivative in range(3):
        low = line.curve()(inner - tiny, nu=derivative)
        high = line.curve()(inner + tiny, nu=derivative)
        third = np.abs(line.curve()(np.linspace(0, 1, 500), nu=derivative + 1)).max()
        np.testing.assert_allclose(low, high, atol=4 * tiny * third + 1e-9)


def test_widening_keeps_both_sides_equal(network: LineNetwork) -> None:
    after = apply_departures(network, (WIDER,))
    left, right = after.line("belt left").points(200), after.line("belt right").points(200)
    np.testing.assert_allclose(left, right * [1.0, -1.0, 1.0], atol=1e-9)
    np.testing.assert_allclose(after.line("roof centre").points(50)[:, 1], 0.0, atol=1e-12)


def test_switched_off_and_empty_departures_change_nothing(network: LineNetwork) -> None:
    off = LONGER.model_copy(update={"on": False})
    nothing = LONGER.model_copy(update={"by": 0.0})
    after = apply_departures(network, (off, nothing))
    assert after.lines == network.lines
    assert after.findings == network.findings


def test_zones_are_given_on_the_reference_so_their_order_does_not_matter(
    network: LineNetwork,
) -> None:
    later = Departure(
        name="tail", reason="spare wheel", axis="x", start=1500.0, end=1800.0, by=30.0
    )
    one = apply_departures(network, (LONGER, later, LOWER))
    other = apply_departures(network, (LOWER, later, LONGER))
    for a, b in zip(one.lines, other.lines, strict=True):
        np.testing.assert_allclose(a.points(300), b.points(300), atol=0.02)
    end = one.line("roof centre").points(2)[1, 0] - network.line("roof centre").points(2)[1, 0]
    assert end == pytest.approx(90.0, abs=1e-9)


def test_a_zone_through_a_rim_is_reported(network: LineNetwork) -> None:
    through = LONGER.model_copy(update={"start": 100.0, "end": 500.0})
    after = apply_departures(network, (through,), rims=("front rim", "rear rim"))
    assert [f.code for f in after.findings] == ["zone-through-rim"]
    assert apply_departures(network, (LONGER,), rims=("front rim", "rear rim")).findings == ()


def test_a_zone_shorter_than_three_times_its_stretch_is_reported(network: LineNetwork) -> None:
    short = LONGER.model_copy(update={"end": 770.0})
    assert [f.code for f in apply_departures(network, (short,)).findings] == ["short-zone"]


@pytest.mark.parametrize(
    ("update", "sentence"),
    [
        ({"end": 600.0}, "does not come"),
        ({"by": -300.0}, "would fold over"),
        ({"axis": "y"}, "two sides unequal"),
        ({"by": float("nan")}, "number missing"),
    ],
    ids=["no length", "folds", "one side", "nan"],
)
def test_departures_that_cannot_be_made_are_refused(
    network: LineNetwork, update: dict[str, object], sentence: str
) -> None:
    with pytest.raises(JobError, match=sentence):
        apply_departures(network, (LONGER.model_copy(update=update),))
