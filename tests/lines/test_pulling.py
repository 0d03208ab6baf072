"""Lines moved by hand."""

import json

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.lines import fair_network, finish_reference, lay_reference, make_reference
from buckwright.lines.laying import Laid
from buckwright.lines.network import drawn_network
from buckwright.model.lines import BattenChoice, Departure, LineNetwork, Pin
from pulls_on_paper import CASES, HELD_PULLS, PULLS, held_lines, laid_lines, make_case
from small_cab import DATUM, SPECS, measured_lines, placed_lines

FLIP = np.array([1.0, -1.0, 1.0])
AT = np.linspace(0.0, 1.0, 201)


@pytest.fixture(scope="module")
def laid() -> Laid:
    return laid_lines()


@pytest.fixture(scope="module")
def before(laid: Laid) -> LineNetwork:
    return drawn_network(laid)


def pin(before: LineNetwork, line: str, share: float, move: tuple) -> Pin:
    """A pin so far from where the line lies; None leaves the line free."""
    point = before.line(line).curve()(share)
    x, y, z = (None if m is None else float(p + m) for p, m in zip(point, move, strict=True))
    return Pin(line=line, share=share, point=(x, y, z))


def move(before: LineNetwork, after: LineNetwork, line: str, at=AT) -> np.ndarray:
    return after.line(line).curve()(at) - before.line(line).curve()(at)


def test_without_pins_nothing_moves(laid: Laid, before: LineNetwork) -> None:
    whole = fair_network(placed_lines(sigma=1.0, spacing=110.0), SPECS)
    for line in whole.lines:
        np.testing.assert_array_equal(line.control, before.line(line.name).control)
    stiff = drawn_network(laid, (), (BattenChoice(line="belt left", stiffness=64.0),))
    np.testing.assert_array_equal(stiff.line("belt left").control, before.line("belt left").control)


@pytest.mark.parametrize(
    ("line", "share", "by"),
    [
        ("roof centre", 0.4, (None, None, 20.0)),
        ("belt right", 0.55, (2.0, None, -15.0)),
        ("front arch", 0.3, (-10.0, -6.0, None)),
        ("hatch left", 0.1, (4.0, -3.0, 9.0)),
        ("sill left", 0.5, (None, -12.0, None)),
    ],
)
def test_a_pinned_line_passes_its_pin_and_lies_where_it_likes_in_the_free_axes(
    laid: Laid, before: LineNetwork, line: str, share: float, by: tuple
) -> None:
    after = drawn_network(laid, (pin(before, line, share, by),))
    moved = move(before, after, line, share)
    for k, wanted in enumerate(by):
        if wanted is not None:
            assert moved[k] == pytest.approx(wanted, abs=1e-6)
    held = np.array([0.0 if wanted is None else wanted for wanted in by])
    all_held = tuple(float(value) for value in before.line(line).curve()(share) + held)
    stiff = drawn_network(laid, (Pin(line=line, share=share, point=all_held),))
    # What is left free costs no more than being held where it was.
    assert np.abs(move(before, after, line)).max() < 1.5 * np.abs(held).max() + 1e-6
    assert np.abs(move(before, stiff, line, share) - held).max() < 1e-6


def test_crossings_stay_crossings_and_lines_are_taken_along(
    laid: Laid, before: LineNetwork
) -> None:
    after = drawn_network(laid, (pin(before, "belt left", 0.4, (None, -14.0, 10.0)),))
    assert len(after.crossings) == len(before.crossings)
    for crossing in after.crossings:
        for name, at in zip(crossing.lines, crossing.parameters, strict=True):
            gap = np.linalg.norm(after.line(name).curve()(at) - crossing.point)
            assert gap < 1e-6
    assert np.abs(move(before, after, "hatch left")).max() > 1.0
    notes = {finding.where: finding for finding in after.findings if finding.code[:6] == "pulled"}
    assert "was taken along" in notes["hatch left"].message
    assert "was pulled by hand" in notes["belt left"].message


def test_both_sides_move_as_mirror_images(laid: Laid, before: LineNetwork) -> None:
    left = pin(before, "belt left", 0.3, (None, -9.0, 5.0))
    right = pin(before, "belt right", 0.3, (None, 9.0, 5.0))
    one, other = (drawn_network(laid, (p,)) for p in (left, right))
    for line in one.lines:
        np.testing.assert_allclose(line.control, other.line(line.name).control, atol=1e-9)
    np.testing.assert_allclose(
        one.line("belt right").control, one.line("belt left").control * FLIP, atol=1e-9
    )


def test_an_arch_pulled_at_one_side_stays_symmetric(laid: Laid, before: LineNetwork) -> None:
    after = drawn_network(laid, (pin(before, "front arch", 0.3, (None, -8.0, 4.0)),))
    curve = after.line("front arch").curve()
    np.testing.assert_allclose(curve(AT), curve(1.0 - AT) * FLIP, atol=1e-9)
    assert move(before, after, "front arch", 0.7) == pytest.approx(
        move(before, after, "front arch", 0.3) * FLIP, abs=1e-6
    )


def test_a_centre_line_cannot_leave_the_centre_plane(laid: Laid, before: LineNetwork) -> None:
    after = drawn_network(laid, (pin(before, "roof centre", 0.6, (None, None, -11.0)),))
    assert np.all(after.line("roof centre").control[:, 1] == 0.0)
    for line, share in (("roof centre", 0.6), ("front arch", 0.5)):
        with pytest.raises(JobError, match="centre plane"):
            drawn_network(laid, (pin(before, line, share, (None, 5.0, None)),))


def test_a_pin_at_a_crossing_moves_both_lines(laid: Laid, before: LineNetwork) -> None:
    after = drawn_network(laid, (pin(before, "roof centre", 0.0, (0.0, None, 18.0)),))
    assert move(before, after, "roof centre", 0.0) == pytest.approx([0.0, 0.0, 18.0], abs=1e-6)
    assert move(before, after, "front arch", 0.5) == pytest.approx([0.0, 0.0, 18.0], abs=1e-6)


def test_pulls_add_up_and_their_order_does_not_matter(laid: Laid, before: LineNetwork) -> None:
    one = pin(before, "belt left", 0.25, (None, -6.0, None))
    two = pin(before, "rear arch", 0.2, (7.0, None, None))
    there, back = (drawn_network(laid, pins) for pins in ((one, two), (two, one)))
    for line in there.lines:
        np.testing.assert_allclose(line.control, back.line(line.name).control, atol=1e-9)
    twice = drawn_network(laid, (pin(before, "belt left", 0.25, (None, -12.0, None)),))
    once = drawn_network(laid, (one,))
    np.testing.assert_allclose(
        move(before, twice, "hatch left"), 2.0 * move(before, once, "hatch left"), atol=1e-7
    )


def test_a_pin_where_the_line_lies_moves_nothing(laid: Laid, before: LineNetwork) -> None:
    after = drawn_network(laid, (pin(before, "belt left", 0.35, (0.0, 0.0, 0.0)),))
    for line in after.lines:
        np.testing.assert_allclose(line.control, before.line(line.name).control, atol=1e-9)


def test_a_stiff_batten_gives_way_over_a_longer_stretch_than_a_limber_one(
    laid: Laid, before: LineNetwork
) -> None:
    def length(stiffness: float) -> float:
        pulled = pin(before, "front arch", 0.3, (-10.0, None, None))
        choice = (BattenChoice(line="front arch", stiffness=stiffness),)
        moved = move(before, drawn_network(laid, (pulled,), choice), "front arch")[:, 0]
        return float(np.mean(moved < -5.0))

    most_limber, limber, ordinary = (length(64.0**power) for power in (-2, -1, 0))
    assert most_limber < 0.8 * limber
    assert limber < 0.8 * ordinary


def test_leaving_the_measured_points_is_a_doubt_and_staying_with_them_a_note(
    laid: Laid, before: LineNetwork
) -> None:
    for by, kind in ((0.5, "note"), (25.0, "doubt")):
        after = drawn_network(laid, (pin(before, "sill left", 0.5, (None, -by, None)),))
        (finding,) = (f for f in after.findings if f.where == "sill left" and "pulled" in f.code)
        assert finding.kind == kind
        assert f"by {by:.1f} mm" in finding.message


@pytest.mark.parametrize(
    ("pins", "words"),
    [
        ([("nobody's line", 0.5, (0.0, 0.0, 0.0))], "no line"),
        ([("belt left", 1.2, (0.0, 0.0, 0.0))], "beyond its ends"),
        ([("belt left", float("nan"), (0.0, 0.0, 0.0))], "beyond its ends"),
        ([("belt left", 0.5, (None, None, None))], "where the line must pass"),
        ([("belt left", 0.5, (None, None, float("nan")))], "where the line must pass"),
        ([("front rim", 0.5, (0.0, None, None))], "fixes the axes"),
        ([("belt left", 0.5, (None, None, 1e5))], "half its length"),
        ([("belt left", 0.5, (1750.0, None, None))], "fold back"),
        (
            [("belt left", 0.5, (None, None, 900.0)), ("belt left", 0.501, (None, 0.0, None))],
            "one place",
        ),
        (
            [("roof centre", 0.0, (None, None, 1500.0)), ("front arch", 0.5, (0.0, None, None))],
            "held by a pin",
        ),
    ],
)
def test_nonsense_is_refused_with_a_sentence(laid: Laid, pins: list, words: str) -> None:
    asked = tuple(Pin(line=line, share=share, point=point) for line, share, point in pins)
    with pytest.raises(JobError, match=words) as refusal:
        drawn_network(laid, asked)
    assert refusal.value.remedy


@pytest.mark.parametrize(("line", "stiffness"), [("nobody's", 1.0), ("belt left", 0.0)])
def test_a_batten_that_cannot_be_is_refused(laid: Laid, line: str, stiffness: float) -> None:
    with pytest.raises(JobError):
        drawn_network(laid, (), (BattenChoice(line=line, stiffness=stiffness),))


def test_the_whole_step_pulls_before_it_departs_and_keeps_what_was_measured() -> None:
    measured = measured_lines(sigma=1.2)
    longer = Departure(name="longer", reason="load", axis="x", start=600.0, end=1000.0, by=60.0)
    lofted = lay_reference(measured, SPECS, DATUM, scale=8.0, scale_sigma=3e-4)
    plain = finish_reference(lofted, (longer,))
    assert plain.unpulled is None
    pins = (pin(plain.reference, "roof centre", 0.9, (None, None, 12.0)),)
    pulled = finish_reference(lofted, (longer,), pins)
    whole = make_reference(
        measured, SPECS, DATUM, (longer,), scale=8.0, scale_sigma=3e-4, pins=pins
    )
    for line in whole.network.lines:
        np.testing.assert_array_equal(line.control, pulled.network.line(line.name).control)
    shift = pulled.network.line("roof centre").curve()(0.9) - plain.network.line(
        "roof centre"
    ).curve()(0.9)
    assert shift[2] == pytest.approx(12.0, abs=1e-6)
    assert pulled.unpulled is not None
    np.testing.assert_array_equal(
        pulled.unpulled.line("roof centre").control, plain.reference.line("roof centre").control
    )


@pytest.fixture(scope="module")
def held() -> Laid:
    return held_lines()


@pytest.mark.parametrize("name", [*PULLS, *HELD_PULLS])
def test_the_cases_that_the_page_is_held_to_are_what_python_says(
    laid: Laid, held: Laid, name: str
) -> None:
    kept = {case["name"]: case for case in json.loads(CASES.read_text())["cases"]}[name]
    now = make_case(laid if name in PULLS else held, name)
    for key in ("points", "departed"):
        np.testing.assert_allclose(kept[key], now[key], atol=1e-6)
    np.testing.assert_allclose(kept["bends"], now["bends"], atol=1e-9)
    assert kept["others"].keys() == now["others"].keys()
