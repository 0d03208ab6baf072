"""How doubts and notes reach the terminal."""

import pytest

from buckwright.cli.report import finding_lines, say_findings
from buckwright.model.buck import Buck
from buckwright.model.finding import Finding
from buckwright.model.job import Job, Products
from drawings import small_job


def finding(where, message, *, kind="doubt"):
    return Finding(code="c", where=where, message=message, remedy="Mend it.", kind=kind)


def test_doubts_come_first_and_alike_ones_in_one_line():
    found = (
        finding("plan", "Hours.", kind="note"),
        finding("sill", "It is off by 2 mm."),
        finding("belt", "It is off by 3 mm."),
    )
    assert finding_lines(found) == [
        "  ! sill (likewise: belt): It is off by 2 mm. Mend it.",
        "  - plan: Hours. Mend it.",
    ]


def products_with(*found):
    buck: Buck = small_job.buck().model_copy(update={"findings": found})
    return Products(buck=buck)


def test_doubts_and_notes_are_counted_apart(capsys):
    found = [finding(f"w{k}", f"It is off by {k} mm.") for k in range(3)]
    found += [finding("door", "It is cut.", kind="note")]
    say_findings(Job(name="Plover"), products_with(*found))
    said = capsys.readouterr().out
    assert "3 doubts:\n  ! w0 (likewise: w1, w2)" in said
    assert "1 note of what was decided" in said
    assert "It is cut." not in said


@pytest.mark.parametrize("count", [0, 9])
def test_what_is_not_shown_is_counted(capsys, count):
    words = ["one", "two", "six", "ten", "low", "new", "old", "dry", "wet"]
    found = [finding("w", f"It is {word}.") for word in words[:count]]
    say_findings(Job(name="Plover"), products_with(*found), most=6)
    said = capsys.readouterr().out
    assert ("and 3 more" in said) == (count == 9)
    assert ("doubt" in said) == (count > 0)
    assert "note" not in said
