import numpy as np
import pytest
from scipy.special import fresnel

from buckwright.geometry.polyline import resample_polyline
from buckwright.geometry.spline import curvature_extrema, even_knots, spline_curve
from buckwright.lines import fair_line
from buckwright.lines.drafting import draft_line
from buckwright.lines.fairing import BAND_SIGMAS
from buckwright.lines.turns import Held, lessen_turns
from buckwright.model.lines import PlacedLine

Array = np.ndarray


def clothoid() -> Array:
    s, c = fresnel(np.linspace(0.0, 1.3, 20001))
    return np.column_stack([1500 * c, 0 * s - 600, 1500 * s])


def crown() -> Array:
    t = np.linspace(-0.4, 1.0, 20001)
    return np.column_stack([1400 * t, 0 * t, 600 * np.exp(-(((t - 0.3) / 0.35) ** 2))])


def door() -> Array:
    t = np.linspace(0.0, 2.0 * np.pi, 40001)[:-1]
    c, s = np.cos(t), np.sin(t)
    x, z = 300 * np.sign(c) * np.abs(c) ** (1 / 3), 450 * np.sign(s) * np.abs(s) ** (1 / 3)
    return np.column_stack([x, -640 + 20 * (z / 450) ** 2, z])


def measured(
    exact: Array, count: int, seed: int, *, sigma: float = 3.0, closed: bool = False
) -> PlacedLine:
    points = resample_polyline(exact, count, closed=closed)
    points = points + np.random.default_rng(seed).normal(scale=sigma, size=points.shape)
    return PlacedLine(name="line", points=points, sigma=np.full(count, sigma), closed=closed)


@pytest.mark.parametrize("count", [30, 100])
def test_a_line_whose_curvature_only_grows_keeps_no_turn(count: int) -> None:
    left = [fair_line(measured(clothoid(), count, seed)).curvature_extrema for seed in range(8)]
    assert sum(turns == 0 for turns in left) >= 7


def test_a_closed_line_keeps_the_turns_of_its_corners_only() -> None:
    left = [
        fair_line(measured(door(), 120, seed, closed=True)).curvature_extrema for seed in range(4)
    ]
    assert sorted(left)[2] == 8


def test_turns_that_the_points_insist_on_stay() -> None:
    # Inflexions on both flanks, so the crown's own turn lies between two others.
    for seed in range(4):
        assert fair_line(measured(crown(), 120, seed, sigma=0.2)).curvature_extrema == 3


def test_points_lie_hardly_farther_off_and_in_their_band() -> None:
    placed = measured(clothoid(), 60, 1)
    draft = draft_line(placed)
    held = Held(np.empty(0), BAND_SIGMAS * draft.sigma)
    calm = lessen_turns(draft.batten, draft.control, draft.stiffness, held)
    assert calm is not draft.control
    assert draft.batten.misfit(calm) < draft.batten.misfit(draft.control) + 30.0
    gap = np.linalg.norm(draft.batten.basis @ calm - draft.batten.points, axis=1)
    assert np.all(gap <= held.half_width + 1.0)


def test_pins_do_not_move() -> None:
    placed = measured(clothoid(), 60, 1)
    draft = draft_line(placed)
    pins = np.array([draft.start, 0.4 * draft.end])
    held = Held(pins, BAND_SIGMAS * draft.sigma)
    calm = lessen_turns(draft.batten, draft.control, draft.stiffness, held)
    assert calm is not draft.control
    rows = draft.batten.rows(pins)
    np.testing.assert_allclose(rows @ calm, rows @ draft.control, atol=1e-5)


def test_a_line_without_turns_is_given_back_as_it_is() -> None:
    x = np.linspace(0.0, 1000.0, 40)
    placed = PlacedLine(
        name="arc",
        points=np.column_stack([x, 0 * x, np.sqrt(2000.0**2 - x**2)]),
        sigma=np.ones(40),
        closed=False,
    )
    draft = draft_line(placed)
    held = Held(np.empty(0), np.full(40, 4.5))
    assert lessen_turns(draft.batten, draft.control, draft.stiffness, held) is draft.control


@pytest.mark.parametrize("moved", [False, True])
def test_turned_mirrored_and_reversed_lines_keep_as_many_turns(moved: bool) -> None:
    placed = measured(crown(), 60, 2)
    points = np.asarray(placed.points)
    if moved:
        points = (points @ np.array([[0.36, 0.48, -0.8], [-0.8, 0.6, 0.0], [0.48, 0.64, 0.6]]).T
                  * [1.0, -1.0, 1.0] + [500.0, -20.0, 77.0])[::-1]  # fmt: skip
    line = fair_line(placed.model_copy(update={"points": np.array(points)}))
    assert line.curvature_extrema == fair_line(placed).curvature_extrema


def test_turns_of_a_line_that_is_bent_both_ways_count_in_the_plane_it_turns_in() -> None:
    """A flat S with a slight twist: the curvature crosses nought, it does not bounce off it."""
    knots = even_knots(40, 3, 0.0, 1.0, closed=False)
    u = np.linspace(0.0, 1.0, 40)
    flat = np.column_stack([1000 * u, 60 * np.sin(2 * np.pi * u), 0 * u])
    twisted = flat + np.column_stack([0 * u, 0 * u, 3 * np.sin(3 * u)])
    for control in (flat, twisted):
        assert curvature_extrema(spline_curve(knots, control, 3, closed=False), closed=False) == 2
