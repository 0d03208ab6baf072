"""The advice on the next picture is worth what it says."""

import re

import numpy as np
import pytest

from buckwright.capture import calibrate, line_from_traces
from buckwright.geometry.polyline import closest_on_polyline
from sights_on_paper import shoot, trace, with_bar

LOW = [(200 + 14 * k, 18, 600) for k in range(3)]
"""Three stands beside each other, all low."""


def level(count=400):
    t = np.linspace(0.0, 1.0, count)
    return np.column_stack([120.0 + 330.0 * t, -195.0 + 12.0 * np.sin(3.0 * t), 80.0 + 0.0 * t])


@pytest.fixture(scope="module")
def advised():
    mat = calibrate(shoot(stands=[*LOW, (20, 48, 620), (140, 48, 620)]), with_bar())
    traces = trace("level", level(), stands=LOW)
    return mat, line_from_traces("level", traces, mat, closed=False)


def test_a_level_line_seen_from_low_wants_a_picture_from_higher_up(advised):
    _, line = advised
    doubt = next(f for f in line.findings if f.code == "badly-placed")
    assert "higher up" in doubt.remedy
    assert "of the mat" in doubt.remedy
    now, then = map(float, re.search(r"from (\S+) to (\S+) mm", doubt.remedy).groups())
    assert then < 0.7 * now


def test_with_the_advised_picture_the_doubt_falls_about_as_far_as_was_said(advised):
    _, line = advised
    remedy = next(f for f in line.findings if f.code == "badly-placed").remedy
    height = float(re.search(r"about (\d+) degrees", remedy).group(1))
    said = [float(v) for v in re.search(r"from (\S+) to (\S+) mm", remedy).groups()]
    sides = {"B": 0.0, "C": 90.0, "D": 180.0, "A": 270.0}
    named = [sides[s] for s in re.findall(r"\b([ABCD])\b", remedy)]
    turn = np.exp(1j * np.radians(named)).sum()
    stands = [*LOW, (float(np.degrees(np.angle(turn))), height, 600)]
    mat = calibrate(shoot(stands=stands), with_bar())
    better = line_from_traces("level", trace("level", level(), stands=stands), mat, closed=False)
    worst = [float(np.quantile(one.sigma, 0.8)) for one in (line, better)]
    # What is said is of the worst direction, what is printed is of both.
    assert worst[1] / worst[0] < 0.5 * (1.0 + said[1] / said[0])
    gap, _, _ = closest_on_polyline(np.asarray(better.points), level())
    assert np.sqrt(np.mean(gap**2)) < 0.3
