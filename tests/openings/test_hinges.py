"""Hinge axes: how they lie, how true their pins are, and where they must not run."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.openings import Hinge, HingePin
from buckwright.openings import OpeningMaker, make_openings
from buckwright.openings.hinges import hinge_axis, turning_sense
from buckwright.openings.outline import join_outline
from buckwright.openings.part import cut_part
from meshes_on_paper import MOVES
from openings_on_paper import DOOR, SIDE, door_spec, flat_side, make_paper

NAN = float("nan")


@pytest.fixture(scope="module")
def paper():
    return make_paper(window=False)


@pytest.fixture(scope="module")
def maker(paper):
    return OpeningMaker(paper.skin, paper.network)


def hinge(*points, ways=None):
    ways = ways or [None] * len(points)
    return Hinge(
        pins=tuple(HingePin(point=p, direction=w) for p, w in zip(points, ways, strict=True))
    )


def test_an_axis_leans_as_far_as_it_was_set():
    found = hinge_axis(hinge((0.0, 0.0, 0.0), (30.0, -20.0, 500.0)), of="door")
    assert np.tan(found.lean_back) == pytest.approx(30.0 / 500.0)
    assert np.tan(found.lean_right) == pytest.approx(-20.0 / 500.0)
    assert found.span[1] - found.span[0] == pytest.approx(np.sqrt(30**2 + 20**2 + 500**2))
    assert found.residual < 1e-9
    assert not found.tested


def test_a_third_pin_tells_how_far_all_three_lie_off_one_line():
    found = hinge_axis(hinge((0.0, 0.0, 0.0), (0.0, 3.0, 250.0), (0.0, 0.0, 500.0)), of="door")
    # Least squares parts the 3 mm: a third to the outer pins, two thirds to the middle one.
    assert found.residual == pytest.approx(2.0, abs=1e-9)
    assert found.tested


def test_pins_that_point_away_are_told_whichever_end_was_measured():
    tilted = (0.0, np.sin(0.02), np.cos(0.02))
    down = tuple(-value for value in tilted)
    for way in (tilted, down):
        found = hinge_axis(
            hinge((0.0, 0.0, 0.0), (0.0, 0.0, 500.0), ways=[(0.0, 0.0, 1.0), way]), of="door"
        )
        assert found.twist == pytest.approx(0.02)
        assert found.tested


@pytest.mark.parametrize(
    ("pins", "words"),
    [
        ([(1.0, 2.0, 3.0)], "fewer than two hinge points"),
        ([(1.0, 2.0, 3.0), (1.0, 2.0, 3.0)], "too close to fix an axis"),
        ([(1.0, 2.0, 3.0), (1.0, 2.0, NAN)], "not a number"),
    ],
)
def test_pins_that_fix_no_axis_are_refused(pins, words):
    with pytest.raises(JobError, match=words):
        hinge_axis(hinge(*pins), of="door")


@pytest.mark.parametrize("way", [(0.0, 0.0, 0.0), (0.0, NAN, 1.0)])
def test_a_pin_that_points_nowhere_is_refused(way):
    with pytest.raises(JobError, match="points nowhere"):
        hinge_axis(hinge((0.0, 0.0, 0.0), (0.0, 0.0, 300.0), ways=[way, None]), of="door")


def across(y0, y1, x=DOOR[0][0] + 15.0):
    return hinge((x, y0, 400.0), (x, y1, 800.0))


def refused(maker, pins, **changes):
    with pytest.raises(JobError) as caught:
        maker.make(door_spec(hinge_x=0.0, hinge_y=0.0, **{"hinge": pins, **changes}))
    return caught.value


def test_an_axis_through_the_metal_of_the_door_or_of_the_body_is_refused(maker):
    error = refused(maker, across(SIDE - 20.0, SIDE + 20.0))
    assert error.problem == (
        "The hinge axis of 'left door' goes through the metal of 'left door' "
        "at x 515, y -600, z 600."
    )
    body = refused(maker, across(SIDE - 20.0, SIDE + 20.0, x=DOOR[0][0] - 40.0))
    assert "goes through the metal of the body" in body.problem


def test_an_axis_inside_the_door_is_refused_with_how_deep(maker):
    error = refused(maker, across(SIDE + 20.0, SIDE + 20.0, x=700.0))
    assert error.problem == "The hinge axis of 'left door' lies inside it, 200 mm from its edge."


def test_an_axis_square_to_the_door_is_refused(maker):
    pins = hinge((520.0, SIDE - 60.0, 600.0), (520.0, SIDE - 160.0, 600.0))
    assert "turn in its own face" in refused(maker, pins).problem


def test_the_rest_of_an_opening_stands_when_its_hinges_are_refused(paper):
    spec = door_spec(hinge_x=700.0, hinge_y=SIDE + 20.0)
    (made,) = make_openings([spec], paper.skin, paper.network).openings
    assert made.outline is not None
    assert made.swing is None
    assert [f.code for f in made.findings] == ["no-answer"]


DEEP = {"hinge_x": DOOR[0][0] + 12.5, "hinge_y": SIDE + 25.0}


@pytest.fixture(scope="module")
def touching(maker):
    return maker.make(door_spec(**DEEP)).swing


@pytest.mark.parametrize("move", ["turn", "shift", "mirror"])
def test_the_swing_moves_with_the_job(touching, move):
    """A body turned, set aside or mirrored swings its door through the same angles."""
    moved = MOVES[move]
    paper = make_paper(flat_side, window=False, move=moved)
    there = OpeningMaker(paper.skin, paper.network)
    one, other = touching, there.make(door_spec(**DEEP, move=moved)).swing
    assert other.touch.angle == pytest.approx(one.touch.angle, abs=1e-7)
    np.testing.assert_allclose(other.touch.point, moved(np.array([one.touch.point]))[0], atol=1e-6)
    np.testing.assert_allclose(other.clearances, one.clearances, atol=1e-6)


def test_the_part_swings_outward_whichever_way_its_axis_points(paper, maker):
    spec = door_spec(hinge_x=DOOR[0][0] + 10.0, hinge_y=SIDE - 5.0)
    loop = join_outline(spec.outline, paper.network, of="it")
    part, _ = cut_part(
        loop, paper.skin, paper.skin.regions[0], of="it", gap=5.0, drain=5.0, depth=51.2
    )
    axis = hinge_axis(spec.hinge, of="it")
    down = axis.model_copy(update={"direction": tuple(-v for v in axis.direction)})
    assert turning_sense(axis, part, of="it") == -turning_sense(down, part, of="it")
