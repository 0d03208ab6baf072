"""Lines of every kind from traces of every kind, and the doubts that are told with them."""

import numpy as np
import pytest

from buckwright.capture import calibrate, line_from_traces
from buckwright.errors import JobError
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline, resample_polyline
from sights_on_paper import STANDS, hoop, pose, seen, shoot, trace, with_bar

ONE_SIDE = [(a, 20, 600) for a in (228, 252, 288, 312)]
LOW = STANDS[:9] + ONE_SIDE


@pytest.fixture(scope="module")
def calibration():
    return calibrate(shoot(), with_bar())


def window(radius=8.0):
    """A rectangle of 110 x 70 mm with rounded corners, leaning by 20 degrees, 60 mm up."""
    quarter = np.linspace(0.0, np.pi / 2.0, 60)
    half = np.array([55.0 - radius, 35.0 - radius])
    corners = [
        [sx * half[0], sy * half[1]]
        + radius * np.column_stack([np.cos(quarter + turn), np.sin(quarter + turn)])
        for (sx, sy), turn in zip(
            [(1, 1), (-1, 1), (-1, -1), (1, -1)], np.arange(4) * np.pi / 2.0, strict=True
        )
    ]
    flat = resample_polyline(np.vstack(corners), 900, closed=True)
    lean = np.radians(20.0)
    return np.column_stack(
        [
            285.0 + flat[:, 0],
            -195.0 + flat[:, 1] * np.sin(lean),
            70.0 + flat[:, 1] * np.cos(lean),
        ]
    )


def level():
    """A level line of 300 mm, 50 mm above the mat, bowed by 8 mm."""
    x = np.linspace(-150.0, 150.0, 700)
    return np.column_stack([285.0 + x, -250.0 - 8.0 * (x / 150.0) ** 2, np.full(700, 50.0)])


def rms(found, true, *, closed=False):
    gap, _, _ = closest_on_polyline(np.array(found.points), true, closed=closed)
    return float(np.sqrt(np.mean(gap**2)))


def looped(traces):
    """Traces of a closed line that come back to their start."""
    return [t.model_copy(update={"px": np.vstack([t.px, t.px[:1]])}) for t in traces]


def codes(line):
    return {finding.code for finding in line.findings}


def test_a_loop_with_round_corners_keeps_them(calibration):
    true = window()
    line = line_from_traces(
        "window", looped(trace("window", true, vertex=6.0)), calibration, closed=True
    )
    assert line.closed
    assert rms(line, true, closed=True) < 0.16
    around = arc_lengths(np.array(line.points), closed=True)[-1]
    assert around == pytest.approx(arc_lengths(true, closed=True)[-1], rel=0.01)
    assert line.findings == ()


def test_a_circle_keeps_its_radius(calibration):
    t = np.linspace(0.0, 2.0 * np.pi, 700, endpoint=False)
    true = np.column_stack(
        [285.0 + 27.0 * np.cos(t), np.full(700, -260.0), 40.0 + 27.0 * np.sin(t)]
    )
    line = line_from_traces("rim", looped(trace("rim", true)), calibration, closed=True)
    centre = line.points.mean(axis=0)
    radius = np.linalg.norm(line.points - centre, axis=1)
    assert np.mean(radius) == pytest.approx(27.0, abs=0.1)
    assert rms(line, true, closed=True) < 0.16


def test_pieces_and_hidden_stretches_do_not_matter(calibration):
    pieces = []
    for number, whole in enumerate(trace("hoop", hoop())):
        count = len(whole.px)
        if number % 3 == 0:
            pieces += [whole.model_copy(update={"px": whole.px[: count // 2]})]
        elif number % 3 == 1:
            pieces += [
                whole.model_copy(update={"px": whole.px[: count // 3]}),
                whole.model_copy(update={"px": whole.px[: count // 2 : -1]}),
            ]
        else:
            pieces += [whole.model_copy(update={"px": whole.px[count // 4 :]})]
    line = line_from_traces("hoop", pieces, calibration, closed=False)
    assert rms(line, hoop()) < 0.2
    _, _, along = closest_on_polyline(np.array(line.points), hoop())
    assert np.ptp(along) > 0.97 * arc_lengths(hoop())[-1]


def test_a_straight_line_comes_back_straight(calibration):
    t = np.linspace(0.0, 1.0, 600)[:, None]
    true = np.array([150.0, -120.0, 30.0]) + t * np.array([250.0, -120.0, 90.0])
    line = line_from_traces("edge", trace("edge", true), calibration, closed=False)
    _, _, axes = np.linalg.svd(line.points - line.points.mean(axis=0))
    off = (line.points - line.points.mean(axis=0)) @ axes[1:].T
    assert np.sqrt(np.mean(np.sum(off**2, axis=1))) < 0.12
    assert rms(line, true) < 0.16


def test_without_wobble_the_line_is_right_to_a_few_hundredths(calibration):
    for name, true, closed in (("hoop", hoop(), False), ("window", window(), True)):
        traces = trace(name, true, wobble=1e-3, vertex=6.0)
        line = line_from_traces(
            name, looped(traces) if closed else traces, calibration, closed=closed
        )
        assert rms(line, true, closed=closed) < 0.1


def test_printed_sigmas_are_honest_over_many_hands(calibration):
    ratios = []
    for seed in range(4):
        for name, true in (("hoop", hoop()), ("level", level())):
            line = line_from_traces(name, trace(name, true, seed=seed), calibration, closed=False)
            gap, _, _ = closest_on_polyline(np.array(line.points), true)
            ratios.append(gap / (np.sqrt(2.0) * line.sigma))
    inside = float(np.mean(np.concatenate(ratios) < 2.0))
    assert 0.9 <= inside <= 1.0


def test_the_same_traces_give_the_same_line(calibration):
    one, two = (
        line_from_traces("hoop", trace("hoop", hoop()), calibration, closed=False) for _ in "ab"
    )
    np.testing.assert_array_equal(one.points, two.points)
    np.testing.assert_array_equal(one.sigma, two.sigma)


def test_a_level_line_seen_from_one_height_is_doubted_with_what_to_do():
    low = calibrate(shoot(stands=LOW), with_bar())
    # Cameras on one side at one height see a level line along nearly the same plane.
    chosen = trace("level", level(), stands=LOW)[-4:]
    line = line_from_traces("level", chosen, low, closed=False)
    (doubt,) = [f for f in line.findings if f.code == "badly-placed"]
    assert "higher up" in doubt.remedy
    assert np.min(line.conditioning) < 0.25
    both = calibrate(shoot(), with_bar())
    better = line_from_traces("level", trace("level", level()), both, closed=False)
    assert "badly-placed" not in codes(better)
    assert np.median(better.conditioning) > 2.0 * np.median(line.conditioning)
    assert np.mean(better.sigma) < np.mean(line.sigma)


def test_three_pictures_are_enough_but_doubted(calibration):
    traces = trace("hoop", hoop())
    line = line_from_traces("hoop", [traces[k] for k in (0, 3, 11)], calibration, closed=False)
    assert "few-pictures" in codes(line)
    assert rms(line, hoop()) < 1.0


def test_a_trace_of_something_else_is_named(calibration):
    traces = trace("hoop", hoop())
    wrong = seen(hoop() + np.array([25.0, 0.0, 0.0]), STANDS[4])[::40]
    traces[4] = traces[4].model_copy(update={"px": wrong})
    line = line_from_traces("hoop", traces, calibration, closed=False)
    (doubt,) = [f for f in line.findings if f.code == "trace-strays"]
    assert "p04.jpg" in doubt.message
    assert rms(line, hoop()) < 0.2


def test_a_trace_in_an_unknown_picture_is_left_out_and_named(calibration):
    traces = trace("hoop", hoop())
    traces[2] = traces[2].model_copy(update={"picture": "nowhere.jpg"})
    line = line_from_traces("hoop", traces, calibration, closed=False)
    (doubt,) = [f for f in line.findings if f.code == "trace-left-out"]
    assert "nowhere.jpg" in doubt.message
    assert len(line.pictures) == len(STANDS) - 1


def test_a_line_without_traces_is_refused(calibration):
    with pytest.raises(JobError, match="hoop is not traced"):
        line_from_traces("hoop", [], calibration, closed=False)


def test_traces_that_are_only_dots_are_refused(calibration):
    dots = [t.model_copy(update={"px": t.px[:2] * 0.0 + 700.0}) for t in trace("hoop", hoop())]
    with pytest.raises(JobError, match="only a dot"):
        line_from_traces("hoop", dots, calibration, closed=False)


def test_empty_traces_are_refused(calibration):
    empty = [t.model_copy(update={"px": np.zeros((0, 2))}) for t in trace("hoop", hoop())]
    with pytest.raises(JobError, match="hoop has no usable trace"):
        line_from_traces("hoop", empty, calibration, closed=False)


def test_a_trace_far_outside_its_picture_is_refused(calibration):
    traces = trace("hoop", hoop())
    traces[1] = traces[1].model_copy(update={"px": traces[1].px + np.array([90_000.0, 0.0])})
    with pytest.raises(JobError, match=r"p01\.jpg runs out of the picture"):
        line_from_traces("hoop", traces, calibration, closed=False)


def test_where_the_mat_lies_does_not_matter_to_the_line():
    # Turned and shifted stands see a turned and shifted line in the same way: same pixels.
    stands = [(a + 70, h, d) for a, h, d in STANDS]
    one = calibrate(shoot(stands=stands), with_bar())
    line = line_from_traces("hoop", trace("hoop", hoop(), stands=stands), one, closed=False)
    assert rms(line, hoop()) < 0.15
    assert pose(*stands[0])[0] == pytest.approx(one.pictures[0].rotation_vector, abs=1e-3)
