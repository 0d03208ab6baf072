"""Single places: dots and rims come back from their marks, with an honest doubt."""

import cv2
import numpy as np
import pytest

from buckwright.capture import calibrate
from buckwright.capture.points import point_from_traces
from buckwright.errors import JobError
from buckwright.model.pictures import Trace
from buckwright.model.points import MeasuredPoint
from sights_on_paper import STANDS, seen, shoot, with_bar

PLACE = np.array([250.0, -150.0, 70.0])
CHOSEN = (0, 3, 6, 10, 12)


@pytest.fixture(scope="module")
def calibration():
    return calibrate(shoot(noise=0.0), with_bar())


def marks(points, *, chosen=CHOSEN, noise=0.0, seed=3):
    random = np.random.default_rng(seed)
    found = []
    for k in chosen:
        px = seen(points, STANDS[k])
        px = px + noise * random.normal(size=px.shape)
        found.append(Trace(line="hole", picture=f"p{k:02d}.jpg", px=px, kind="point"))
    return found


def circle(radius=30.0, axis=(0.3, -0.8, 0.5), count=12):
    axis = np.array(axis) / np.linalg.norm(axis)
    first = np.cross(axis, [0.0, 0.0, 1.0])
    first /= np.linalg.norm(first)
    turn = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)[:, None]
    return PLACE + radius * (np.cos(turn) * first + np.sin(turn) * np.cross(axis, first))


def codes(point):
    return {finding.code for finding in point.findings}


def test_a_dot_comes_back_to_a_few_thousandths(calibration):
    point = point_from_traces("hole", marks(PLACE[None]), calibration)
    assert point.kind == "dot"
    np.testing.assert_allclose(point.point, PLACE, atol=0.005)
    assert point.residual_px < 0.02
    assert codes(point) == set()


def test_the_doubt_of_dots_is_honest_over_many_hands(calibration):
    square = []
    for seed in range(60):
        point = point_from_traces("hole", marks(PLACE[None], noise=1.0, seed=seed), calibration)
        off = np.array(point.point) - PLACE
        square.append(off @ np.linalg.solve(np.array(point.covariance), off))
    # Three numbers each: the mean of chi-squared is three.
    assert 2.0 < np.mean(square) < 4.2


def test_cameras_whose_covariance_was_not_kept_are_as_sure_as_their_places(calibration):
    older = calibration.model_copy(
        update={"covariance": np.zeros(0), "centre_sigma": np.full(len(calibration.pictures), 2.0)}
    )
    point = point_from_traces("hole", marks(PLACE[None]), older)
    # Five independent pictures: 2 mm over the root of five, each way.
    from_cameras = np.diag(np.array(point.covariance))
    assert np.all(from_cameras > 0.8)
    assert np.all(from_cameras < 1.2)


def test_the_middle_of_a_rim_is_that_of_the_circle_not_of_the_ellipse(calibration):
    rim = circle(radius=90.0)
    point = point_from_traces("hole", marks(rim), calibration)
    assert point.kind == "rim"
    np.testing.assert_allclose(point.point, PLACE, atol=0.01)
    assert point.radius == pytest.approx(90.0, abs=0.01)
    assert abs(np.array(point.axis) @ [0.3, -0.8, 0.5]) / np.linalg.norm(
        [0.3, -0.8, 0.5]
    ) == pytest.approx(1.0, abs=1e-6)
    # What a picture shows in the middle of the ellipse (OpenCV's) is pixels away from it.
    ellipse = cv2.fitEllipse(seen(rim, STANDS[0]).astype(np.float32))[0]
    assert np.linalg.norm(ellipse - seen(PLACE[None], STANDS[0])[0]) > 3.0


def test_the_middle_of_a_rim_set_by_hand_lies_within_its_doubt(calibration):
    square = []
    for seed in range(6):
        point = point_from_traces("hole", marks(circle(), noise=1.0, seed=seed), calibration)
        off = np.array(point.point) - PLACE
        square.append(off @ np.linalg.solve(np.array(point.covariance), off))
    assert 1.0 < np.mean(square) < 6.0


def test_a_mark_on_another_place_is_named_and_does_not_count(calibration):
    wrong = marks(PLACE[None])
    wrong[2] = wrong[2].model_copy(update={"px": wrong[2].px + 60.0})
    point = point_from_traces("hole", wrong, calibration)
    (doubt,) = [f for f in point.findings if f.code == "mark-strays"]
    assert "p06.jpg" in doubt.message
    np.testing.assert_allclose(point.point, PLACE, atol=0.6)


def test_two_pictures_are_enough_but_doubted(calibration):
    point = point_from_traces("hole", marks(PLACE[None], chosen=(0, 3)), calibration)
    assert codes(point) == {"few-pictures"}


def test_one_picture_is_refused(calibration):
    with pytest.raises(JobError, match="one solved picture only"):
        point_from_traces("hole", marks(PLACE[None], chosen=(0,)), calibration)


def test_a_point_in_no_solved_picture_is_refused(calibration):
    lost = [t.model_copy(update={"picture": "lost.jpg"}) for t in marks(PLACE[None])]
    with pytest.raises(JobError, match="no solved picture"):
        point_from_traces("hole", lost, calibration)


def test_marks_of_two_places_do_not_meet(calibration):
    two = marks(PLACE[None], chosen=(0, 3))
    two[1] = two[1].model_copy(update={"px": two[1].px + np.array([0.0, 900.0])})
    with pytest.raises(JobError, match="do not meet"):
        point_from_traces("hole", two, calibration)


def test_a_rim_in_one_picture_beside_dots_is_refused(calibration):
    mixed = [*marks(circle(), chosen=(0,)), *marks(PLACE[None], chosen=(3, 6))]
    with pytest.raises(JobError, match="rim of hole is marked in one picture only"):
        point_from_traces("hole", mixed, calibration)


def test_a_mark_outside_its_picture_is_refused(calibration):
    far = marks(PLACE[None])
    far[1] = far[1].model_copy(update={"px": far[1].px + np.array([90_000.0, 0.0])})
    with pytest.raises(JobError, match=r"p03\.jpg lies outside"):
        point_from_traces("hole", far, calibration)


def test_a_point_is_json_and_back(calibration):
    point = point_from_traces("hole", marks(circle()), calibration)
    again = MeasuredPoint.model_validate_json(point.model_dump_json())
    assert again.model_dump_json() == point.model_dump_json()
