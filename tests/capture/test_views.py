"""What of a trace counts for its line."""

import numpy as np
import pytest

from buckwright.capture import calibrate
from buckwright.capture.views import see_traces
from buckwright.model.pictures import Trace
from sights_on_paper import STANDS, hoop, seen, shoot, trace, with_bar


@pytest.fixture(scope="module")
def calibration():
    return calibrate(shoot(noise=0.0), with_bar())


def snapped(**more):
    px = seen(hoop(200), STANDS[0])
    told = {"sigma": np.full(len(px), 0.05), "kind": "tape"} | more
    return Trace(line="hoop", picture="p00.jpg", px=px, **told)


def marks_of(first, calibration):
    _, marks = see_traces("hoop", [first, *trace("hoop", hoop())[1:3]], calibration)
    return marks


def test_stretches_in_which_snapping_lost_its_feature_do_not_count(calibration):
    sigma = np.full(200, 0.05)
    sigma[80:120] = 3.0
    whole, cut = marks_of(snapped(), calibration), marks_of(snapped(sigma=sigma), calibration)
    assert np.sum(cut.view == 0) == pytest.approx(0.8 * np.sum(whole.view == 0), rel=0.05)
    assert len(np.unique(cut.piece[cut.view == 0])) == 2


def test_points_that_snapping_was_less_sure_of_weigh_less(calibration):
    sigma = np.where(np.arange(200) < 100, 0.02, 0.8)
    marks = marks_of(snapped(sigma=sigma), calibration)
    own = marks.trust[marks.view == 0]
    assert own[: len(own) // 3].min() > 0.9
    assert own[-len(own) // 3 :].max() < 0.1
    assert np.all(marks.trust[marks.view > 0] == 1.0)


def test_where_a_snapped_trace_left_the_clicks_it_weighs_less(calibration):
    first = snapped()
    clicks = np.array(first.px[::20])
    clicks[5] += 9.0
    marks = marks_of(snapped(clicks=clicks), calibration)
    own = marks.trust[marks.view == 0]
    assert own.min() < 0.1
    assert own[: len(own) // 4].min() > 0.9


def test_a_closed_trace_comes_back_to_its_start(calibration):
    open_, closed = marks_of(snapped(), calibration), marks_of(snapped(closed=True), calibration)
    length = [np.sum(m.step[m.view == 0]) for m in (open_, closed)]
    way_back = np.linalg.norm(snapped().px[-1] - snapped().px[0])
    assert length[1] - length[0] == pytest.approx(way_back, rel=0.1)


def test_snapped_traces_are_expected_to_wobble_little(calibration):
    assert marks_of(snapped(), calibration).snapped > 0.2
    assert marks_of(trace("hoop", hoop())[0], calibration).snapped == 0.0
