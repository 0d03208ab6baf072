import json
from pathlib import Path

import pytest

from buckwright.errors import JobError
from buckwright.units import format_both, format_length, parse_length

CASES = json.loads((Path(__file__).parent / "data" / "lengths.json").read_text("utf-8"))


@pytest.mark.parametrize(("text", "mm"), CASES["parse"])
def test_text_is_read_as_exactly_so_many_millimetres(text, mm):
    assert parse_length(text) == mm


@pytest.mark.parametrize("text", CASES["refuse"])
def test_text_that_is_no_length_or_has_two_readings_is_refused_in_plain_words(text):
    with pytest.raises(JobError) as refusal:
        parse_length(text)
    assert refusal.value.problem.endswith(".")
    assert refusal.value.remedy.startswith("Write ")


@pytest.mark.parametrize(("mm", "system", "denominator", "text"), CASES["format"])
def test_length_is_written_as_the_shop_writes_it(mm, system, denominator, text):
    assert format_length(mm, system=system, denominator=denominator) == text


def test_both_systems_stand_side_by_side():
    assert format_both(1611.3125) == "1611.3 mm (5' 3 7/16\")"


@pytest.mark.parametrize(("mm", "denominator"), [(float("nan"), 16), (1.0, 10), (1.0, 0)])
def test_what_is_no_length_or_no_tape_division_is_refused(mm, denominator):
    with pytest.raises(ValueError, match=r"finite|denominator"):
        format_length(mm, system="inch", denominator=denominator)
