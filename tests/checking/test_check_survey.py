"""A survey is seated on the skin, and its high and low spots are named."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from buckwright.checking import check_survey
from buckwright.errors import JobError
from buckwright.model.checking import CheckResult, Survey
from buckwright.model.skin import Skin
from panels_on_paper import LENGTH, bumped, height, normal, panel, spread, survey

SKIN = panel()
LOW, HIGH = (150.0, -30.0), (-190.0, 40.0)
TURN = Rotation.from_euler("xyz", [40.0, -75.0, 160.0], degrees=True)
SHIFT = np.array([900.0, -300.0, 1500.0])


def built(count: int = 700, noise: float = 0.2, seed: int = 1) -> np.ndarray:
    """Points on a lid with a dent and a bump, where it lies in the vehicle."""
    x, y = spread(count, seed)
    lift = bumped(x, y, LOW, -6.0, 75.0) + bumped(x, y, HIGH, 4.0, 60.0)
    points = np.column_stack([x, y, height(x, y)]) + lift[:, None] * normal(x, y)
    return points + np.random.default_rng(seed + 50).normal(0.0, noise, points.shape)


def checked(points: np.ndarray, skin: Skin = SKIN, sigma: float = 0.2) -> CheckResult:
    return check_survey(survey(points, sigma), skin, tolerance=1.2)


@pytest.fixture(scope="module")
def moved() -> CheckResult:
    return checked(TURN.apply(built()) + SHIFT)


def test_dents_are_found_where_they_are_and_nothing_else(moved: CheckResult) -> None:
    assert [spot.kind for spot in moved.spots] == ["low", "high"]
    low, high = moved.spots
    assert np.hypot(*(low.centre[:2] - LOW)) < 8.0
    assert np.hypot(*(high.centre[:2] - HIGH)) < 8.0
    assert low.height == pytest.approx(-6.0, abs=0.6)
    assert high.height == pytest.approx(4.0, abs=0.6)
    assert -6.0 < low.mean < -1.2
    assert 1.2 < high.mean < 4.0


def test_the_area_is_that_beyond_the_tolerance(moved: CheckResult) -> None:
    # |6 (1 - s^2)^2| > 1.2 inside s^2 < 1 - sqrt(1.2 / 6), on a disc of 75 mm.
    for spot, peak, radius in zip(moved.spots, (6.0, 4.0), (75.0, 60.0), strict=True):
        disc = np.pi * radius**2 * (1.0 - np.sqrt(1.2 / peak))
        assert spot.area == pytest.approx(disc, rel=0.25)


def test_the_seat_is_true_and_the_rest_lies_within_the_noise(moved: CheckResult) -> None:
    home = built()
    assert np.abs(moved.seated - home)[:, 2].max() < 0.15
    assert np.allclose(moved.rotation @ moved.rotation.T, np.eye(3), atol=1e-12)
    assert moved.rms == pytest.approx(0.2, abs=0.1)
    assert 0.0 < moved.seating_sigma < 0.1


def test_a_spot_is_told_as_at_the_bench(moved: CheckResult) -> None:
    low, high = moved.spots
    assert low.words.startswith("low by ")
    assert "a hand's" in low.words
    assert "behind the lid section" in low.words
    assert low.words.endswith(": raise it from inside")
    assert "ahead of the lid section" in high.words
    assert high.words.endswith(": dress it down from outside")


@pytest.mark.parametrize(
    "turn", [Rotation.identity(), Rotation.from_rotvec([0.0, np.pi, 0.0]), TURN.inv()]
)
def test_turning_and_shifting_the_survey_changes_nothing(
    moved: CheckResult, turn: Rotation
) -> None:
    other = checked(turn.apply(built()) - 2.0 * SHIFT)
    assert np.abs(other.distance - moved.distance).max() < 0.05
    assert [spot.kind for spot in other.spots] == ["low", "high"]


def test_the_order_of_the_points_changes_nothing(moved: CheckResult) -> None:
    backward = checked((TURN.apply(built()) + SHIFT)[::-1])
    assert np.abs(backward.distance[::-1] - moved.distance).max() < 0.05


def test_a_mirrored_survey_of_the_mirrored_skin_has_mirrored_spots(moved: CheckResult) -> None:
    across = np.array([1.0, -1.0, 1.0])
    left = SKIN.regions[0]
    right = left.model_copy(
        update={
            "side": "right",
            "vertices": left.vertices * across,
            "triangles": left.triangles[:, ::-1],
        }
    )
    points = (TURN.apply(built()) + SHIFT) * across
    other = check_survey(survey(points, side="right"), Skin(regions=(left, right)), tolerance=1.2)
    assert np.abs(other.distance - moved.distance).max() < 0.05
    assert np.abs(other.spots[0].centre * across - moved.spots[0].centre).max() < 1.0


def test_everything_scales(moved: CheckResult) -> None:
    left = SKIN.regions[0]
    larger = Skin(regions=(left.model_copy(update={"vertices": 2.0 * left.vertices}),))
    points = 2.0 * (TURN.apply(built()) + SHIFT)
    other = check_survey(survey(points, sigma=0.4), larger, tolerance=2.4)
    assert np.abs(other.distance - 2.0 * moved.distance).max() < 0.1
    assert other.spots[0].area == pytest.approx(4.0 * moved.spots[0].area, rel=0.02)


def test_dents_do_not_pull_the_seat() -> None:
    x, y = spread(700, 4)
    wide = bumped(x, y, (120.0, 0.0), -14.0, 130.0)
    points = np.column_stack([x, y, height(x, y)]) + wide[:, None] * normal(x, y)
    result = checked(points, sigma=0.05)
    untouched = wide == 0.0
    assert np.abs(result.distance[untouched]).max() < 0.1
    assert len(result.spots) == 1
    assert result.spots[0].height == pytest.approx(-14.0, abs=0.4)


def test_points_beyond_the_edge_are_no_deviations() -> None:
    points = built()
    beside = np.column_stack(
        [np.linspace(-100.0, 100.0, 40), np.full(40, 195.0), np.full(40, -110.0)]
    )
    result = checked(np.vstack([points, beside]))
    assert len(result.spots) == 2
    assert {finding.code for finding in result.findings} >= {"points-off-edge"}


def test_a_lone_point_is_a_doubt_not_a_spot() -> None:
    points = built()
    slip = np.argmin(np.hypot(points[:, 0] - 20.0, points[:, 1] + 100.0))
    points[slip] += 9.0 * normal(points[[slip], 0], points[[slip], 1])[0]
    result = checked(points)
    assert len(result.spots) == 2
    assert [f.code for f in result.findings if f.code == "lone-points"] == ["lone-points"]


def test_a_panel_that_fits_two_ways_says_so() -> None:
    x, y = spread(400, 8)
    points = np.column_stack([x, y, -(x**2 / 1800.0 + y**2 / 700.0)])
    region = SKIN.regions[0]
    even = region.vertices.copy()
    even[:, 2] = -(even[:, 0] ** 2 / 1800.0 + even[:, 1] ** 2 / 700.0)
    skin = Skin(regions=(region.model_copy(update={"vertices": even}),))
    codes = {f.code for f in checked(points, skin).findings}
    assert "seated-two-ways" in codes


def test_wide_spacing_is_said() -> None:
    x, y = spread(30, 2)
    result = checked(np.column_stack([x, y, height(x, y)]))
    assert "points-wide-apart" in {f.code for f in result.findings}


def problem(points: np.ndarray, **changes: object) -> JobError:
    told = survey(points).model_copy(update=changes)
    with pytest.raises(JobError) as caught:
        check_survey(told, SKIN, tolerance=1.2)
    return caught.value


def test_surveys_that_cannot_be_seated_are_refused_with_a_sentence() -> None:
    points = built()
    assert "too few" in problem(points[:6]).problem
    line = np.outer(np.linspace(-1.0, 1.0, 50), [300.0, 10.0, 5.0])
    assert "one line" in problem(line).problem
    assert "inches" in problem(points / 25.4).remedy
    assert "millimetres read as inches" in problem(points * 25.4).remedy
    assert "does not have" in problem(points, region="bonnet").problem
    assert "does not have" in problem(points, side="right").problem


def test_points_of_another_part_are_refused() -> None:
    around = np.random.default_rng(0).normal(size=(400, 3))
    ball = 230.0 * around / np.linalg.norm(around, axis=1, keepdims=True)
    assert "does not fit" in problem(ball).problem


@pytest.mark.parametrize(("tolerance", "sigma"), [(0.0, 0.2), (1.0, 0.0), (-1.0, 0.2)])
def test_tolerance_and_sigma_must_be_positive(tolerance: float, sigma: float) -> None:
    told = Survey(name="lid", region="lid", points=built(50), sigma=sigma)
    with pytest.raises(ValueError, match="positive"):
        check_survey(told, SKIN, tolerance=tolerance)


def test_a_survey_of_half_the_panel_is_seated_too() -> None:
    points = built(1200)
    half = points[points[:, 0] > -0.2 * LENGTH]
    result = checked(TURN.apply(half) + SHIFT)
    assert [spot.kind for spot in result.spots] == ["low"]
    # Half a panel may slide a little along itself; the heights are right nevertheless.
    assert result.rms == pytest.approx(0.2, abs=0.1)
    assert np.hypot(*(result.spots[0].centre[:2] - LOW)) < 20.0
    assert result.spots[0].height == pytest.approx(-6.0, abs=0.6)
