"""The list of what a later change asks of the wires that stand."""

import numpy as np
import pytest

from buckwright.buck import changes_of, mark_built
from buckwright.drawings import change_sheets
from web.invented import job_and_answers


@pytest.fixture(scope="module")
def changed():
    job, _, answers = job_and_answers()
    job = mark_built(job, answers.buck, ["W1", "W2", "W4"], "2026-03-14")
    low = job.built[0].model_copy(update={"axis": job.built[0].axis - np.array([0.0, 0.0, 20.0])})
    gone = job.built[2].model_copy(update={"name": "old hoop", "identity": "old hoop"})
    built = (low, job.built[1], gone)
    changes = changes_of(built, answers.buck.wires, tolerance=1.0)
    return job, answers.buck.model_copy(update={"changes": changes})


def words_of(sheet):
    return [label.text for label in sheet.labels]


def test_it_names_every_wire_that_is_not_right_and_no_other(changed):
    job, buck = changed
    (sheet,) = change_sheets(job, buck)
    listed = words_of(sheet)
    for change in buck.changes:
        assert (change.wire in listed) == (change.verdict != "right")
    place = listed.index("W1")
    assert listed[place + 1] == "TACK ELSEWHERE"
    assert listed[place + 2] == "20.0"
    assert listed[listed.index("old hoop") + 1] == "CUT OUT"
    assert any("1 of 11 stay as they are" in text for text in listed)


def test_of_some_wires_it_names_those_and_what_goes(changed):
    job, buck = changed
    (sheet,) = change_sheets(job, buck, only={"W1"})
    listed = words_of(sheet)
    assert "W1" in listed
    assert "old hoop" in listed
    assert "W5" not in listed


def test_there_is_no_sheet_where_nothing_changes(changed):
    job, buck = changed
    right = tuple(change for change in buck.changes if change.verdict == "right")
    assert change_sheets(job, buck.model_copy(update={"changes": ()})) == ()
    assert change_sheets(job, buck.model_copy(update={"changes": right})) == ()


def test_no_words_lie_over_others_and_all_lie_within_the_border(changed):
    job, buck = changed
    (sheet,) = change_sheets(job, buck)
    boxes = [(label.corners().min(axis=0), label.corners().max(axis=0)) for label in sheet.labels]
    low, high = sheet.strokes[0].points.min(axis=0), sheet.strokes[0].points.max(axis=0)
    for k, (one_low, one_high) in enumerate(boxes):
        assert (one_low >= low).all()
        assert (one_high <= high).all()
        for two_low, two_high in boxes[:k]:
            shared = np.minimum(one_high, two_high) - np.maximum(one_low, two_low)
            # Tails of letters may reach into the line below, never its capitals.
            assert shared.min() < 2.5
    assert any("Z49.1" in note for note in sheet.notes)
