"""Stands: feet on one bench, combs clear of the metal, the other side mirrored."""

import numpy as np
import pytest
import shapely

from buckwright.gauges import make_gauges
from buckwright.model.gauges import Gauges, GaugeSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion
from skins_on_paper import grid_region

NONE = LineNetwork(lines=(), crossings=())
RADIUS = 420.0
STATIONS = (-300.0, -100.0, 120.0, 310.0)
FLIP = np.array([1.0, -1.0, 1.0])


def wing(low: float = 0.9, high: float = 2.2) -> SkinRegion:
    """The top of a barrel about x."""

    def barrel(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        radius = RADIUS - u**2 / 2500.0
        return np.column_stack([u, -700.0 - radius * np.cos(v), 300.0 + radius * np.sin(v)])

    return grid_region(
        "wing",
        barrel,
        np.linspace(-450.0, 450.0, 41),
        np.linspace(low, high, 21),
        outward=lambda p: p - [0.0, -700.0, 300.0],
        side="left",
    )


def stood(region: SkinRegion | None = None, **more: object) -> Gauges:
    asked = {"region": "wing", "axis": "x", "at": STATIONS, "stand": True, **more}
    return make_gauges((GaugeSpec(**asked),), Skin(regions=(region or wing(),)), NONE)


@pytest.mark.parametrize("face", ["outside", "inside"])
def test_every_foot_stands_on_one_bench(face: str) -> None:
    made = stood(face=face)
    for stand in made.stands:
        up = np.asarray(stand.up)
        np.testing.assert_allclose(up, [0.0, 0.0, -1.0 if face == "outside" else 1.0])
        for card in (c for c in made.gauges if c.name in stand.cards):
            heights = (card.origin + card.outline @ card.axes) @ up - stand.foot
            assert heights.min() == pytest.approx(0.0, abs=1e-9)
            assert np.count_nonzero(heights < 1e-9) >= 6
            profile = card.section @ up - stand.foot
            assert profile.min() >= 60.0 - 1e-9
        for board in stand.boards:
            heights = (board.origin + board.outline @ board.axes) @ up - stand.foot
            assert heights.min() == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("face", ["outside", "inside"])
def test_combs_stay_clear_of_the_metal(face: str) -> None:
    made = stood(face=face)
    for board in made.stands[0].boards:
        shape = shapely.Polygon(board.outline)
        assert shape.is_valid
        edge = shapely.get_coordinates(shape.exterior.segmentize(2.0))
        points = board.origin + edge @ board.axes
        radius = RADIUS - points[:, 0] ** 2 / 2500.0
        off = np.hypot(points[:, 1] + 700.0, points[:, 2] - 300.0) - radius
        assert (off if face == "outside" else -off).min() > 8.0


def test_slots_are_as_wide_as_the_board_really_is() -> None:
    for thickness, clearance in ((3.0, 0.1), (6.2, 0.3)):
        made = stood(card_thickness=thickness, clearance=clearance)
        board = made.stands[0].boards[0]
        shape = shapely.Polygon(board.outline)
        for (x, floor), name in zip(board.slots, board.slot_names, strict=True):
            level = shapely.LineString([(x - 20.0, floor + 1.0), (x + 20.0, floor + 1.0)])
            assert 40.0 - shape.intersection(level).length == pytest.approx(thickness + clearance)
            assert name in made.stands[0].cards


def test_the_play_grows_with_the_clearance_and_is_none_without() -> None:
    plays = [stood(clearance=c).stands[0].play for c in (0.0, 0.1, 0.2)]
    assert plays[0] == 0.0
    assert plays[2] == pytest.approx(2.0 * plays[1])


def test_the_right_stand_is_the_exact_mirror_image() -> None:
    left, right = stood().stands
    assert (left.hand, right.hand) == ("left", "right")
    assert right.name == "wing stand right"
    assert right.cards == tuple(name.replace("left", "right") for name in left.cards)
    for one, other in zip(left.boards, right.boards, strict=True):
        assert other.name == one.name.replace("left", "right")
        assert np.abs(one.outline[::-1] * [-1.0, 1.0] - other.outline).max() < 1e-9
        points = (one.origin + one.slots @ one.axes) * FLIP
        assert np.abs(other.origin + other.slots @ other.axes - points).max() < 1e-9
        assert all(name.endswith("right") for name in other.slot_names)


def test_the_profile_of_a_card_is_still_on_its_outline() -> None:
    for card in stood().gauges:
        outline = shapely.LinearRing(card.outline)
        assert max(outline.distance(shapely.Point(p)) for p in card.profile) < 1e-9
        assert shapely.Polygon(card.outline).is_valid


def test_edges_that_need_a_bevel_are_said_with_how_much() -> None:
    made = stood(card_thickness=6.0)
    slope = np.arctan(310.0 / 1250.0)
    worst = max(card.edge_off for card in made.gauges)
    assert worst == pytest.approx(3.0 * np.sin(slope), abs=0.02)
    assert "edge-needs-bevel" in [finding.code for finding in made.findings]
    assert "edge-needs-bevel" not in [f.code for f in stood(card_thickness=0.8).findings]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"at": (0.0,)}, "fewer than two cards"),
        ({"at": (0.0, 4.0)}, "fewer than two cards"),
        ({"region": wing(-0.3, 3.3)}, "wrap round"),
    ],
    ids=["one card", "too close", "wraps round"],
)
def test_where_no_stand_can_be_the_cards_stay_and_the_reason_is_said(
    change: dict[str, object], words: str
) -> None:
    region = change.pop("region", None)
    made = stood(region, **change)
    assert made.stands == ()
    assert made.gauges
    (doubt,) = [finding for finding in made.findings if finding.code == "no-stand"]
    assert words in doubt.message


def test_cards_too_narrow_for_the_combs_are_left_out_by_name() -> None:
    def tapered(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        across = v * (1.0 - np.abs(u) / 500.0)
        return np.column_stack([u, -700.0 + 200.0 * across, 600.0 - 60.0 * across**2])

    region = grid_region(
        "wing",
        tapered,
        np.linspace(-450.0, 450.0, 61),
        np.linspace(-1.0, 1.0, 21),
        outward=lambda p: p * 0.0 + [0.0, 0.0, 1.0],
        side="left",
    )
    made = stood(region, at=(-440.0, -200.0, 0.0, 200.0))
    assert "wing x -440 left" not in made.stands[0].cards
    assert len(made.stands[0].cards) == 3
    (doubt,) = [f for f in made.findings if f.code == "cards-not-in-stand"]
    assert "wing x -440 left" in doubt.message


def test_of_two_cards_too_close_for_a_comb_the_narrower_is_left_out() -> None:
    made = stood(at=(-300.0, 100.0, 105.0, 310.0))
    assert made.stands[0].cards == ("wing x -300 left", "wing x 100 left", "wing x 310 left")
    assert [f.code for f in made.findings if "wing x 105 left" in f.message] == [
        "cards-not-in-stand"
    ]
