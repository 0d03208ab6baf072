"""Treatments of the skin held to closed forms: meetings, trims, edges, beads."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.skin import Skin, SkinRegion
from buckwright.skin.meetings import set_off_meetings, skin_meetings
from skins_on_paper import grid_region, sphere


def ball_cap(name: str, radius: float, middle: float, side: str = "whole") -> SkinRegion:
    """The side of a ball, cut off towards its poles, with its middle on x."""
    ticks = np.linspace(-1.4, 1.4, 101)
    region = grid_region(name, sphere(radius), ticks, ticks, outward=lambda p: p, side=side)
    moved = np.asarray(region.vertices) + np.array([middle, 0.0, 0.0])
    moved.setflags(write=False)
    return region.model_copy(update={"vertices": moved})


def test_two_balls_meet_in_the_circle_of_euclid_and_it_has_a_name() -> None:
    # exact: the plane of the circle lies (d^2 + r^2 - s^2) / 2d from the first middle.
    first, second = ball_cap("body", 400.0, 0.0), ball_cap("front wing", 300.0, 150.0, "left")
    (line,) = skin_meetings(Skin(regions=(first, second)))
    along = (150.0**2 + 400.0**2 - 300.0**2) / 300.0
    assert line.name == "front wing left meets body"
    assert np.abs(line.points[:, 0] - along).max() < 0.2
    out = np.linalg.norm(line.points[:, 1:], axis=1)
    assert np.abs(out - np.sqrt(400.0**2 - along**2)).max() < 0.2


def test_a_skin_set_off_meets_the_other_in_the_smaller_circle() -> None:
    first, second = ball_cap("body", 400.0, 0.0), ball_cap("front wing", 300.0, 150.0)
    (line,) = set_off_meetings(Skin(regions=(first, second)), "front wing", -9.0)
    along = (150.0**2 + 400.0**2 - 291.0**2) / 300.0
    assert line.name == "front wing set 9 mm in meets body"
    assert np.abs(line.points[:, 0] - along).max() < 0.2
    with pytest.raises(JobError, match="no region 'tail'"):
        set_off_meetings(Skin(regions=(first, second)), "tail", -9.0)
