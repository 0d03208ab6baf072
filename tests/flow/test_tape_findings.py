"""Tapes that disagree with the lines: among the findings of the whole job, and in the packet."""

from buckwright.drawings import packet_sheets
from buckwright.flow import findings_of
from buckwright.flow.packet import packet_contents
from buckwright.flow.tapes import tape_check
from buckwright.lines.tape_choices import told_tape
from buckwright.model.job import Job, Products, step_digests
from small_cab import SPECS
from web.small_cab_job import _answer

RIMS = ["front rim: centre", "rear rim: centre"]


def tape(name, size, sigma=1.0, **laid):
    asked = {"of": "between", "places": RIMS, **laid}
    return told_tape(asked.pop("of"), size=size, sigma=sigma, name=name, **asked)


def right(name):
    """Three that agree with the cab's wheelbase of 1500 mm and the like."""
    return tape(name, 1500.0, sigma=2.0)


def job_with(*tapes):
    return Job(name="Cab", revision="A", scale=8.0, lines=SPECS, tapes=tapes)


def told(*tapes):
    products, _ = _answer()
    job = job_with(*tapes)
    return [f for step, f in findings_of(products, job) if step == "lines" and "tape" in f.message]


def test_a_tape_that_the_others_contradict_is_more_likely_wrong_itself():
    (doubt,) = told(right("one"), right("two"), tape("long", 1600.0))
    assert (doubt.code, doubt.where, doubt.kind) == ("tape-off", "long", "doubt")
    assert "says 1600.0 ± 1.0 mm where the lines give 15" in doubt.message
    assert " ± " in doubt.message.split("give")[1]
    assert "The tape is more likely wrong: the other tapes contradict it." in doubt.message
    assert "read from the 100 mm mark" in doubt.message


def test_a_single_tape_cannot_be_judged_unless_something_explains_it():
    (doubt,) = told(tape("odd", 1563.0))
    assert "Nothing says yet which of the two is wrong" in doubt.message
    (doubt,) = told(tape("swapped", 1600.0))
    assert "The tape is more likely wrong." in doubt.message


def test_tapes_that_all_ask_for_one_factor_put_the_doubt_on_the_lines():
    products, reference = _answer()
    tapes = [tape(name, 1530.0) for name in ("one", "two", "three")]
    check = tape_check(job_with(*tapes), reference)
    assert [row.wrong for row in check.rows] == ["lines"] * 3
    assert [f.code for _, f in findings_of(products, job_with(*tapes)) if f.where == "scale"] == [
        "scale-off"
    ]


def test_right_tapes_say_nothing_and_without_the_job_none_is_told():
    assert told(right("one"), right("two")) == []
    products, _ = _answer()
    assert "tape-off" not in {f.code for _, f in findings_of(products)}
    assert tape_check(job_with(), None).rows == ()


def test_the_packet_has_the_tapes_on_a_sheet_of_their_own_and_among_its_findings():
    products, reference = _answer()
    job = job_with(right("one"), right("two"), tape("long", 1600.0))
    sheets = packet_sheets(job, products, tape_check(job, reference))
    (sheet,) = [one for one in sheets if one.name == "tapes"]
    words = [label.text for label in sheet.labels]
    assert "1 of 3 does not agree with the lines." in words
    row = words.index("long")
    assert words[row : row + 3] == ["long", "1600.0", "± 1.0"]
    assert words[row + 7] == "the tape"
    only_lines = Products(lines=products.lines)
    files = dict(
        packet_contents(job.model_copy(update={"pictures": ()}), only_lines, lambda _: b"")
    )
    assert "svg/tapes.svg" in files
    told = files["tables/findings.csv"].decode("utf-8")
    assert "The tape 'long' says 1600.0 ± 1.0 mm" in told
    assert "The tape is more likely wrong" in told


def test_without_tapes_there_is_no_such_sheet():
    products, reference = _answer()
    sheets = packet_sheets(job_with(), products, tape_check(job_with(), reference))
    assert "tapes" not in {sheet.name for sheet in sheets}


def test_a_new_tape_makes_the_drawings_older_and_nothing_else():
    before, after = step_digests(job_with()), step_digests(job_with(right("one")))
    assert {step for step in before if before[step] != after[step]} == {"drawings"}
    # A job from before there were tapes keeps the digests of its answers.
    assert before == step_digests(Job(name="Cab", revision="A", scale=8.0, lines=SPECS))
