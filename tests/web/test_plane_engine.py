"""The page's own sums for sections and snapping, run by Node, against numpy."""

import importlib.util
import json
import subprocess
from pathlib import Path

import numpy as np
import pytest

ROOT = Path(__file__).parents[2]
TWO = ((-120.0, -300.0, 80.0), (410.0, 220.0, 640.0))
ABOVE = ((50.0, -60.0, 100.0), (50.0, -60.0, 700.0))
LEVEL = ((50.0, -60.0, 100.0), (50.0, 340.0, 100.0))
SNAPS = [(1234.4, 50.0), (-663.0, 25.0), (12.5, None), (990.0, 0.0), (37.5, 25.0), (7.49, 5.0)]


def wavy(closed, count=121):
    at = np.linspace(0.0, 1.0, count)
    turn = 2.0 * np.pi * at
    points = np.column_stack(
        [500.0 * np.cos(turn), 400.0 * np.sin(turn + 0.3), 350.0 + 300.0 * np.sin(2.0 * turn)]
    )
    return points if closed else points[: count // 2]


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    cuts = [
        {"points": wavy(closed).tolist(), "closed": closed, "a": a, "b": b, "at": 130.0}
        for closed in (False, True)
        for a, b in (TWO, ABOVE, LEVEL)
    ]
    path = tmp_path_factory.mktemp("planes") / "cases.json"
    path.write_text(json.dumps({"cuts": cuts, "snaps": SNAPS}))
    spec = importlib.util.spec_from_file_location("hatch_build", ROOT / "hatch_build.py")
    hatch_build = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(hatch_build)
    runner = ROOT / "tests" / "typescript" / "plane_cases.ts"
    command = [*hatch_build.node_command(), str(runner), str(path)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return cuts, json.loads(done.stdout)


def test_planes_hold_their_points_and_their_axes_are_square_to_each_other(answers):
    for case, planes in zip(answers[0], answers[1]["cuts"], strict=True):
        for number, plane in enumerate(planes):
            if plane is None:
                continue
            frame = np.array([plane["right"], plane["up"], plane["across"]])
            np.testing.assert_allclose(np.abs(frame @ frame.T), np.eye(3), atol=1e-12)
            if number >= 3:
                ends = np.array([case["a"], case["b"]]) - plane["origin"]
                np.testing.assert_allclose(ends @ plane["across"], 0.0, atol=1e-9)
    upright, canted = answers[1]["cuts"][0][3:]
    assert upright["up"] == [0, 0, 1]
    assert canted["right"] == [0, 1, 0]


def test_two_points_that_give_no_such_plane_give_none(answers):
    (above, level) = (answers[1]["cuts"][k] for k in (1, 2))
    assert above[3] is None
    assert above[4] is not None
    assert level[3] is not None
    assert level[4] is None


def test_a_line_is_cut_wherever_it_changes_sides_and_nowhere_else(answers):
    for case, planes in zip(answers[0], answers[1]["cuts"], strict=True):
        points = np.array(case["points"])
        for plane in planes:
            if plane is None:
                continue
            height = (points - plane["origin"]) @ np.array(plane["across"])
            changes = np.count_nonzero(np.diff(np.sign(height)))
            assert len(plane["passes"]) == changes
            for one in plane["passes"]:
                off = (np.array(one["point"]) - plane["origin"]) @ np.array(plane["across"])
                assert off == pytest.approx(0.0, abs=1e-9)
                np.testing.assert_allclose(one["back"], one["point"], atol=1e-9)
                along = one["share"] * (len(points) - 1)
                exact = [np.interp(along, np.arange(len(points)), points[:, k]) for k in range(3)]
                np.testing.assert_allclose(one["point"], exact, atol=1e-8)


def test_a_plane_is_a_stroke_where_it_is_seen_edge_on_and_stays_inside_the_view(answers):
    station, _, _, upright, _ = answers[1]["cuts"][0]
    assert station["strokes"][0] is None
    for axis in (1, 2):
        ends = np.array(station["strokes"][axis])
        np.testing.assert_allclose(ends[:, 0], 130.0)
        assert np.abs(ends).max() <= 900.0
    assert upright["strokes"][2] is not None
    assert upright["strokes"][0] is upright["strokes"][1] is None


def test_snapping_goes_to_the_nearest_multiple_and_leaves_free_axes_alone(answers):
    exact = [1250.0, -675.0, 12.5, 990.0, 50.0, 5.0]
    assert answers[1]["snaps"] == exact
