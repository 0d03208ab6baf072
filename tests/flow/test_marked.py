"""Marked points of a job: those measured, and a word on the others."""

import numpy as np

from buckwright.capture import calibrate
from buckwright.flow import measure_points
from buckwright.model.pictures import Trace
from sights_on_paper import STANDS, hoop, seen, shoot, trace, with_bar


def mark(name, place, stand):
    px = seen(np.array([place]), STANDS[stand])
    return Trace(line=name, picture=f"p{stand:02d}.jpg", px=px, kind="point")


def test_points_in_two_pictures_are_measured_and_the_others_named():
    calibration = calibrate(shoot(noise=0.0), with_bar())
    hub, bolt = [200.0, -150.0, 40.0], [260.0, -220.0, 90.0]
    marks = [mark("hub", hub, 0), mark("bolt", bolt, 3), mark("hub", hub, 6), mark("hub", hub, 11)]
    points, waiting = measure_points([*trace("hoop", hoop())[:2], *marks], calibration)
    assert [point.name for point in points] == ["hub"]
    np.testing.assert_allclose(points[0].point, hub, atol=0.01)
    (doubt,) = waiting
    assert doubt.code == "point-not-measured"
    assert doubt.where == "bolt"
    assert "one solved picture only" in doubt.message
