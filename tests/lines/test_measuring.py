"""Reading off the lines: what turns with the body, what is the same from both ends, nonsense."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from buckwright.geometry.spline import even_knots, spline_curve
from buckwright.lines.measuring import measure_between, plane_crossings
from buckwright.model.lines import Line, LineNetwork


def ring(name="ring", radius=250.0, count=24):
    """A closed spline that is round to a hundredth of a millimetre or so."""
    knots = even_knots(count, 3, 0.0, 1.0, closed=True)
    turn = 2.0 * np.pi * np.arange(count) / count
    control = np.column_stack(
        [radius * np.cos(turn), np.full(count, -600.0), radius * np.sin(turn)]
    )
    curve = spline_curve(knots, control, 3, closed=True)
    return Line(
        name=name, degree=3, knots=curve.t, control=np.asarray(curve.c), closed=True, sigma=1.0
    )


def bow(name="bow"):
    knots = even_knots(9, 3, 0.0, 1.0, closed=False)
    x = np.linspace(0.0, 2000.0, 9)
    control = np.column_stack([x, -600.0 - 40.0 * np.sin(x / 640.0), 900.0 + 1e-4 * x**2])
    return Line(name=name, degree=3, knots=knots, control=control, closed=False, sigma=1.0)


def network(*lines):
    return LineNetwork(lines=lines, crossings=())


def test_round_a_closed_line_the_shorter_way_is_told():
    short = measure_between(network(ring()), [("ring", 23 / 24)], [("ring", 1 / 24)])
    long = measure_between(network(ring()), [("ring", 0.0)], [("ring", 1 / 12)])
    assert short.along == pytest.approx(long.along, rel=1e-9)


def test_from_the_other_end_the_steps_turn_round_and_the_lengths_stay():
    there = measure_between(network(bow()), [("bow", 0.2)], [("bow", 0.9)])
    back = measure_between(network(bow()), [("bow", 0.9)], [("bow", 0.2)])
    np.testing.assert_allclose(back.steps, -np.array(there.steps), atol=1e-9)
    assert back.true == pytest.approx(there.true)
    assert back.along == pytest.approx(there.along)
    assert there.along > there.true


def test_a_crossing_measures_along_whichever_line_both_places_lie_on():
    lines = network(ring(), bow())
    got = measure_between(lines, [("bow", 0.3), ("ring", 0.5)], [("ring", 0.25)])
    assert got.line == "ring"
    apart = measure_between(lines, [("bow", 0.3)], [("ring", 0.25)])
    assert (apart.line, apart.along) == ("", None)


def test_a_turned_and_shifted_body_is_cut_in_the_same_shares():
    turn, shift = Rotation.from_rotvec([0.3, -0.8, 0.5]).as_matrix(), np.array([50.0, 7.0, -3.0])
    lines = (ring(), bow())
    moved = [one.model_copy(update={"control": one.control @ turn.T + shift}) for one in lines]
    origin, normal = np.array([100.0, 0.0, 0.0]), np.array([1.0, 0.2, 0.1])
    here = plane_crossings(network(*lines), origin=origin, normal=normal)
    there = plane_crossings(network(*moved), origin=turn @ origin + shift, normal=turn @ normal)
    assert [one.line for one in here].count("ring") == 2
    assert [one.share for one in there] == pytest.approx([one.share for one in here], abs=1e-9)


def test_a_line_that_lies_in_the_plane_crosses_it_nowhere():
    assert (
        plane_crossings(
            network(ring()), origin=np.array([0.0, -600.0, 0.0]), normal=np.array([0.0, 1.0, 0.0])
        )
        == ()
    )


def test_a_closed_line_that_is_cut_in_its_seam_is_cut_there_once():
    x, _, z = ring().curve()(0.0)
    found = plane_crossings(network(ring()), origin=np.zeros(3), normal=np.array([-z, 0.0, x]))
    assert [one.share for one in found] == pytest.approx([0.0, 0.5], abs=1e-6)


def test_nonsense_is_refused():
    with pytest.raises(ValueError, match="direction"):
        plane_crossings(network(bow()), origin=np.zeros(3), normal=np.zeros(3))
    with pytest.raises(ValueError, match="between 0 and 1"):
        measure_between(network(bow()), [("bow", 1.2)], [("bow", 0.1)])
    with pytest.raises(KeyError):
        measure_between(network(bow()), [("nobody", 0.2)], [("bow", 0.1)])
