"""The page's own sums for a pulled line, run by Node, against Python's."""

import importlib.util
import json
import subprocess
from pathlib import Path

import numpy as np
import pytest

from buckwright.geometry.spline import spline_curve
from buckwright.lines.departing import moved_along
from pulls_on_paper import CASES, HELD_PULLS, PULLS, ZONES

ROOT = Path(__file__).parents[2]
ALL = (*PULLS, *HELD_PULLS)
SAME = 1e-6
"""mm."""


@pytest.fixture(scope="module")
def cases() -> dict[str, dict]:
    return {case["name"]: case for case in json.loads(CASES.read_text())["cases"]}


@pytest.fixture(scope="module")
def answers() -> dict[str, dict]:
    spec = importlib.util.spec_from_file_location("hatch_build", ROOT / "hatch_build.py")
    hatch_build = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(hatch_build)
    runner = ROOT / "tests" / "typescript" / "pull_cases.ts"
    command = [*hatch_build.node_command(), str(runner), str(CASES)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return {answer["name"]: answer for answer in json.loads(done.stdout)}


@pytest.mark.parametrize("name", ALL)
def test_the_page_puts_a_pulled_line_where_python_puts_it(cases, answers, name):
    np.testing.assert_allclose(answers[name]["points"], cases[name]["points"], atol=SAME)
    np.testing.assert_allclose(answers[name]["bends"], cases[name]["bends"], atol=1e-9)


@pytest.mark.parametrize("name", ALL)
def test_lines_that_are_taken_along_are_drawn_where_they_will_lie(cases, answers, name):
    assert answers[name]["others"].keys() == cases[name]["others"].keys()
    assert len(cases[name]["others"]) >= 1
    for line, points in cases[name]["others"].items():
        # Sent with three decimals, and how they follow with five.
        np.testing.assert_allclose(answers[name]["others"][line], points, atol=2e-3)


@pytest.mark.parametrize("name", ALL)
def test_departures_there_and_back_are_those_of_python(cases, answers, name):
    np.testing.assert_allclose(answers[name]["departed"], cases[name]["departed"], atol=SAME)
    np.testing.assert_allclose(answers[name]["back"], answers[name]["points"], atol=SAME)


@pytest.mark.parametrize("name", ALL)
def test_the_comb_is_bent_like_the_departed_line(answers, name):
    """Against differences of the departed points, where the line itself comes from the page."""
    lie = answers[name]["lie"]
    closed = lie["closed"]
    curve = spline_curve(np.array(lie["knots"]), np.array(lie["control"]), 3, closed=closed)
    long = lie["end"] - lie["start"]
    at = lie["start"] + long * np.linspace(0.05, 0.95, 13)
    step = 1e-3 * long

    def departed(t):
        points = curve(t)
        x, y = (moved_along(points[:, k], ZONES[k : k + 1]) for k in (0, 1))
        return np.column_stack([x, y, points[:, 2]])

    # Beside a corner the differences would reach across it.
    times = dict(zip(*np.unique(lie["knots"], return_counts=True), strict=True))
    corners = np.array([knot for knot, many in times.items() if many == 3] or [np.inf])
    clear = np.abs(at[:, None] - corners).min(axis=1) > 2.0 * step
    assert clear.sum() >= 10
    at, combed = at[clear], np.array(lie["bends"])[clear]
    before, here, after = (departed(at + d * step) for d in (-1, 0, 1))
    run, turn = (after - before) / (2 * step), (after - 2 * here + before) / step**2
    square = np.sum(run**2, axis=1, keepdims=True)
    bend = (turn - np.sum(turn * run, axis=1, keepdims=True) / square * run) / square
    # Third derivatives jump at knots, so differences over a step are only so good.
    most = np.abs(bend).max()
    np.testing.assert_allclose(combed, bend, atol=0.02 * most)
