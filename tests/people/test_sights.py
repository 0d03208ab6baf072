"""Lines of sight on paper: triangles whose angles are known."""

import numpy as np
import pytest

from buckwright.people.sights import crossings_at, hidden_angles, rise_to


def eyes(spacing: float) -> np.ndarray:
    return np.array([[0.0, -0.5 * spacing], [0.0, 0.5 * spacing]])


def upright_post(width: float, away: float) -> np.ndarray:
    return np.array([[-away, -0.5 * width], [-away, 0.5 * width]])


@pytest.mark.parametrize(("width", "away"), [(100.0, 700.0), (220.0, 500.0), (70.0, 900.0)])
def test_a_post_straight_ahead_hides_the_angle_of_its_triangle(width: float, away: float) -> None:
    left, right, both = hidden_angles(eyes(64.0), upright_post(width, away))
    each = np.arctan((0.5 * width + 32.0) / away) + np.arctan((0.5 * width - 32.0) / away)
    assert left == pytest.approx(each, abs=1e-12)
    assert right == pytest.approx(each, abs=1e-12)
    assert both == pytest.approx(2.0 * np.arctan((0.5 * width - 32.0) / away), abs=1e-12)


def test_a_post_narrower_than_the_eyes_are_apart_hides_nothing_from_both() -> None:
    left, _, both = hidden_angles(eyes(64.0), upright_post(50.0, 700.0))
    assert left > 0.05
    assert both == 0.0


def test_turning_shifting_and_mirroring_change_no_angle() -> None:
    looking, post = eyes(64.0), np.array([[-600.0, -500.0], [-450.0, -560.0], [-520.0, -470.0]])
    before = hidden_angles(looking, post)
    for turn in (0.4, 1.9, 3.0, 4.4):
        c, s = np.cos(turn), np.sin(turn)
        rotation = np.array([[c, -s], [s, c]])
        after = hidden_angles(looking @ rotation.T + 70.0, post @ rotation.T + 70.0)
        assert after == pytest.approx(before, abs=1e-12)
    mirror = np.array([1.0, -1.0])
    flipped = hidden_angles((looking * mirror)[::-1], post * mirror)
    assert flipped == pytest.approx((before[1], before[0], before[2]), abs=1e-12)
    assert hidden_angles(looking * 3.0, post * 3.0) == pytest.approx(before, abs=1e-12)
    assert hidden_angles(looking, post[::-1]) == pytest.approx(before, abs=1e-12)


def test_both_is_what_neither_eye_sees_of_a_thousand_far_lamps() -> None:
    looking, post = eyes(64.0), np.array([[-650.0, -575.0], [-870.0, -440.0]])
    lamps = np.linspace(-np.pi, np.pi, 40_001)
    blind = np.ones(len(lamps), dtype=bool)
    for eye in looking:
        ways = [np.arctan2(*(point - eye)[::-1]) for point in post]
        blind &= (lamps >= min(ways)) & (lamps <= max(ways))
    assert hidden_angles(looking, post)[2] == pytest.approx(blind.mean() * 2.0 * np.pi, abs=4e-4)


def test_a_line_is_crossed_where_it_passes_a_plane_and_at_a_point_on_it() -> None:
    line = np.array([[0.0, -1.0, 0.0], [2.0, 1.0, 4.0], [4.0, 1.0, 6.0], [4.0, 0.0, 8.0]])
    found = crossings_at(line, 1, 0.0)
    np.testing.assert_allclose(found, [[1.0, 0.0, 2.0], [4.0, 0.0, 8.0]])


def test_looking_down_at_a_point_below_the_eye_is_negative() -> None:
    rise = rise_to(np.array([1000.0, 1200.0]), np.array([[0.0, 200.0], [0.0, 2200.0]]))
    np.testing.assert_allclose(rise, [-0.25 * np.pi, 0.25 * np.pi])
