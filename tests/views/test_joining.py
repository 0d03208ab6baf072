import json
from pathlib import Path

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.views import ViewSpec
from buckwright.views import join_views
from views_on_paper import Camera

LINES = json.loads(
    (Path(__file__).parents[2] / "examples" / "wren" / "truth.json").read_text(encoding="utf-8")
)["lines"]
BOXES = {"side": (0, 200, 2400, 1600), "top": (0, -600, 2400, 600), "front": (-600, 200, 600, 1500)}
CAMERAS = {
    "side": Camera("left", 9000.0, (1200, 900), -640.0, 6500.0, (0.02, 0.03, -0.01)),
    "top": Camera("top", 9000.0, (1300, 50), 1000.0, 6500.0, (0.03, -0.02, 0.02)),
    "front": Camera("front", 9000.0, (20, 800), 400.0, 6500.0, (-0.02, 0.03, 0.01)),
}
TRACED = {
    "side": ("belt left", "cantrail left", "window left", "roof centre line", "scuttle front"),
    "top": ("belt left", "cantrail left", "window left", "roof centre line"),
    "front": ("scuttle front",),
}


def points(name: str) -> np.ndarray:
    return np.array(LINES[name]["points"])


def views(*names: str, noise: float = 0.0, scale: float = 1.0, shift=(0.0, 0.0)) -> list[ViewSpec]:
    """Of the example's true lines; the top view is put to a wrong scale and place."""
    rng, made = np.random.default_rng(7), []
    for name in names:
        traces = []
        for line in TRACED[name]:
            trace = CAMERAS[name].trace(name, line, points(line), closed=LINES[line]["closed"])
            px = trace.px + rng.normal(0.0, noise, trace.px.shape)
            traces.append(trace.model_copy(update={"px": px}))
        view = CAMERAS[name].view(name, *traces, box=BOXES[name])
        if name == "top":
            (picture,) = view.pictures
            at = picture.corners_at * scale + np.array(shift)
            changed = picture.model_copy(update={"corners_at": at})
            view = view.model_copy(update={"pictures": (changed,)})
        made.append(view)
    return made


def miss(line) -> np.ndarray:
    """Distances after the best shift: where the whole frame lies, no view can tell."""
    true, at = points(line.name), line.points
    for _ in range(10):
        _, near, _ = closest_on_polyline(at, true, closed=line.closed)
        at = at + (near - at).mean(axis=0)
    return closest_on_polyline(at, true, closed=line.closed)[0]


def test_lines_of_side_view_and_plan_are_set_in_space() -> None:
    joined = join_views(views("side", "top", "front"))
    assert {shift.view: round(shift.scale, 3) for shift in joined.shifts} == {
        "side": 1.0,
        "top": 1.0,
        "front": 1.0,
    }
    found = {line.name: line for line in joined.lines}
    assert set(found) == set(TRACED["side"])
    for name in ("belt left", "cantrail left", "roof centre line"):
        gap = closest_on_polyline(found[name].points, points(name))[0]
        # Seen from 9 m, the plane of scale alone shows the roof 120 mm wrong.
        assert gap.max() < 2.5, name
        assert np.mean(gap < 2.0 * np.sqrt(2.0) * found[name].sigma) > 0.9, name


def test_a_view_at_a_wrong_scale_and_place_gives_way_and_what_is_left_is_told() -> None:
    joined = join_views(views("side", "top", noise=0.7, scale=1.004, shift=(14.0, 0.0)))
    before = np.array([one.before for one in joined.apart])
    after = np.array([one.after for one in joined.apart])
    assert np.abs(before).max() > 12.0
    assert np.abs(after).max() < 5.0
    assert list(np.abs(after)) == sorted(np.abs(after), reverse=True)
    side, top = joined.shifts
    assert top.scale / side.scale == pytest.approx(1.0 / 1.004, abs=0.0015)
    for line in joined.lines:
        assert np.sqrt(np.mean(miss(line) ** 2)) < 4.0, line.name


def test_a_trace_taken_the_other_way_is_the_same_line() -> None:
    side, top = views("side", "top")
    turned = [t.model_copy(update={"px": t.px[::-1]}) if not t.closed else t for t in top.traces]
    other = top.model_copy(update={"traces": tuple(turned)})
    one, two = join_views([side, top]), join_views([side, other])
    for a, b in zip(one.lines, two.lines, strict=True):
        assert np.abs(a.points - b.points).max() < 1e-6


def test_views_that_contradict_are_refused_with_what_each_says() -> None:
    side, top = views("side", "top", scale=1.5)
    with pytest.raises(JobError, match=r"contradict: .* mm long on x in the one, .* in the other"):
        join_views([side, top])


def test_one_view_or_none_in_common_cannot_be_joined() -> None:
    (side,) = views("side")
    with pytest.raises(JobError, match="not two views"):
        join_views([side])
    with pytest.raises(JobError, match="Two views are called 'side'"):
        join_views([side, side])
    (top,) = views("top")
    with pytest.raises(JobError, match="no line in common"):
        join_views([side, top.model_copy(update={"traces": ()})])


def test_a_line_square_to_the_shared_axis_is_told_and_left_out() -> None:
    across = np.linspace(-500.0, 500.0, 30)
    rung = np.column_stack([np.full(30, 1500.0), across, 900.0 + across / 20.0])
    more = [
        view.model_copy(update={"traces": (*view.traces, CAMERAS[name].trace(name, "rung", rung))})
        for name, view in zip(("side", "top"), views("side", "top"), strict=True)
    ]
    # Seen from the side the rung is a few pixels of height; x says nothing of where along it.
    joined = join_views(more)
    assert "rung" not in {line.name for line in joined.lines}
    assert [f.where for f in joined.findings if f.code == "line-square"] == ["rung"]


def test_a_view_that_shares_no_line_is_told() -> None:
    side, top, front = views("side", "top", "front")
    lone = front.model_copy(update={"traces": ()})
    assert [f.where for f in join_views([side, top, lone]).findings if f.code == "view-alone"] == [
        "front"
    ]
