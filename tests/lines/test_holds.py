"""What lines are told to keep: straight runs, end directions, corners, tolerance, weights."""

from itertools import pairwise

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.polyline import resample_polyline
from buckwright.lines import fair_line
from buckwright.lines.laying import Laid, lay_network
from buckwright.lines.network import drawn_network
from buckwright.model.holds import EndTangent, LineHold, PointWeight, StraightRun
from buckwright.model.lines import Line, LineNetwork, LineSpec, Pin, PlacedLine
from small_cab import SPECS, placed_lines

FLIP = np.array([1.0, -1.0, 1.0])
HOLDS = (
    LineHold(line="belt right", straights=(StraightRun(start=0.2, end=0.4),)),
    LineHold(line="front arch", corners=(0.2,)),
    LineHold(
        line="roof centre",
        tangents=(EndTangent(end="first", way="direction", direction=(-1.0, 0.0, -0.1)),),
        tolerance=12.0,
    ),
    LineHold(line="sill left", straights=(StraightRun(start=0.0, end=1.0),)),
)


def off_straight(line: Line, start: float, end: float) -> float:
    points = line.curve()(np.linspace(start, end, 60))
    gap = points - points[0]
    along = gap[-1] / np.linalg.norm(gap[-1])
    return float(np.linalg.norm(gap - np.outer(gap @ along, along), axis=1).max())


def end_way(line: Line, at: float) -> np.ndarray:
    run = line.curve()(at, nu=1)
    return run / np.linalg.norm(run)


def bent_rail(sigma: float = 0.3) -> PlacedLine:
    """600 mm straight, a quarter round of 500 mm, a corner of 45 degrees, 400 mm more."""
    u = np.linspace(0.0, 1.0, 2001)
    t = 0.5 * np.pi * u
    first = np.column_stack([600.0 * u, 0 * u, 0 * u])
    round_ = np.column_stack([600 + 500 * np.sin(t), 0 * u, 500 - 500 * np.cos(t)])
    last = np.column_stack([1100 + 283 * u, 0 * u, 500 + 283 * u])
    whole = np.vstack([first, round_[1:], last[1:]])
    points = resample_polyline(whole, 100, closed=False)
    points = points + np.random.default_rng(3).normal(scale=sigma, size=points.shape)
    return PlacedLine(name="rail", points=points, sigma=np.full(100, sigma), closed=False)


def hatch_with_corners() -> PlacedLine:
    """A closed outline, 600 mm by 400 mm; begun in the middle of its bowed bottom."""
    u = np.linspace(0.0, 1.0, 401)[:-1]
    corners = np.array([[300.0, 0.0], [300.0, 400.0], [-300.0, 400.0], [-300.0, 0.0]])
    sides = [a + u[:, None] * (b - a) for a, b in pairwise([*corners, corners[0]])]
    sides[3][:, 1] -= 160.0 * u * (1.0 - u)
    outline = np.roll(np.vstack(sides), 200, axis=0)
    points = resample_polyline(outline, 100, closed=True)
    placed = np.column_stack([points[:, 0], np.full(100, -600.0), points[:, 1]])
    placed = placed + np.random.default_rng(5).normal(scale=0.3, size=placed.shape)
    return PlacedLine(name="x", points=placed, sigma=np.full(100, 0.3), closed=True)


LONG = 600.0 + 250.0 * np.pi + 400.0
CORNER = (600.0 + 250.0 * np.pi) / LONG
RAIL = LineHold(
    line="rail",
    straights=(StraightRun(start=0.0, end=590.0 / LONG),),
    corners=(CORNER + 12.0 / LONG,),
    tangents=(EndTangent(end="last", way="direction", direction=(-1.0, 0.0, -1.0)),),
)


@pytest.fixture(scope="module")
def rail() -> Line:
    return fair_line(bent_rail(), hold=RAIL)


def test_a_straight_run_is_exactly_straight_and_no_longer_than_asked(rail: Line) -> None:
    ((start, end),) = rail.straights
    assert start == 0.0
    assert end == pytest.approx(590.0 / LONG, abs=2e-3)
    assert off_straight(rail, start, end) < 1e-9
    assert off_straight(rail, start, end + 0.1) > 1.0


def test_a_corner_is_found_where_the_points_break_and_both_sides_are_fair(rail: Line) -> None:
    (corner,) = rail.corners
    assert rail.curve()(corner) == pytest.approx([1100.0, 0.0, 500.0], abs=1.0)
    before, after = end_way(rail, corner - 1e-9), end_way(rail, corner + 1e-9)
    assert np.degrees(np.arccos(before @ after)) == pytest.approx(45.0, abs=3.0)
    rounded = fair_line(bent_rail())
    assert rail.curvature_extrema < 0.5 * rounded.curvature_extrema


def test_an_end_runs_the_way_it_is_told_in_the_lines_own_sense(rail: Line) -> None:
    assert end_way(rail, 1.0) == pytest.approx(np.array([1.0, 0.0, 1.0]) / np.sqrt(2), abs=1e-12)
    assert rail.held_ends == (False, True)


def test_where_the_points_do_not_break_a_corner_stays_where_it_was_set() -> None:
    placed = next(line for line in placed_lines(sigma=0.3) if line.name == "belt left")
    line = fair_line(placed, hold=LineHold(line="belt left", corners=(0.6,)))
    assert line.corners[0] == pytest.approx(0.6, abs=2e-3)


def test_a_typed_tolerance_takes_the_place_of_the_measured_one() -> None:
    placed = next(line for line in placed_lines(sigma=1.5, draw=2) if line.name == "belt left")
    turns = []
    for tolerance in (3.0, 12.0):
        line = fair_line(placed, hold=LineHold(line="belt left", tolerance=tolerance))
        assert line.tolerance == tolerance
        assert line.moved_most <= tolerance + 0.1 or line.beyond > 0.0
        turns.append(line.curvature_extrema)
    assert turns[1] <= turns[0]


def test_heavy_points_hold_the_line_and_light_ones_let_it_go() -> None:
    placed = next(line for line in placed_lines(sigma=0.5) if line.name == "belt left")
    points = np.array(placed.points)
    along = np.linspace(0.0, 1.0, len(points))
    bump = points + np.outer(6.0 * np.exp(-(((along - 0.5) / 0.03) ** 2)), [0.0, 0.0, 1.0])
    bad = PlacedLine(name="belt left", points=bump, sigma=placed.sigma, closed=False)

    def rise(times: float) -> float:
        weight = PointWeight(start=0.4, end=0.6, times=times)
        held = fair_line(bad, hold=LineHold(line="belt left", weights=(weight,)))
        return float(held.curve()(0.5)[2] - fair_line(placed).curve()(0.5)[2])

    light, heavy = rise(0.01), rise(20.0)
    assert light < 2.0
    assert heavy > 4.0


@pytest.mark.parametrize("closed", [False, True])
def test_what_is_kept_turns_and_grows_with_the_line(closed: bool) -> None:
    if closed:
        placed = hatch_with_corners()
        hold = LineHold(
            line="x",
            straights=(StraightRun(start=0.35, end=0.648),),
            corners=(0.15, 0.35, 0.648, 0.847),
        )
    else:
        placed, hold = bent_rail(), RAIL.model_copy(update={"tangents": ()})
    line = fair_line(placed, hold=hold)
    turn = np.linalg.qr(np.random.default_rng(1).normal(size=(3, 3)))[0]
    points = 2.0 * np.asarray(placed.points) @ turn.T + [100.0, -50.0, 7.0]
    moved = PlacedLine(name="x", points=points, sigma=2.0 * placed.sigma, closed=closed)
    again = fair_line(moved, hold=hold)
    at = np.linspace(0.0, 1.0, 50)
    np.testing.assert_allclose(
        again.curve()(at), 2.0 * line.curve()(at) @ turn.T + [100.0, -50.0, 7.0], atol=0.5
    )
    assert len(line.corners) == len(hold.corners)


@pytest.fixture(scope="module")
def laid() -> Laid:
    return lay_network(placed_lines(sigma=1.0, spacing=60.0), SPECS, HOLDS)


@pytest.fixture(scope="module")
def before(laid: Laid) -> LineNetwork:
    return drawn_network(laid)


def kept(network: LineNetwork) -> None:
    """All of HOLDS, and crossings, to 1e-6 mm and 1e-9."""
    for name in ("belt left", "belt right", "sill left", "sill right"):
        ((start, end),) = network.line(name).straights
        assert off_straight(network.line(name), start, end) < 1e-6
    roof = network.line("roof centre")
    assert end_way(roof, 0.0) == pytest.approx(np.array([1, 0, 0.1]) / np.hypot(1, 0.1), abs=1e-9)
    arch = network.line("front arch")
    assert sum(arch.corners) == pytest.approx(1.0, abs=1e-7)
    at = np.linspace(0.0, 1.0, 101)
    np.testing.assert_allclose(arch.curve()(at), arch.curve()(1.0 - at) * FLIP, atol=1e-7)
    np.testing.assert_array_equal(
        network.line("belt right").control, network.line("belt left").control * FLIP
    )
    for crossing in network.crossings:
        for name, at_ in zip(crossing.lines, crossing.parameters, strict=True):
            gap = np.linalg.norm(network.line(name).curve()(at_) - crossing.point)
            assert gap < 1e-5


def test_a_network_keeps_what_its_lines_are_told_on_both_sides(before: LineNetwork) -> None:
    kept(before)


@pytest.mark.parametrize(
    ("line", "share", "move"),
    [
        ("belt right", 0.3, (None, 6.0, 14.0)),
        ("belt left", 0.7, (None, None, -12.0)),
        ("sill left", 0.5, (None, -8.0, None)),
        ("front arch", 0.25, (-7.0, None, None)),
        ("roof centre", 0.1, (None, None, 15.0)),
    ],
)
def test_the_hand_cannot_bend_what_is_kept(
    laid: Laid, before: LineNetwork, line: str, share: float, move: tuple
) -> None:
    at = before.line(line).curve()(share)
    x, y, z = (None if m is None else float(p + m) for p, m in zip(at, move, strict=True))
    after = drawn_network(laid, (Pin(line=line, share=share, point=(x, y, z)),))
    kept(after)
    moved = after.line(line).curve()(share) - at
    for k, wanted in enumerate(move):
        if wanted is not None:
            assert moved[k] == pytest.approx(wanted, abs=1e-5)


def test_an_end_square_to_the_centre_plane_leads_over_it_without_a_break() -> None:
    placed = next(line for line in placed_lines(sigma=0.4) if line.name == "front arch")
    half = np.asarray(placed.points)
    half = half[half[:, 1] < -1.0]
    side = PlacedLine(name="half", points=half, sigma=np.full(len(half), 0.4), closed=False)
    hold = LineHold(line="half", tangents=(EndTangent(end="last", way="square"),))
    line = fair_line(side, hold=hold)
    assert np.abs(end_way(line, 1.0)) == pytest.approx([0.0, 1.0, 0.0], abs=1e-12)


def test_a_line_runs_on_from_another_and_says_when_the_hand_turned_that() -> None:
    """Two stretches of one circle, laid apart, with errors."""
    rng = np.random.default_rng(0)

    def stretch(name: str, low: float, high: float) -> PlacedLine:
        turn = np.radians(np.linspace(low, high, 60))
        points = np.column_stack(
            [2000 * np.sin(turn), 0 * turn - 700 - 5 * turn, 2000 * np.cos(turn)]
        )
        points = points + rng.normal(scale=0.5, size=points.shape)
        return PlacedLine(name=name, points=points, sigma=np.full(60, 0.5), closed=False)

    placed = (stretch("front", -30.0, 0.0), stretch("rear", 0.0, 30.0))
    specs = (LineSpec(name="front"), LineSpec(name="rear"))
    hold = LineHold(line="rear", tangents=(EndTangent(end="first", way="line", line="front"),))
    loose = drawn_network(lay_network(placed, specs))
    laid = lay_network(placed, specs, (hold,))
    network = drawn_network(laid)

    def angle(network: LineNetwork) -> float:
        run = np.cross(end_way(network.line("front"), 1.0), end_way(network.line("rear"), 0.0))
        return float(np.degrees(np.arcsin(np.linalg.norm(run))))

    assert angle(network) < 1e-6 < angle(loose)
    assert not [f for f in network.findings if f.code == "runs-off"]
    z = float(network.line("front").curve()(0.7)[2])
    pulled = drawn_network(laid, (Pin(line="front", share=0.7, point=(None, None, z + 30.0)),))
    (doubt,) = (f for f in pulled.findings if f.code == "runs-off")
    assert f"{angle(pulled):.1f} degrees" in doubt.message


def test_a_straight_run_that_the_band_does_not_allow_says_so_in_a_sentence() -> None:
    hold = LineHold(line="roof centre", straights=(StraightRun(start=0.1, end=0.9),))
    network = drawn_network(lay_network(placed_lines(sigma=0.5, spacing=60.0), SPECS, (hold,)))
    (doubt,) = (f for f in network.findings if f.code == "band-left")
    assert "to be straight there" in doubt.message
    assert doubt.remedy == "Make the straight run shorter, or take it away."
    line = network.line("roof centre")
    assert f"{line.beyond:.1f} mm" in doubt.message
    assert ", ".join(f"{at:.0f}" for at in line.beyond_at or ()) in doubt.message


def test_pins_that_would_bend_a_straight_run_are_refused(laid: Laid, before: LineNetwork) -> None:
    points = before.line("sill left").curve()([0.2, 0.5, 0.8])
    pins = tuple(
        Pin(line="sill left", share=share, point=(None, None, float(point[2] + by)))
        for share, point, by in zip((0.2, 0.5, 0.8), points, (0.0, 20.0, 0.0), strict=True)
    )
    with pytest.raises(JobError, match="keep straight"):
        drawn_network(laid, pins)


def run(*places: tuple[float, float]) -> dict:
    return {"straights": tuple(StraightRun(start=a, end=b) for a, b in places)}


def tangent(**more: object) -> dict:
    return {"tangents": (EndTangent(**({"end": "first", "way": "direction"} | more)),)}


@pytest.mark.parametrize(
    ("line", "keeps", "words"),
    [
        ("belt left", {"tolerance": 0.0}, "no room to be fair"),
        ("belt left", {"tolerance": float("nan")}, "no room to be fair"),
        ("belt left", {"corners": (0.4, 0.402)}, "two corners at one place"),
        ("belt left", {"corners": (0.4, 0.4)}, "two corners at one place"),
        ("belt left", {"corners": (0.001,)}, "at its end"),
        ("belt left", {"corners": (1.4,)}, "beyond its ends"),
        ("belt left", {"corners": (float("nan"),)}, "beyond its ends"),
        ("belt left", run((0.2, 0.5)) | {"corners": (0.3,)}, "inside a straight run"),
        ("belt left", run((0.5, 0.2)), "end where it begins"),
        ("belt left", run((0.5, 0.5)), "end where it begins"),
        ("belt left", run((0.5, 0.502)), "shorter than"),
        ("belt left", run((0.2, 0.5), (0.4, 0.8)), "meet without a corner"),
        ("belt left", run((0.2, 0.5), (0.5, 0.8)), "meet without a corner"),
        ("hatch left", run((0.05, 0.75)), "leave its points"),
        ("belt left", tangent(direction=(0.0, 0.0, 0.0)), "direction without length"),
        ("belt left", tangent(), "direction without length"),
        ("belt left", tangent(direction=(0.0, 0.0, 1.0)), "turn by"),
        ("belt left", tangent(way="line", line="nobody"), "no line 'nobody'"),
        ("belt left", tangent(way="line", line="belt right"), "from itself"),
        ("belt left", tangent(way="line", line="hatch left"), "cannot run on"),
        ("roof centre", tangent(way="square"), "in the centre plane"),
        ("hatch left", tangent(way="square"), "closed and has no ends"),
        ("front rim", {"corners": (0.4,)}, "fixes the axes"),
        ("nobody", {"corners": (0.4,)}, "no line 'nobody'"),
        ("belt left", {"weights": (PointWeight(start=0.1, end=0.2, times=0.0),)}, "so many times"),
    ],
)
def test_what_no_line_can_keep_is_refused_with_a_sentence(
    line: str, keeps: dict, words: str
) -> None:
    hold = LineHold(line=line, **keeps)
    with pytest.raises(JobError, match=words) as refusal:
        lay_network(placed_lines(spacing=110.0, sigma=1.0), SPECS, (hold,))
    assert refusal.value.problem.endswith(".")
    assert refusal.value.remedy.endswith(".")


def test_two_corners_of_a_pair_said_differently_of_both_sides_are_refused() -> None:
    holds = tuple(LineHold(line=f"belt {side}", corners=(0.4,)) for side in ("left", "right"))
    with pytest.raises(JobError, match="different things"):
        lay_network(placed_lines(spacing=110.0, sigma=1.0), SPECS, holds)


def test_points_that_make_no_line_are_refused_with_a_sentence() -> None:
    for points in (np.zeros((1, 3)), np.tile([1.0, 2.0, 3.0], (40, 1))):
        placed = PlacedLine(name="x", points=points, sigma=np.ones(len(points)), closed=False)
        with pytest.raises(JobError, match="only 1 different points") as refusal:
            fair_line(placed)
        assert refusal.value.remedy == "Trace it again with 4 points at least."
    with pytest.raises(ValueError, match="every number must be finite"):
        PlacedLine(name="x", points=[[0.0, 0.0, np.nan]], sigma=[1.0], closed=False)


def test_a_line_that_crosses_itself_says_where() -> None:
    turn = np.linspace(1.0, 7.0, 120)
    loop = np.column_stack([500.0 * np.sin(turn), 0 * turn - 600.0, 300.0 * np.sin(2.0 * turn)])
    rng = np.random.default_rng(0)
    placed = PlacedLine(
        name="loop",
        points=loop + rng.normal(scale=0.3, size=loop.shape),
        sigma=np.full(120, 0.3),
        closed=False,
    )
    network = drawn_network(lay_network((placed,), (LineSpec(name="loop"),)))
    (doubt,) = (f for f in network.findings if f.code == "crosses-itself")
    x, _, z = (float(part) for part in doubt.message.split("(")[1].split(")")[0].split(","))
    assert np.hypot(x, z) < 15.0
    plain = drawn_network(lay_network(placed_lines(sigma=1.0, spacing=60.0), SPECS))
    assert not [f for f in plain.findings if f.code == "crosses-itself"]
