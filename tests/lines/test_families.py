import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.spline import closest_parameters
from buckwright.lines import apply_departures, fair_network
from buckwright.lines.departing import depart
from buckwright.lines.sides import mirror_names
from buckwright.model.lines import Departure, Line, LineNetwork
from rings import through
from small_cab import SPECS, placed_lines

MIRRORS = mirror_names(SPECS)
BELT_UP = Departure(
    name="higher belt", reason="looks", kind="move", lines=("belt left",), move=(0.0, 0.0, 25.0)
)
BELT_OUT = BELT_UP.model_copy(update={"name": "fuller belt", "move": (0.0, 15.0, 0.0)})
ROOF_UP = Departure(
    name="higher roof", reason="hats", kind="move", lines=("roof centre",), move=(0.0, 0.0, 30.0)
)
BACK = Departure(
    name="tail back", reason="load", kind="move", lines=("rear arch",), move=(40.0, 0.0, 0.0)
)
TALLER = Departure(
    name="taller arch", reason="load", kind="scale", lines=("rear arch",), factors=(1, 1, 1.03)
)
EVERY = [BELT_UP, BELT_OUT, ROOF_UP, BACK, TALLER]


@pytest.fixture(scope="module")
def network() -> LineNetwork:
    return fair_network(placed_lines(sigma=0.2), SPECS)


def departed(network: LineNetwork, *departures: Departure) -> LineNetwork:
    return apply_departures(network, departures, mirrors=MIRRORS)


@pytest.mark.parametrize("departure", EVERY, ids=lambda d: d.name)
def test_crossings_stay_crossings_and_both_sides_mirror_images(
    network: LineNetwork, departure: Departure
) -> None:
    after = departed(network, departure)
    assert [c.lines for c in after.crossings] == [c.lines for c in network.crossings]
    for crossing in after.crossings:
        for name, at in zip(crossing.lines, crossing.parameters, strict=True):
            missed = after.line(name).curve()(at) - crossing.point
            assert np.linalg.norm(missed) < 1e-7
    for name, other in MIRRORS.items():
        image = after.line(other).points(200) * [1.0, -1.0, 1.0]
        np.testing.assert_allclose(after.line(name).points(200), image, atol=1e-6)
    assert np.abs(after.line("roof centre").points(100)[:, 1]).max() < 1e-9


@pytest.mark.parametrize("departure", EVERY, ids=lambda d: d.name)
def test_lines_that_do_not_meet_the_family_stay_to_the_last_digit(
    network: LineNetwork, departure: Departure
) -> None:
    after = departed(network, departure)
    family = {*departure.lines, *(MIRRORS.get(name, name) for name in departure.lines)}
    met = {n for c in network.crossings if family & set(c.lines) for n in c.lines} | family
    apart = [line for line in network.lines if line.name not in met]
    assert apart
    for line in apart:
        assert np.array_equal(after.line(line.name).control, line.control)


def test_a_line_moved_outward_keeps_its_shape_and_what_crosses_it_bends_only_there(
    network: LineNetwork,
) -> None:
    after = departed(network, BELT_OUT)
    shift = after.line("belt left").points(300) - network.line("belt left").points(300)
    np.testing.assert_allclose(shift, np.broadcast_to([0.0, -15.0, 0.0], shift.shape), atol=1e-9)
    notes = {f.where: f for f in after.findings if f.code == "bends-to-follow"}
    assert {"front arch", "rear arch", "hatch left", "hatch right"} <= notes.keys()
    assert all(note.kind == "note" for note in notes.values())
    arch = after.line("front arch").points(1000)
    assert np.linalg.norm(arch[[0, -1]] - network.line("front arch").points(2), axis=1).max() < 1e-7


def test_a_line_moved_along_those_that_cross_it_slides_and_leaves_them_nearly_alone(
    network: LineNetwork,
) -> None:
    after = departed(network, BELT_UP)
    for name in ("front arch", "rear arch"):
        _, off = closest_parameters(
            network.line(name).curve(), after.line(name).points(400), closed=False
        )
        assert off.max() < 1e-7
    ends = after.line("belt left").points(2)[:, 2] - network.line("belt left").points(2)[:, 2]
    np.testing.assert_allclose(ends, 25.0, atol=2.0)


def test_lines_that_end_on_a_moved_line_follow_it(network: LineNetwork) -> None:
    after = departed(network, BACK)
    for name in ("roof centre", "sill left", "belt right"):
        at, off = closest_parameters(
            after.line("rear arch").curve(), after.line(name).points(2)[1:], closed=False
        )
        assert off[0] < 1e-7, name
        assert 0.0 <= at[0] <= 1.0
    forward = network.line("roof centre").points(2)[1, 0] + 40.0
    assert after.line("roof centre").points(2)[1, 0] == pytest.approx(forward, abs=0.1)


def test_a_scale_about_a_place_is_exact_and_undone_by_its_reciprocal(
    network: LineNetwork,
) -> None:
    about = (900.0, 0.0, 800.0)
    bigger = Departure(
        name="bigger hatch",
        reason="parcels",
        kind="scale",
        lines=("hatch left", "belt left"),
        factors=(1.1, 1.0, 1.05),
        about=about,
    )
    smaller = bigger.model_copy(update={"name": "back", "factors": (1 / 1.1, 1.0, 1 / 1.05)})
    alone = LineNetwork(
        lines=(network.line("hatch left"), network.line("hatch right")), crossings=()
    )
    bigger = bigger.model_copy(update={"lines": ("hatch left",)})
    smaller = smaller.model_copy(update={"lines": ("hatch left",)})
    once = departed(alone, bigger)
    goal = np.array(about) + np.array(bigger.factors) * (
        alone.line("hatch left").points(100) - about
    )
    np.testing.assert_allclose(once.line("hatch left").points(100), goal, atol=1e-9)
    back = departed(alone, bigger, smaller)
    np.testing.assert_allclose(
        back.line("hatch right").points(100), alone.line("hatch right").points(100), atol=1e-9
    )


def _on(shape: str, x: np.ndarray, z: np.ndarray) -> np.ndarray:
    """Distance out of a leaning side: a plane, or a quadric."""
    bulge = 0.0 if shape == "plane" else 4e-5 * x**2 + 2e-4 * z**2 - 1e-4 * x * z
    return np.column_stack([x, -(600.0 - 0.15 * z - bulge), z])


@pytest.mark.parametrize("shape", ["plane", "quadric"])
def test_a_window_slid_up_a_leaning_side_stays_on_it(shape: str) -> None:
    turn = 2.0 * np.pi * np.arange(80) / 80
    window = through("window", _on(shape, 250 * np.cos(turn), 150 * np.sin(turn)), closed=True)
    along = np.linspace(-600.0, 600.0, 60)
    rails = [
        through(f"rail {height}", _on(shape, along, np.full(60, height)))
        for height in (-300.0, 0.0, 300.0)
    ]
    network = LineNetwork(lines=(window, *rails), crossings=())
    slid = Departure(
        name="up", reason="sight", kind="move", lines=("window",), move=(0, 0, 80), on_surface=True
    )
    after = apply_departures(network, (slid,)).line("window").points(300)
    off = after[:, 1] - _on(shape, after[:, 0], after[:, 2])[:, 1]
    # What is a quadric across is one over the window's own plane but for terms of third order.
    assert np.abs(off).max() < 0.15
    up = after[:, 2] - window.points(300)[:, 2]
    assert 70.0 < up.mean() < 85.0
    flat = slid.model_copy(update={"on_surface": False})
    straight_up = apply_departures(network, (flat,)).line("window").points(300)
    off = straight_up[:, 1] - _on(shape, straight_up[:, 0], straight_up[:, 2])[:, 1]
    assert np.abs(off).max() > 5.0


def test_families_go_first_and_in_their_order_and_zones_act_on_what_they_leave(
    network: LineNetwork,
) -> None:
    longer = Departure(name="longer", reason="", axis="x", start=600.0, end=1000.0, by=60.0)
    after = depart(network, (longer, BACK), mirrors=MIRRORS)
    moved = depart(network, (BACK,), mirrors=MIRRORS)
    np.testing.assert_allclose(
        after.moved.line("rear arch").points(50), moved.network.line("rear arch").points(50)
    )
    end = after.network.line("rear arch").points(50) - network.line("rear arch").points(50)
    np.testing.assert_allclose(end, np.broadcast_to([100.0, 0.0, 0.0], end.shape), atol=1e-9)


def test_nothing_switched_on_changes_nothing(network: LineNetwork) -> None:
    off = tuple(one.model_copy(update={"on": False}) for one in EVERY)
    assert departed(network, *off).lines == network.lines


REFUSED = [
    ({"lines": ()}, "names no line"),
    ({"lines": ("fin",)}, "no such line"),
    ({"lines": ("front rim",)}, "everything is measured"),
    ({"move": (0.0, 0.0, float("nan"))}, "number missing"),
    ({"move": (0.0, 0.0, 9000.0)}, "off any vehicle"),
    ({"lines": ("roof centre",), "move": (0.0, 5.0, 0.0)}, "both sides of the centre plane"),
    ({"kind": "scale", "factors": (1.0, 0.0, 1.0)}, "between 0.2 and 5"),
    ({"move": (0.0, 0.0, -900.0)}, "past the end of"),
]


@pytest.mark.parametrize(("update", "sentence"), REFUSED, ids=[s for _, s in REFUSED])
def test_a_family_that_cannot_go_there_is_refused_in_one_sentence(
    network: LineNetwork, update: dict[str, object], sentence: str
) -> None:
    with pytest.raises(JobError) as refusal:
        apply_departures(
            network, (BELT_UP.model_copy(update=update),), mirrors=MIRRORS, firm=("front rim",)
        )
    assert sentence in f"{refusal.value.problem} {refusal.value.remedy}"


def test_the_followers_are_lines_with_their_turns_counted_anew(network: LineNetwork) -> None:
    after = departed(network, ROOF_UP)
    assert all(isinstance(line, Line) and line.curvature_extrema >= 0 for line in after.lines)
    peak = after.line("front arch").points(2001)[:, 2].max()
    assert peak == pytest.approx(network.line("front arch").points(2001)[:, 2].max() + 30.0, abs=1)
