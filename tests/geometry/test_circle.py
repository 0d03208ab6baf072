import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from buckwright.geometry.circle import fit_circle


def arc(count: int, sweep: float) -> np.ndarray:
    turn = np.linspace(0.0, sweep, count, endpoint=False)
    return np.column_stack([215.0 * np.cos(turn), 215.0 * np.sin(turn), np.zeros(count)])


def test_an_exact_circle_in_any_plane_is_found_again() -> None:
    turn = Rotation.from_euler("xyz", [0.4, -1.1, 2.0])
    shift = np.array([10.0, -700.0, 330.0])
    centre, normal, radius, rms = fit_circle(turn.apply(arc(40, 2 * np.pi)) + shift)
    np.testing.assert_allclose(centre, shift, atol=1e-9)
    assert radius == pytest.approx(215.0, abs=1e-9)
    assert rms < 1e-9
    assert abs(normal @ turn.apply([0.0, 0.0, 1.0])) == pytest.approx(1.0)


def test_a_short_arc_gives_the_same_circle() -> None:
    centre, _, radius, _ = fit_circle(arc(12, 0.6))
    np.testing.assert_allclose(centre, 0.0, atol=1e-7)
    assert radius == pytest.approx(215.0, abs=1e-7)


def test_the_rms_tells_an_ellipse_from_a_circle() -> None:
    *_, rms = fit_circle(arc(60, 2 * np.pi) * [1.1, 0.9, 1.0])
    # The gap of this ellipse to its mean circle is 21.5 cos(2 t), 15.2 rms.
    assert rms == pytest.approx(21.5 / np.sqrt(2.0), rel=0.02)


@pytest.mark.parametrize(
    "points", [np.outer(np.arange(6.0), [1.0, 2.0, 3.0]), np.zeros((2, 3))], ids=["line", "two"]
)
def test_points_that_give_no_circle_are_refused(points: np.ndarray) -> None:
    with pytest.raises(ValueError, match=r"straight line|three points"):
        fit_circle(points)
