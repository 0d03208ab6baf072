"""Cards chosen by a tolerance: as many as it takes, where it takes them."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.gauges import make_gauges
from buckwright.gauges.batten import Section, batten_surface
from buckwright.gauges.choose import choose_planes
from buckwright.gauges.sections import metal_face
from buckwright.model.gauges import Gauges, GaugeSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion
from skins_on_paper import cylinder, grid_region, torus

NONE = LineNetwork(lines=(), crossings=())
RING, TUBE = 430.0, 230.0
X = np.array([1.0, 0.0, 0.0])


def arch(scale: float = 1.0) -> SkinRegion:
    """The outer part of a torus about y, like a wing over a wheel."""
    turn = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])

    def surface(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        return scale * (torus(RING, TUBE)(u, v) @ turn.T + [0.0, -690.0, 100.0])

    return grid_region(
        "wing",
        surface,
        np.linspace(0.55, np.pi - 0.55, 50),
        np.linspace(-0.55, 0.55, 12),
        outward=lambda p: (p - [0.0, -690.0 * scale, 100.0 * scale]) * [1.0, 0.0, 1.0],
        side="left",
    )


def chosen(tolerance: float, region: SkinRegion | None = None, **more: object) -> Gauges:
    spec = GaugeSpec(region="wing", axis="x", tolerance=tolerance, **more)
    return make_gauges((spec,), Skin(regions=(region or arch(),)), NONE)


def test_the_set_says_what_it_keeps_and_how_it_is_read() -> None:
    made = chosen(1.0)
    (told,) = made.sets
    assert told.error <= told.tolerance == 1.0
    assert "natural cubic spline" in told.law
    left = [card for card in made.gauges if card.hand == "left"]
    assert [card.plane for card in left] == [("x", at) for at in told.at]
    assert np.all(np.diff(told.at) > 0.0)
    assert np.all(told.at == np.round(told.at))


def test_a_tighter_tolerance_takes_more_cards() -> None:
    counts = [len(chosen(tolerance).sets[0].at) for tolerance in (20.0, 1.0, 0.3)]
    assert counts[0] < counts[1] < counts[2]


@pytest.mark.parametrize("tolerance", [2.0, 0.5])
def test_no_card_of_a_set_can_be_spared(tolerance: float) -> None:
    face = metal_face(arch(), depth=0.0)
    found = choose_planes(face, X, tolerance)
    made = chosen(tolerance)
    left = [card.section for card in made.gauges if card.hand == "left"]
    places = np.linspace(found.at[0], found.at[-1], 400)
    for k in range(1, len(left) - 1):
        fewer = [*left[:k], *left[k + 1 :]]
        assert off_torus_most(fewer, places) > 0.85 * tolerance


def off_torus_most(sections: list[np.ndarray], places: np.ndarray) -> float:
    cards = [Section(float(s[0, 0]), evenly(s), np.zeros((101, 3))) for s in sections]
    points = batten_surface(cards, places).reshape(-1, 3) - np.array([0.0, -690.0, 100.0])
    ring = np.hypot(points[:, 0], points[:, 2]) - RING
    return float(np.abs(np.hypot(ring, points[:, 1]) - TUBE).max())


def evenly(points: np.ndarray) -> np.ndarray:
    along = np.concatenate([[0.0], np.linalg.norm(np.diff(points, axis=0), axis=1).cumsum()])
    at = np.linspace(0.0, along[-1], 101)
    return np.column_stack([np.interp(at, along, column) for column in points.T])


def test_a_straight_tube_takes_two_cards() -> None:
    tube = grid_region(
        "wing",
        cylinder(400.0),
        np.linspace(0.0, 1000.0, 41),
        np.linspace(1.7, 2.9, 20),
        outward=lambda p: p * [0.0, 1.0, 1.0],
        side="left",
    )
    (told,) = chosen(0.2, tube).sets
    assert len(told.at) == 2
    assert told.error < 0.05


def test_a_shape_twice_as_large_with_twice_the_tolerance_takes_as_many_cards() -> None:
    one, two = chosen(1.0).sets[0], chosen(2.0, arch(2.0)).sets[0]
    assert abs(len(one.at) - len(two.at)) <= 1
    assert two.error <= 2.0


def test_a_mirrored_or_reversed_shape_takes_the_mirrored_cards() -> None:
    region = arch()
    back = region.model_copy(
        update={
            "vertices": region.vertices * [-1.0, 1.0, 1.0],
            "triangles": region.triangles[:, ::-1].copy(),
        }
    )
    one, other = chosen(1.0).sets[0], chosen(1.0, back).sets[0]
    assert len(one.at) == len(other.at)
    assert abs(one.error - other.error) < 0.3


def test_a_turned_shape_takes_cards_across_the_turned_direction() -> None:
    angle = 0.4
    cosine, sine = np.cos(angle), np.sin(angle)
    turn = np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]])
    region = arch()
    turned = region.model_copy(update={"vertices": region.vertices @ turn.T})
    made = chosen(1.0, turned, direction=tuple(turn @ X))
    (told,) = made.sets
    np.testing.assert_allclose(told.at, chosen(1.0).sets[0].at)
    for card in made.gauges[::2]:
        assert card.oblique
        assert np.abs(card.section @ turn @ X - card.section[0] @ turn @ X).max() < 1e-9
        on_card = (card.section - card.origin) @ card.axes.T
        assert np.abs(on_card - card.profile).max() < 1e-9


def test_chosen_cards_are_square_enough_to_be_held_and_say_where_they_end() -> None:
    made = chosen(1.0, grid_region_to_the_tips())
    assert min(card.squareness_deg for card in made.gauges) >= 40.0
    assert [finding.code for finding in made.findings] == ["gauges-end-short"]


def grid_region_to_the_tips() -> SkinRegion:
    return grid_region(
        "wing",
        lambda u, v: torus(RING, TUBE)(u, v)[:, [0, 2, 1]] + [0.0, -690.0, 100.0],
        np.linspace(0.05, np.pi - 0.05, 60),
        np.linspace(-0.55, 0.55, 12),
        outward=lambda p: (p - [0.0, -690.0, 100.0]) * [1.0, 0.0, 1.0],
        side="left",
    )


def test_a_tolerance_that_cannot_be_kept_is_said() -> None:
    made = chosen(0.002)
    assert "gauges-over-tolerance" in [finding.code for finding in made.findings]
    assert made.sets[0].error > 0.002


def test_a_part_too_small_for_any_card_is_refused_with_a_guess_at_its_units() -> None:
    with pytest.raises(JobError, match="inches"):
        chosen(1.0, arch(1.0 / 25.4))


def test_a_direction_without_length_is_refused() -> None:
    with pytest.raises(JobError, match="no direction"):
        chosen(1.0, direction=(0.0, 0.0, 0.0))


def test_battens_run_through_every_card_and_straight_between_two() -> None:
    at = np.array([0.0, 40.0, 100.0])
    rows = [np.column_stack([np.full(5, a), np.arange(5.0), np.full(5, a * a)]) for a in at]
    cards = [Section(a, row, np.zeros((5, 3))) for a, row in zip(at, rows, strict=True)]
    np.testing.assert_allclose(batten_surface(cards, at), rows, atol=1e-8)
    gentle = [Section(c.at, c.points * [1.0, 1.0, 0.002], c.outward) for c in cards]
    np.testing.assert_allclose(batten_surface(gentle, at), [c.points for c in gentle], atol=1e-6)
    middle = batten_surface(cards[:2], np.array([20.0]))[0]
    np.testing.assert_allclose(middle, 0.5 * (rows[0] + rows[1]))
