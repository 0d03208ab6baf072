"""Which lines can be measured while others are still being traced."""

import numpy as np

from buckwright.flow.readiness import ready_lines
from buckwright.model.pictures import Trace
from web.invented_pictures import make_pictures


def trace(line: str, picture: str) -> Trace:
    return Trace(line=line, picture=picture, px=np.array([[10.0, 10.0], [90.0, 40.0]]))


def test_a_line_seen_once_waits_and_is_told_with_what_to_do() -> None:
    calibration = make_pictures()[3]
    first, second = (picture.name for picture in calibration.pictures[:2])
    traces = [trace("belt", first), trace("belt", second), trace("sill", first)]
    ready, waiting = ready_lines(traces, calibration)
    assert ready == ("belt",)
    assert [finding.where for finding in waiting] == ["sill"]
    assert first in waiting[0].message
    assert "another picture" in waiting[0].remedy


def test_a_picture_without_a_camera_does_not_count() -> None:
    calibration = make_pictures()[3]
    first, second = (picture.name for picture in calibration.pictures[:2])
    traces = [trace("belt", first), trace("belt", second), trace("sill", first)]
    ready, waiting = ready_lines([*traces, trace("sill", "elsewhere.jpg")], calibration)
    assert ready == ("belt",)
    assert len(waiting) == 1


def test_where_no_line_is_ready_all_are_named_so_that_the_reason_is_told() -> None:
    calibration = make_pictures()[3]
    first = calibration.pictures[0].name
    assert ready_lines([trace("belt", first)], calibration) == (("belt",), ())
