"""Body sizes: typed ones first, then the survey's."""

import pytest

from buckwright.errors import JobError
from buckwright.model.people import Person
from buckwright.people import choose_person
from buckwright.people.sizes import BODY_SIZES, size_up
from buckwright.tables.body_sizes import (
    CREWS,
    share_crew,
    size_counts,
    size_names,
    size_percentile,
)
from people.test_fit_people import ANN


def test_every_size_of_a_person_has_words_limits_and_a_survey() -> None:
    fields = set(Person.model_fields) - {"name", "who", "chosen"}
    assert fields == set(BODY_SIZES)
    assert fields == {name.field for name in size_names()}
    for name in size_names():
        _, least, most = BODY_SIZES[name.field]
        for sex in ("woman", "man"):
            first, counts = size_counts(name.key, sex)
            assert least < first
            assert first + len(counts) < most


def test_a_typed_size_comes_before_the_survey() -> None:
    typed = ANN.model_copy(update={"buttock_knee": 612.0})
    body = size_up(typed)
    assert body["buttock_knee"] == 612.0
    assert body["shoulder_breadth"] == ANN.shoulder_breadth
    sources = {used.field: used.source for used in body.used}
    assert sources["buttock_knee"] == "measured"
    assert "95th percentile" in sources["foot_length"]


def test_what_was_not_measured_is_taken_large_for_that_sex() -> None:
    woman = size_up(ANN.model_copy(update={"who": "woman"}))
    assert woman["hip_breadth"] == size_percentile("hipbreadthsitting", "woman", 95.0) == 456.0
    man = size_up(ANN.model_copy(update={"who": "man"}))
    assert man["hip_breadth"] == 431.0


def test_eyes_of_someone_measured_follow_the_sitting_height() -> None:
    low, high = size_up(ANN), size_up(ANN.model_copy(update={"sitting_height": 960.0}))
    assert high["eye_height"] - low["eye_height"] == pytest.approx(100.0)
    assert 95.0 < ANN.sitting_height - low["eye_height"] < 125.0


def test_a_chosen_person_has_every_size_at_that_percentile() -> None:
    tall = choose_person("Tall", "man", 95.0)
    assert tall.shoulder_breadth == 567.0
    assert tall.chosen == 95.0
    body = size_up(tall.model_copy(update={"knee_height": None}))
    assert body["knee_height"] == 602.0
    assert choose_person("Small", "woman", 5.0).sitting_height == 803.0


@pytest.mark.parametrize("percent", [0.0, 100.0, -3.0, float("nan")])
def test_a_percentile_that_nobody_has_is_refused(percent: float) -> None:
    with pytest.raises(JobError, match="between 1 and 99"):
        choose_person("Nobody", "either", percent)


def test_either_sex_lies_between_the_two() -> None:
    for name in size_names():
        low, high = sorted(size_percentile(name.key, sex, 50.0) for sex in ("woman", "man"))
        assert low - 1.0 <= size_percentile(name.key, "either", 50.0) <= high + 1.0


def test_a_crew_s_share_does_not_hang_on_its_order_and_grows_with_room() -> None:
    one = share_crew("bideltoidbreadth", ("woman", "man", "man"), 1450.0)
    assert share_crew("bideltoidbreadth", ("man", "man", "woman"), 1450.0) == pytest.approx(one)
    shares = [share_crew("forearmforearmbreadth", CREWS["any two"], r) for r in (700, 1100, 1600)]
    assert shares[0] == 0.0 < shares[1] < shares[2] == pytest.approx(1.0)


def test_nobody_and_what_was_never_measured_are_refused() -> None:
    with pytest.raises(ValueError, match="one person"):
        share_crew("bideltoidbreadth", (), 1000.0)
    with pytest.raises(ValueError, match="between 0 and 100"):
        size_percentile("stature", "man", 101.0)
    with pytest.raises(KeyError):
        size_counts("temper", "man")
