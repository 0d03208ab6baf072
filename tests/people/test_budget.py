"""What a width is made of."""

import pytest

from buckwright.errors import JobError
from buckwright.model.people import HeightFit
from buckwright.people import fit_people
from buckwright.people.budget import pair_bounds, pair_shares, width_budget
from people.test_fit_people import QUESTION, tunnel, walls


def height(name: str, given: float) -> HeightFit:
    return HeightFit(name=name, z=900.0, needed=1000.0, given=given, sigma=1.0, spare=given - 1000)


def test_the_parts_add_up_to_the_whole() -> None:
    budget = width_budget(QUESTION)
    assert budget.total == pytest.approx(sum(value for _, value in budget.parts))
    assert budget.total == 440.0 + 510.0 + 40.0 + 15.0 + 100.0 + 2.4
    assert budget.words == ()


def test_two_adults_measured_together_with_doors_come_within_30_mm_of_the_finished_width() -> None:
    """1,346 mm over the shoulders, 50 mm a door, finished 1,422 mm: common practice, no source."""
    asked = {"abreast": 1346.0, "door_thickness": 50.0, "finished": 1422.0}
    budget = width_budget(QUESTION.model_copy(update=asked))
    assert abs(budget.total - 1422.0) < 30.0
    assert budget.total == pytest.approx(1448.4)
    told = " ".join(budget.words)
    assert "26 mm more than the finished 1422 mm" in told
    assert "38 mm a side" in told
    assert "51 mm a side are reckoned" in told
    assert "2.4 mm for two sheets" in told
    assert "24 mm by which both doors together" in told
    assert "2.0 %" in told


def test_a_wider_finish_is_room_to_spare_and_an_equal_one_is_said() -> None:
    wide = width_budget(QUESTION.model_copy(update={"abreast": 1300.0, "finished": 1422.4}))
    assert "20 mm are room to spare, 10 mm on each side" in " ".join(wide.words)
    same = width_budget(QUESTION.model_copy(update={"abreast": 1300.0, "finished": 1402.4}))
    assert "to half a millimetre" in same.words[0]


def test_people_measured_together_stand_for_the_sum_of_their_shoulders() -> None:
    asked = QUESTION.model_copy(update={"abreast": 1200.0})
    answer = fit_people(asked, tunnel(walls(650.0)), width_sigma=1.0)
    assert answer.heights[0].needed == 1200.0
    assert answer.heights[1].needed == 1115.0


@pytest.mark.parametrize("update", [{"abreast": 30.0}, {"finished": float("nan")}])
def test_a_width_that_no_people_have_is_refused(update: dict[str, float]) -> None:
    with pytest.raises(JobError, match="side by side cannot be that"):
        fit_people(QUESTION.model_copy(update=update), tunnel(walls(650.0)), width_sigma=1.0)


def test_pairs_fit_in_the_room_that_clothing_and_gap_leave() -> None:
    shares = pair_shares(QUESTION, (height("shoulders", 1205.0), height("elbows", 1205.0)), 900.0)
    assert len(shares) == 12
    by_name = {(one.crew, one.at): one for one in shares}
    assert by_name["two men", "shoulders"].room == 1150.0
    assert by_name["two men", "shoulders"].share == pytest.approx(0.996174, abs=1e-6)
    assert by_name["two women", "elbows"].share == pytest.approx(0.995194, abs=1e-6)
    assert by_name["any two", "hips"].room == 845.0
    low, high = pair_bounds(shares)
    assert high == min(one.share for one in shares if one.crew == "any two")
    assert 0.0 <= low <= high


def test_bounds_of_two_measures_that_shut_each_other_out_reach_nothing() -> None:
    shares = pair_shares(QUESTION, (height("shoulders", 1000.0), height("elbows", 1050.0)), None)
    low, high = pair_bounds(shares)
    assert low == 0.0 < high < 0.5
