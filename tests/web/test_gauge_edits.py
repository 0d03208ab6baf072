"""Gauges on the page: what is shown of them, and what may be changed."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.gauges import SweepSpec
from buckwright.web.gauge_edits import GAUGE_EDITS
from web.invented import job_and_answers


@pytest.fixture
def job():
    return job_and_answers()[0]


def edited(job, what, *, place=0, region="front wing", **typed):
    return GAUGE_EDITS[what](job, {"what": what, "place": place, "region": region, **typed})


def spec_after(job, what, **typed):
    return edited(job, what, **typed)[0].gauges[0]


def asking(job, **changes):
    """The job with its one spec of gauges changed."""
    return job.model_copy(update={"gauges": (job.gauges[0].model_copy(update=changes),)})


def test_a_tolerance_chooses_cards_and_an_empty_one_leaves_the_named_places(job):
    new, words = edited(job, "gauge tolerance", length="0,8 mm")
    assert new.gauges[0].tolerance == 0.8
    assert new.gauges[0].at == job.gauges[0].at
    assert words == "gauges of the front wing: as many cards as make it true within 0.8 mm"
    back = spec_after(new, "gauge tolerance", length="")
    assert back.tolerance is None


def test_places_are_read_as_lengths_sorted_and_each_taken_once(job):
    assert spec_after(job, "gauge planes", text="10 in; -50 mm; 10 in").at == (-50.0, 254.0)
    chosen = asking(job, tolerance=1.0)
    assert spec_after(chosen, "gauge planes", text="").at == ()


@pytest.mark.parametrize(
    ("what", "typed", "field", "value"),
    [
        ("gauge card", {"length": "1/8 in"}, "card_thickness", 3.175),
        ("gauge clearance", {"length": "0.2"}, "clearance", 0.2),
        ("gauge stand", {"on": True}, "stand", True),
        ("gauge labels", {"labels": "cut"}, "labels", "cut"),
    ],
)
def test_how_cards_are_cut_is_typed_and_chosen(job, what, typed, field, value):
    spec = spec_after(job, what, **typed)
    assert getattr(spec, field) == value
    assert spec.at == job.gauges[0].at


def test_inside_cards_take_the_sheets_own_thickness(job):
    spec = spec_after(job, "gauge face", face="both")
    assert (spec.face, spec.metal) == ("both", job.sheet.thickness)
    own = asking(job, metal=0.9)
    assert spec_after(own, "gauge face", face="inside").metal == 0.9


def test_sweeps_are_asked_for_sized_and_left_out(job):
    on, _ = edited(job, "gauge sweeps", on=True)
    assert on.gauges[0].sweeps is not None
    longer, _ = edited(on, "gauge sweep chord", length="200")
    sized, _ = edited(longer, "gauge sweep tolerance", length="0.3 mm")
    assert (sized.gauges[0].sweeps.chord, sized.gauges[0].sweeps.tolerance) == (200.0, 0.3)
    assert edited(sized, "gauge sweeps", on=False)[0].gauges[0].sweeps is None


def test_a_card_is_added_across_a_line_and_left_out_again(job):
    typed = {"line": "sill left", "way": "across", "text": "52 %", "length": "120 mm"}
    new, words = edited(job, "add card at line", **typed)
    (card,) = new.gauges[0].lines
    assert (card.line, card.share, card.way, card.reach) == ("sill left", 0.52, "across", 120.0)
    assert "a card across sill left at 52 % of it" in words
    with pytest.raises(JobError, match="such a card"):
        edited(new, "add card at line", **typed)
    assert edited(new, "drop card at line", number=0)[0].gauges[0].lines == ()
    whole = edited(job, "add card at line", **(typed | {"length": ""}))[0]
    assert whole.gauges[0].lines[0].reach is None


def test_another_region_is_gauged_and_left_out(job):
    new, words = edited(job, "add gauges", region="body")
    assert new.gauges[1].tolerance == 1.0
    assert "body" in words
    assert edited(new, "drop gauges", place=1, region="body")[0].gauges == job.gauges
    with pytest.raises(JobError, match="no region 'roof'"):
        edited(job, "add gauges", region="roof")


@pytest.mark.parametrize(
    ("changes", "what", "typed", "said"),
    [
        ({}, "gauge tolerance", {"length": "0.001 mm"}, "cannot be a tolerance"),
        ({}, "gauge tolerance", {"length": "three"}, "is not a length"),
        ({}, "gauge planes", {"text": ""}, "No gauge of the front wing would be left"),
        ({"stand": True}, "gauge planes", {"text": ""}, "A stand without cards"),
        ({}, "gauge planes", {"text": "30 km"}, "is not a length"),
        ({}, "gauge axis", {"axis": "z"}, "cards at named places are stations"),
        ({}, "gauge card", {"length": "0"}, "cannot be the thickness of a card"),
        ({}, "gauge clearance", {"length": "-1 mm"}, "cannot be the clearance"),
        ({}, "gauge sweep chord", {"length": "100"}, "No sweeps are asked for"),
        ({}, "gauge stand", {"on": True, "place": 7}, "not asked for any more"),
        ({}, "gauge stand", {"on": True, "region": "body"}, "not asked for any more"),
        ({}, "drop card at line", {"number": 0}, "no card at a line"),
        (
            {},
            "add card at line",
            {"line": "sill left", "way": "across", "text": "140"},
            "cannot be the place",
        ),
        (
            {},
            "add card at line",
            {"line": "gutter", "way": "across", "text": "50"},
            "no line 'gutter'",
        ),
        (
            {"at": (), "sweeps": SweepSpec()},
            "gauge sweeps",
            {"on": False},
            "No gauge of the front wing would be left",
        ),
    ],
)
def test_nonsense_is_refused_in_one_sentence_with_what_to_do(job, changes, what, typed, said):
    with pytest.raises(JobError, match=said) as refused:
        edited(asking(job, **changes), what, **typed)
    assert refused.value.remedy.endswith(".")


def test_a_choice_that_no_page_offers_is_the_callers_fault(job):
    with pytest.raises(ValueError, match="no such choice"):
        edited(job, "gauge face", face="upside down")


def test_an_edit_reaches_the_job_file_and_is_undone(client):
    typed = {"what": "gauge tolerance", "place": 0, "region": "front wing", "length": "0.8 mm"}
    assert client.post("/api/change", json=typed).json()["done"].startswith("gauges of the front")
    assert client.get("/api/sheet/gauges").json()["asked"][0]["tolerance"] == 0.8
    client.post("/api/undo")
    assert client.get("/api/sheet/gauges").json()["asked"][0]["tolerance"] is None


def test_cards_come_with_their_place_in_space(client):
    _, _, answers = job_and_answers()
    rows = client.get("/api/sheet/gauges").json()["gauges"]
    for row, card in zip(rows, answers.gauges.gauges, strict=True):
        section = np.array(row["origin"]) + np.array(row["profile"]) @ np.array(row["axes"])
        np.testing.assert_allclose(section, card.section, atol=0.02)
    assert [row["edge_off"] for row in rows if row["hand"] == "left"] == [0.1, 0.1, 0.72]


def test_the_proof_the_stand_and_the_sweeps_are_told(client):
    told = client.get("/api/sheet/gauges").json()
    (chosen,) = told["sets"]
    assert (chosen["error"], chosen["tolerance"], chosen["error_at"][0]) == (0.87, 1.0, -90.0)
    assert [stand["hand"] for stand in told["stands"]] == ["left", "right"]
    assert told["stands"][0]["boards"][0]["slot_names"] == ["FW1 L", "FW2 L", "FW3 L"]
    (sweeps,) = told["sweeps"]
    assert [(row["name"], row["radius"], row["area"]) for row in sweeps["sweeps"]] == [
        ("A", 215.0, 120000.0),
        ("B", 431.0, 90000.0),
    ]


def test_the_answer_says_how_true_the_cards_are(client):
    sheets = client.get("/api/job").json()["sheets"]
    words = next(sheet["answer"] for sheet in sheets if sheet["name"] == "gauges")
    assert {"fine": 0.87} in words
