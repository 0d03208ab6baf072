"""Lines held to the outlines of the body when the pictures are worked out."""

import json

import numpy as np
import pytest

from buckwright.flow.views import outline_doubts
from buckwright.model.pictures import MeasuredLine
from wren_cameras import CAMERAS, TRACES, WREN, true_calibration


@pytest.fixture(scope="module")
def calibration():
    return true_calibration()


def line(name, lift=0.0):
    """A true line of the example on the mat, lifted by so many mm on the model."""
    truth = json.loads((WREN / "truth.json").read_text(encoding="utf-8"))["lines"][name]
    place = CAMERAS["model_on_mat"]
    points = np.array(truth["points"])[::5]
    on_mat = place["scale"] * points @ np.array(place["rotation"]).T + place["translation"]
    return MeasuredLine(
        name=name,
        points=on_mat + np.array([0.0, 0.0, lift]),
        sigma=np.full(len(on_mat), 0.1),
        closed=truth["closed"],
        pictures=("wren_01.jpg", "wren_02.jpg"),
        residual_px=0.5,
        conditioning=np.ones(len(on_mat)),
    )


def test_true_lines_do_not_leave_the_outlines(calibration):
    lines = [line("roof centre line"), line("belt left"), line("front wing edge")]
    assert outline_doubts(TRACES, calibration, lines) == ()


def test_a_line_lifted_off_the_roof_is_told_with_its_picture_and_how_far(calibration):
    lines = [line("roof centre line", lift=20.0), line("belt left")]
    (doubt,) = outline_doubts(TRACES, calibration, lines)
    assert doubt.code == "line-outside-outline"
    assert doubt.where == "roof centre line"
    assert doubt.message.startswith("100 % of it lies outside the outline of the body in wren_")
    told = float(doubt.message.split(", by ")[1].split(" mm")[0])
    # Seen square on in the middle of a picture it would be 20: less from above, and more by the
    # widening towards the edge of a picture.
    assert 12.0 < told < 22.0


def test_an_outline_round_nothing_is_told_and_stops_nothing(calibration):
    flat = TRACES[0].model_copy(
        update={"kind": "silhouette", "closed": True, "px": np.array([[1.0, 1.0], [2.0, 1.0]])}
    )
    (doubt,) = outline_doubts([flat], calibration, [])
    assert doubt.code == "outline-unusable"


def test_without_outlines_nothing_is_said(calibration):
    traced = [trace for trace in TRACES if trace.on_body]
    assert outline_doubts(traced, calibration, [line("roof centre line")]) == ()
