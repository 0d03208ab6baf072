"""What to photograph next: missing heights and sides, wherever the mat lies."""

import numpy as np
import pytest

from buckwright.capture.shoot import advise_shoot
from buckwright.drawings import shoot_sheet
from buckwright.model.intake import Stand


def stand(azimuth, height):
    a, h = np.radians([azimuth, height])
    return Stand(picture=f"{azimuth} {height}", azimuth=float(a), height=float(h), distance=600.0)


LOW = tuple(stand(45 * k, 20) for k in range(8))
HIGH = tuple(stand(60 * k, 48) for k in range(6))
ABOVE = (stand(10, 86),)


def test_the_whole_plan_is_wanted_before_the_first_picture():
    advice = advise_shoot(())
    assert len(advice.wanted) == 15
    assert advice.say.startswith("Walk round the mat twice")


def test_a_whole_shoot_wants_nothing():
    advice = advise_shoot(LOW + HIGH + ABOVE)
    assert advice.wanted == ()
    assert advice.say == "All sides are there, at both heights and from above."


def test_a_missing_height_is_named_and_its_places_are_wanted():
    advice = advise_shoot(LOW + ABOVE)
    assert advice.say.startswith("No picture was taken from high heights.")
    assert len(advice.wanted) == 6
    assert all(wanted.words.startswith("high, ") for wanted in advice.wanted)


@pytest.mark.parametrize(
    ("gone", "words"),
    [
        (0, "low, at side B"),
        (1, "low, from the corner of sides B and C"),
        (2, "low, at side C"),
        (4, "low, at side D"),
        (6, "low, at side A"),
        (7, "low, from the corner of sides A and B"),
    ],
)
def test_a_missing_side_is_told_by_the_letters_on_the_mat(gone, words):
    advice = advise_shoot((*LOW[:gone], *LOW[gone + 1 :], *HIGH, *ABOVE))
    assert [wanted.words for wanted in advice.wanted] == [words]


def test_the_largest_gap_comes_first_and_a_turned_shoot_has_as_many():
    some = LOW[:3]
    advice = advise_shoot(some)
    towards = [
        np.array([np.cos(w.height) * np.cos(w.azimuth), np.cos(w.height) * np.sin(w.azimuth)])
        for w in advice.wanted
    ]
    # The pictures there are lie to the right and behind: the first wish is on the other side.
    assert towards[0] @ np.array([1.0, 1.0]) < 0.0
    turned = advise_shoot(tuple(stand(45 * k + 90, 20) for k in range(3)))
    assert len(turned.wanted) == len(advice.wanted)


def test_a_camera_that_stood_below_the_mats_edge_serves_no_ring():
    assert len(advise_shoot((stand(0, 1),)).wanted) == 15


def test_the_plan_shows_every_camera_and_every_wish():
    advice = advise_shoot(LOW[:5])
    sheet = shoot_sheet(advice)
    names = {stroke.name for stroke in sheet.strokes}
    assert {stand.picture for stand in advice.stands} <= names
    numbers = {label.text for label in sheet.labels}
    assert {str(k + 1) for k in range(len(advice.wanted))} <= numbers
    assert sheet.notes[0] == advice.say
    assert len(sheet.notes) == 1 + len(advice.wanted)
