"""Departures held to spline theory and to exact maps."""

import numpy as np
import pytest
from scipy.interpolate import make_interp_spline
from scipy.spatial.transform import Rotation

from buckwright.lines import apply_departures
from buckwright.lines.following import drawn_by
from buckwright.model.lines import Departure, Line, LineNetwork
from rings import ring, through


def test_a_line_that_follows_takes_the_natural_quintic_through_its_places() -> None:
    # Of all curves through given places the natural quintic spline has the least change of
    # bend (Schoenberg; SciPy's make_interp_spline evaluates it).
    level = np.column_stack([np.linspace(0.0, 1000.0, 400), np.zeros(400), np.zeros(400)])
    line = through("rail", level)
    at = np.array([0.0, 0.15, 0.3, 0.55, 0.8, 1.0])
    heights = np.array([0.0, 0.0, 25.0, -10.0, 0.0, 0.0])
    after = drawn_by(line, at, np.column_stack([np.zeros((6, 2)), heights]))
    free = [(3, 0.0), (4, 0.0)]
    reference = make_interp_spline(at, heights, k=5, bc_type=(free, free))
    shares = np.linspace(0.0, 1.0, 500)
    np.testing.assert_allclose(after.curve()(shares)[:, 2], reference(shares), atol=0.01)
    np.testing.assert_allclose(after.curve()(at)[:, 2], heights, atol=1e-9)


@pytest.mark.parametrize("axis", [0, 2])
def test_a_ring_scaled_in_one_direction_is_the_ellipse(axis: int) -> None:
    wheel = ring("ring", (300.0, -500.0, 400.0), 200.0)
    factors = [1.0, 1.0, 1.0]
    factors[axis] = 1.2
    wider = Departure(
        name="wider", reason="", kind="scale", lines=("ring",), factors=tuple(factors)
    )
    after = apply_departures(LineNetwork(lines=(wheel,), crossings=()), (wider,))
    # The family's middle is that of its box.
    points = after.line("ring").points(500) - [300.0, -500.0, 400.0]
    half = np.array([200.0, 1.0, 200.0]) * factors
    off = (points[:, 0] / half[0]) ** 2 + (points[:, 2] / half[2]) ** 2 - 1.0
    # The ring itself is round to 1e-5, and the equation doubles that.
    assert np.abs(off).max() < 5e-5


def _turned(line: Line, turn: Rotation) -> Line:
    return line.model_copy(update={"control": turn.apply(np.array(line.control))})


def test_who_follows_does_so_alike_in_every_direction() -> None:
    wave = np.linspace(0.0, 3.0, 60)
    points = np.column_stack([300.0 * wave, 40.0 * np.sin(wave), 20.0 * wave**2])
    line = through("rail", points)
    at, moves = np.array([0.0, 0.4, 1.0]), np.array([[0, 0, 0], [3.0, -8.0, 12.0], [0, 0, 0]])
    turn = Rotation.from_rotvec([0.3, -0.7, 1.1])
    there = _turned(drawn_by(line, at, moves), turn)
    here = drawn_by(_turned(line, turn), at, turn.apply(moves))
    np.testing.assert_allclose(there.points(200), here.points(200), atol=1e-8)
