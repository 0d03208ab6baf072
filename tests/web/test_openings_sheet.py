"""What the page is told of openings, and what may be changed there."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.job import Products
from buckwright.model.lines import LineSpec
from buckwright.model.openings import Openings
from buckwright.store import JobFile
from buckwright.web.opening_edits import OPENING_EDITS
from buckwright.web.sheets.openings import answer
from web.invented import job_and_answers
from web.invented_openings import make_openings
from web.test_answers import read_frame


def job():
    return job_and_answers()[0]


def edit(what, start=None, **typed):
    return OPENING_EDITS[what](start or job(), {"what": what, "name": "door left", **typed})


def door(edited):
    return next(spec for spec in edited[0].openings if spec.name == "door left")


def refusal(what, start=None, **typed):
    with pytest.raises(JobError) as caught:
        edit(what, start, **typed)
    return f"{caught.value.problem} {caught.value.remedy}"


def told(words):
    return "".join(
        word if isinstance(word, str) else str(next(iter(word.values()))) for word in words
    )


def test_the_answer_leads_with_the_first_touch_and_ends_with_the_glass():
    words = told(answer(job(), job_and_answers()[2]))
    assert words.startswith("The door left swings only 45.8° of 69°, then its front edge meets")
    assert words.endswith("The side glass drops all of 250.0.")


def test_without_a_touch_the_least_clearance_is_told_and_stuck_glass_named():
    door_left, screen = make_openings().openings
    free = door_left.swing.model_copy(update={"touch": None, "least": 3.2})
    stuck = door_left.pane.drop.model_copy(update={"reached": 90.0, "stopped_by": "the trim"})
    pane = door_left.pane.model_copy(update={"drop": stuck})
    one = door_left.model_copy(update={"swing": free, "pane": pane})
    words = told(answer(job(), Products(openings=Openings(openings=(one, screen)))))
    assert "1 part swing freely; the least clearance is 3.2, of the door left" in words
    assert words.endswith("drops 90.0 of 250.0, then meets the trim.")
    still = Products(openings=Openings(openings=(screen,)))
    assert "none of them swings" in told(answer(job(), still))
    assert answer(job(), Products()) is None


def test_the_sheet_holds_what_is_asked_and_each_opening(client):
    sheet = client.get("/api/sheet/openings").json()
    assert [one["name"] for one in sheet["asked"]] == ["door left", "screen"]
    assert sheet["asked"][0]["hinge"]["swing"] == pytest.approx(68.75)
    assert sheet["openings"][0]["swing"]["touch"]["against"] == "the jamb at its front edge"
    assert sheet["openings"][1]["swing"] is None
    assert any("UNECE R43" in sentence for sentence in sheet["cautions"])
    assert any("ANSI/ISEA 105" in sentence for sentence in sheet["cautions"])
    assert sheet["findings"][0]["where"] == "door left"


def test_the_frame_holds_the_part_and_the_body_without_it(client):
    about, arrays = read_frame(client.get("/api/frame/openings").content)
    assert about == ["door left", "screen"]
    swing = make_openings().openings[0].swing
    np.testing.assert_allclose(arrays["v0"].reshape(-1, 3), swing.vertices, atol=1e-3)
    body = job_and_answers()[2].skin.region("body")
    assert len(arrays["s0"]) == 3 * (len(body.triangles) - 6)
    assert len(arrays["s1"]) > 0
    assert "v1" not in arrays


def test_sizes_are_typed_in_any_unit_and_nonsense_refused():
    assert door(edit("opening size", field="gap", length="1/4 in")).gap == pytest.approx(6.35)
    assert "shut gap" in refusal("opening size", field="gap", length="900 mm")
    with pytest.raises(ValueError, match="no such choice"):
        edit("opening size", field="colour", length="3 mm")


def test_a_swing_is_typed_in_degrees():
    assert door(edit("opening swing", text="80")).hinge.swing == pytest.approx(np.radians(80.0))
    assert "cannot be a swing" in refusal("opening swing", text="400")
    bare = edit("drop hinge point", place="0")[0]
    assert "no hinges yet" in refusal("opening swing", bare, text="80")


def test_hinge_points_are_moved_added_and_left_out():
    moved = door(edit("hinge point", place="1", text="800 mm; -2 ft; 900 mm"))
    assert moved.hinge.pins[1].point == pytest.approx((800.0, -609.6, 900.0))
    more = edit("hinge point", place="2", text="800; -640; 700")[0]
    assert len(more.openings[0].hinge.pins) == 3
    fewer = edit("drop hinge point", more, place="0")[0]
    assert [pin.point[2] for pin in fewer.openings[0].hinge.pins] == [900.0, 700.0]
    assert door(edit("drop hinge point", place="0")).hinge is None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("800; -640", "is not a place"),
        ("800; -640; nan", "nan"),
        ("800; -640; 910000", "is not a place"),
        ("800; -640; 501", "too close to fix an axis"),
    ],
)
def test_a_hinge_point_that_is_none_is_refused(text, words):
    assert words in refusal("hinge point", place="1", text=text)


def test_the_way_a_pin_points_is_typed_and_forgotten():
    known = edit("hinge direction", place="0", text="0; 0,02; 1")[0]
    assert known.openings[0].hinge.pins[0].direction == (0.0, 0.02, 1.0)
    kept = edit("hinge point", known, place="0", text="810; -640; 480")[0]
    assert kept.openings[0].hinge.pins[0].direction == (0.0, 0.02, 1.0)
    assert door(edit("hinge direction", known, place="0", text="")).hinge.pins[0].direction is None
    assert "points nowhere" in refusal("hinge direction", place="0", text="0; 0; 0")
    assert "no figure" in refusal("hinge direction", place="0", text="a; b; c")


def test_an_opening_is_hung_on_two_points_and_a_screen_is_not():
    bare = edit("drop hinge point", place="0")[0]
    hung = edit("hinge points", bare, low="800; -640; 500", high="800; -640; 900")[0]
    assert len(hung.openings[0].hinge.pins) == 2
    said = refusal("hinge points", name="screen", low="0; 0; 0", high="0; 0; 500")
    assert "does not swing here" in said


def test_openings_are_added_and_left_out():
    line = job().lines[0].name
    made, words = edit("add opening", name="hatch", kind="lid", names=[line])
    assert made.openings[-1].outline == (line,)
    assert words == "lid 'hatch' added"
    assert [spec.name for spec in edit("drop opening", made, name="hatch")[0].openings] == [
        "door left", "screen",
    ]  # fmt: skip
    assert "already" in refusal("add opening", kind="door", names=[line])
    assert "cannot name" in refusal("add opening", name=" ", kind="door", names=[line])
    assert "no line 'belt of gold'" in refusal(
        "add opening", name="x", kind="door", names=["belt of gold"]
    )
    assert "No line bounds it" in refusal("add opening", name="x", kind="door", names=[])
    assert "no opening 'boot'" in refusal("drop opening", name="boot")


def test_the_other_side_is_made_the_mirror_image():
    left, right = LineSpec(name="edge l", mirror="edge r"), LineSpec(name="edge r", mirror="edge l")
    start = job().model_copy(update={"lines": (*job().lines, left, right)})
    start = edit("opening outline", start, names=["edge l"])[0]
    start = edit("hinge direction", start, place="0", text="0; 0.1; 1")[0]
    made, words = edit("mirror opening", start)
    other = made.openings[-1]
    assert other.name == "door right"
    assert other.outline == ("edge r",)
    assert other.hinge.pins[0].point == (800.0, 640.0, 500.0)
    assert other.hinge.pins[0].direction == (0.0, -0.1, 1.0)
    assert words == "'door right' made the mirror image of 'door left'"
    assert "have no mirror images" in refusal("mirror opening")


def test_glass_is_put_in_shaped_and_taken_out():
    bent = edit("glass shape", shape="cylinder")[0]
    bent = edit("glass size", bent, field="radius", length="2 m")[0]
    assert bent.openings[0].glass.radius == 2000.0
    assert edit("glass size", bent, field="radius", length="")[0].openings[0].glass.radius is None
    assert door(edit("glass", on=False)).glass is None
    assert "It has no glass" in refusal("glass shape", edit("glass", on=False)[0], shape="flat")
    assert door(edit("glass", edit("glass", on=False)[0], on=True)).glass is not None
    assert not door(edit("glass drops", on=False)).glass.drops
    assert "Only glass in a door" in refusal("glass drops", name="screen", on=True)
    assert "overlap of the glass" in refusal("glass size", field="overlap", length="500 mm")
    line = job().lines[1].name
    assert door(edit("glass outline", names=[line])).glass.outline == (line,)


def test_an_edit_on_the_page_is_kept_and_undone(client, job_path):
    typed = {"what": "opening size", "name": "door left", "field": "gap", "length": "6 mm"}
    assert (
        client.post("/api/change", json=typed).json()["done"] == "door left: shut gap is now 6 mm"
    )
    with JobFile.open(job_path) as file:
        assert file.job().openings[0].gap == 6.0
        assert file.step_states()["openings"] == "stale"
        assert file.step_states()["buck"] == "done"
    client.post("/api/undo")
    with JobFile.open(job_path) as file:
        assert file.step_states()["openings"] == "done"
