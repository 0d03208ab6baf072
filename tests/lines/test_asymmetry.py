"""How far left and right differ, pair by pair, and where."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.lines import place_lines
from buckwright.lines.asymmetry import sides_apart, sides_doubts
from buckwright.model.lines import PlacedLine
from buckwright.model.points import MeasuredPoint
from small_cab import DATUM, SPECS, WHEELBASE, measured_lines

ALONG = np.linspace(0.0, 2000.0, 401)


def side(name, half, *, sigma=0.5):
    points = np.column_stack([ALONG, half, np.full_like(ALONG, 900.0)])
    return PlacedLine(name=name, points=points, sigma=np.full(len(ALONG), sigma), closed=False)


def bulge(height):
    return height * np.exp(-(((ALONG - 1400.0) / 150.0) ** 2))


def pair(height, **more):
    left = side("belt left", np.full_like(ALONG, -600.0), **more)
    right = side("belt right", 600.0 + bulge(height), **more)
    return {line.name: line for line in (left, right)}


def test_a_bulge_on_one_side_is_told_with_its_place_and_height():
    (apart,) = sides_apart(pair(4.0), (("belt left", "belt right"),))
    assert apart.most == pytest.approx(4.0, abs=0.02)
    assert apart.most_at[0] == pytest.approx(1400.0, abs=6.0)
    assert apart.rms == pytest.approx(np.sqrt(np.mean(bulge(4.0) ** 2)), rel=0.01)
    # The right side stands out, so the left lies to the right of its mirror image.
    assert apart.apart[np.argmax(np.abs(apart.apart[:, 1])), 1] > 3.5


def test_the_order_of_the_names_does_not_matter():
    one = sides_apart(pair(4.0), (("belt left", "belt right"),))
    other = sides_apart(pair(4.0), (("belt right", "belt left"),))
    assert one[0].model_dump_json() == other[0].model_dump_json()


def test_only_what_measuring_does_not_explain_is_doubted():
    sure, unsure = pair(4.0, sigma=0.2), pair(4.0, sigma=3.0)
    names = (("belt left", "belt right"),)
    (doubt,) = sides_doubts(sides_apart(sure, names))
    assert doubt.code == "sides-differ"
    assert "at x 1400" in doubt.message
    assert list(sides_doubts(sides_apart(unsure, names))) == []


def test_lines_that_cannot_be_a_pair_are_refused():
    lines = pair(0.0) | {"belt right": side("belt right", np.full_like(ALONG, 1000.0))}
    with pytest.raises(JobError, match="said to mirror each other"):
        sides_apart(lines, (("belt left", "belt right"),))


def test_what_one_side_has_beyond_the_other_is_not_compared():
    lines = pair(0.0)
    short = lines["belt right"]
    lines["belt right"] = short.model_copy(
        update={"points": short.points[:200], "sigma": short.sigma[:200]}
    )
    (apart,) = sides_apart(lines, (("belt left", "belt right"),))
    assert apart.most < 1e-9
    assert apart.points[:, 0].max() < 1000.0


def test_marked_wheel_centres_stand_in_for_rims_and_come_out_in_vehicle_axes():
    lines = measured_lines(angle=0.7)
    whole, _ = place_lines(lines, SPECS, DATUM, scale=8.0, scale_sigma=0.0)
    middles = {
        name: np.asarray(next(li for li in lines if li.name == name).points).mean(axis=0)
        for name in (*DATUM.front_axle, *DATUM.rear_axle)
    }
    marks = tuple(
        MeasuredPoint(
            name=f"hub of {name}", kind="dot", point=point, covariance=np.eye(3) * 0.01,
            sigma=0.1, pictures=("a", "b"), residual_px=0.5,
        )
        for name, point in middles.items()
    )  # fmt: skip
    datum = DATUM.model_copy(
        update={
            "front_axle": tuple(f"hub of {name}" for name in DATUM.front_axle),
            "rear_axle": tuple(f"hub of {name}" for name in DATUM.rear_axle),
        }
    )
    placement, _ = place_lines(lines, SPECS, datum, scale=8.0, scale_sigma=0.0, marks=marks)
    assert placement.wheelbase == pytest.approx(WHEELBASE, abs=0.5)
    np.testing.assert_allclose(placement.origin, whole.origin, atol=0.1)
    front = [p for p in placement.points if p.name[7:] in DATUM.front_axle]
    assert np.mean([p.point[0] for p in front]) == pytest.approx(0.0, abs=1e-6)
    assert front[0].sigma == pytest.approx(0.8)
