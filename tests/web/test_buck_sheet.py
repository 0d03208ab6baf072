"""What the sheet of the buck tells, and what may be changed on it."""

from datetime import date
from io import BytesIO
from zipfile import ZipFile

import numpy as np
import pytest
import shapely

from buckwright.buck import changes_of
from buckwright.model.job import step_digests
from web.invented import job_and_answers
from web.test_answers import read_frame


def sheet(client):
    return client.get("/api/sheet/buck").json()


def change(client, **typed):
    answer = client.post("/api/change", json=typed)
    assert answer.status_code == 200, answer.json()
    return answer.json()["done"]


def desk(client):
    return client.app.app.state.room.desk


def asked(client):
    return {wire["name"]: wire for wire in sheet(client)["asked"]}


def rows(client):
    return {row["name"]: row for row in sheet(client)["wires"]}


def test_each_wire_tells_what_to_cut_how_to_bend_and_whether_it_stands(client):
    row = rows(client)["W2"]
    _, _, answers = job_and_answers()
    assert row["cut_length"] == pytest.approx(answers.buck.wires[1].cut_length)
    assert (row["way"], row["stage"], row["tacks"]) == ("bent", 1, 1)
    assert (row["built_as"], row["verdict"]) == (None, None)
    assert rows(client)["W8"]["stage"] == 2


def test_a_wire_s_own_sheet_holds_table_marks_pushes_splices_and_outline(client):
    told = client.get("/api/wire/0").json()
    assert told["bending"]["way"] == "sprung"
    assert told["bending"]["pushes"][0]["force"] == pytest.approx(17.4)
    assert told["marks"][0] == {"at": 710.0, "to": "W2", "kind": "wire"}
    bent = client.get("/api/wire/1").json()
    pieces = bent["bending"]["pieces"]
    assert [piece["roll"] for piece in pieces] == ["no", "no", "90.0 deg clockwise"]
    assert sum(piece["length"] for piece in pieces) == pytest.approx(bent["length"])
    kinds = [mark["kind"] for mark in bent["marks"]]
    assert kinds.count("post") == 3
    assert kinds.count("wire") == 1
    spliced = client.get("/api/wire/4").json()
    assert len(spliced["parts"]) == 2
    assert spliced["splices"][0]["stub_length"] == 120.0


def test_the_outline_on_the_page_is_as_long_as_the_rod_where_it_is_flat(client):
    told = client.get("/api/wire/1").json()
    _, _, answers = job_and_answers()
    axis = answers.buck.wires[1].axis
    points = np.array(told["drawing"]["views"][0]["points"])
    drawn = np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
    wide = np.linalg.norm(np.diff(axis, axis=0), axis=1).sum()
    assert told["drawing"]["residual"] < 5.0
    assert drawn == pytest.approx(wide, rel=2e-3)
    flat = np.linalg.norm(points[0] - points[-1])
    assert flat == pytest.approx(np.linalg.norm(axis[0] - axis[-1]), abs=0.3)


def test_marks_on_the_outline_lie_on_it(client):
    view = client.get("/api/wire/1").json()["drawing"]["views"][0]
    rod = shapely.LineString(view["points"])
    assert len(view["marks"]) == 4
    assert max(rod.distance(shapely.Point(mark)) for mark in view["marks"]) < 0.2


@pytest.mark.parametrize(
    "address", ["/api/wire/99", "/api/wire/99.pdf", "/api/wire/0.pdf?paper=B5"]
)
def test_a_wire_or_a_paper_that_is_not_there_is_not_found(client, address):
    assert client.get(address).status_code == 404


def test_a_wire_s_sheet_comes_as_tiles_for_a_desk_printer(client):
    paper = client.get("/api/wire/1.pdf?paper=Letter")
    assert paper.content.startswith(b"%PDF")
    assert 'filename="wire-w2-A-Letter.pdf"' in paper.headers["content-disposition"]


def test_frame_posts_feet_wheels_and_people_come_with_their_places(client):
    about, arrays = read_frame(client.get("/api/frame/buck").content)
    assert about["wheels"] == ["front left"]
    assert about["people"] == ["Ada: trunk"]
    np.testing.assert_allclose(arrays["wheels"], [0.0, -690.0, 330.0, 330.0, 150.0])
    np.testing.assert_allclose(arrays["people"], [1100, -400, 700, 1350, -50, 1300])
    np.testing.assert_allclose(arrays["feet"], [700.0, -450.0, 20.0])
    told = sheet(client)
    assert [row["bolted"] for row in told["members"]][:3] == [True, True, False]
    assert told["frame"]["way_out"]["free"] is True
    assert [lift["people"] for lift in told["frame"]["lifts"]] == [2, 0]


def test_a_tick_builds_a_wire_at_once_and_a_second_takes_it_back(client):
    assert change(client, what="wires built", names=["W2"], on=True) == "wire 'W2' is built"
    row = rows(client)["W2"]
    assert (row["built_as"], row["verdict"]) == ("W2", "right")
    assert rows(client)["W1"]["verdict"] == "new"
    change(client, what="wires built", names=["W2"], on=False)
    assert rows(client)["W2"]["built_as"] is None


def test_what_is_built_keeps_the_day_and_the_shape(client):
    change(client, what="wires built", names=["W1", "W4"], on=True)
    job = desk(client).view().job
    _, _, answers = job_and_answers()
    assert [one.name for one in job.built] == ["W1", "W4"]
    assert date.fromisoformat(job.built[0].day) <= date.today()  # noqa: DTZ011
    np.testing.assert_array_equal(job.built[1].axis, answers.buck.wires[3].axis)


def test_the_list_of_changes_is_what_the_step_itself_finds(client):
    change(client, what="wires built", names=["W1", "W2", "W3"], on=True)
    view = desk(client).view()
    lowered = view.products.buck.wires[0].model_copy(
        update={"axis": view.products.buck.wires[0].axis - np.array([0.0, 0.0, 20.0])}
    )
    buck = view.products.buck.model_copy(update={"wires": (lowered, *view.products.buck.wires[1:])})
    products = view.products.model_copy(update={"buck": buck})
    desk(client).store.keep_products(products, {"buck": step_digests(view.job)["buck"]})
    desk(client).forget()
    told = {row["wire"]: row for row in sheet(client)["changes"]}
    wanted = changes_of(view.job.built, buck.wires, tolerance=view.job.buck.built_tolerance)
    assert {name: row["verdict"] for name, row in told.items()} == {
        one.wire: one.verdict for one in wanted
    }
    assert told["W1"]["verdict"] == "move"
    assert told["W1"]["most"] == pytest.approx(20.0, abs=0.1)
    assert told["W2"]["verdict"] == "right"


def test_a_wire_is_added_dropped_moved_renamed_and_keeps_its_identity(client):
    change(client, what="move wire", name="W3", length="2.9 m")
    change(client, what="rename wire", name="W3", text="tail hoop")
    assert asked(client)["tail hoop"]["plane"] == ["x", 2900.0]
    assert rows(client)["W3"]["asked"] == "tail hoop"
    typed = {"region": "body", "along": "z", "length": "660", "stage": "2", "name": ""}
    change(client, what="add wire", **typed)
    assert asked(client)["body level 660"]["stage"] == 2
    change(client, what="drop wire", name="tail hoop")
    assert "tail hoop" not in asked(client)
    assert rows(client)["W3"]["asked"] is None


def test_a_wire_is_told_to_butt_at_all_or_at_some_and_to_go_up_later(client):
    change(client, what="wire at crossings", name="W2", way="cut")
    change(client, what="wire cut at", name="W1", other="W2", on=True)
    change(client, what="wire stage", name="W1", text="3")
    change(client, what="wire layer", name="W1", text="1")
    told = asked(client)
    assert told["W2"]["at_crossings"] == "cut"
    assert (told["W1"]["cut_at"], told["W1"]["stage"], told["W1"]["layer"]) == (["W2"], 3, 1)
    change(client, what="wire cut at", name="W1", other="W2", on=False)
    assert asked(client)["W1"]["cut_at"] == []


def test_proposed_wires_are_taken_over_one_by_one_or_all(client):
    change(client, what="accept wires", names=["body level 760"])
    assert "body level 660" not in asked(client)
    assert asked(client)["body level 760"]["plane"] == ["z", 760.0]
    client.post("/api/undo")
    assert change(client, what="accept wires", names=None) == "2 proposed wires taken over"
    assert {"body level 660", "body level 760"} <= set(asked(client))


def test_the_rack_takes_bars_and_gives_them(client):
    change(client, what="put in rack", stock="6.35 mm rod", length="4'", count="3")
    rack = sheet(client)["rack"]
    assert [bar["count"] for bar in rack] == [2, 3]
    assert rack[1]["length"] == pytest.approx(1219.2)
    change(client, what="take from rack", place=0)
    assert [bar["count"] for bar in sheet(client)["rack"]] == [3]


def test_bars_that_were_cut_leave_what_is_left_over_in_the_rack(client):
    before = sheet(client)["rack"]
    change(client, what="bars cut")
    _, _, answers = job_and_answers()
    left = [*answers.buck.rod_plan.left_over, *answers.buck.tube_plan.left_over]
    assert len(sheet(client)["rack"]) == len(before) + len(left)


def test_figures_and_choices_of_rod_rules_and_frame_are_changed(client):
    change(client, what="buck length", key="rod_diameter", length='5/16"')
    change(client, what="buck length", key="bender_radius", length="40")
    change(client, what="buck figure", key="hand_push", text="80,5 N")
    change(client, what="buck choice", key="frame_people", value="keep clear")
    change(client, what="bars to buy", key="rod", text="6096 mm, 3 m")
    change(client, what="frame stations", text="800, 2700")
    told = sheet(client)["choices"]
    lengths = {row["key"]: row["mm"] for row in told["lengths"]}
    assert lengths["rod_diameter"] == pytest.approx(7.9375)
    assert lengths["bender_radius"] == 40.0
    assert {row["key"]: row["value"] for row in told["figures"]}["hand_push"] == 80.5
    assert {row["key"]: row["value"] for row in told["choices"]}["frame_people"] == "keep clear"
    assert told["bars"]["rod"] == [6096.0, 3000.0]
    assert told["frame_x"] == [800.0, 2700.0]
    change(client, what="buck length", key="bender_radius", length="")
    lengths = {row["key"]: row["mm"] for row in sheet(client)["choices"]["lengths"]}
    assert lengths["bender_radius"] is None


def test_a_station_buck_is_asked_for_sized_and_given_up(client):
    assert sheet(client)["choices"]["boards"] is None
    change(client, what="station buck", on=True)
    change(client, what="board length", key="thickness", length="17.6 mm")
    change(client, what="board places", key="stations", text="2 m, 1 m; 1500 mm")
    change(client, what="board edge", value="bevel")
    boards = sheet(client)["choices"]["boards"]
    assert boards["stations"] == [1000.0, 1500.0, 2000.0]
    assert boards["edge"] == "bevel"
    assert {row["key"]: row["mm"] for row in boards["lengths"]}["thickness"] == 17.6
    change(client, what="station buck", on=False)
    assert sheet(client)["choices"]["boards"] is None


@pytest.mark.parametrize(
    "typed",
    [
        {"what": "move wire", "name": "W1", "length": "100"},
        {"what": "move wire", "name": "W3", "length": "far"},
        {"what": "rename wire", "name": "W1", "text": "W2"},
        {"what": "rename wire", "name": "W1", "text": " "},
        {"what": "drop wire", "name": "nobody's"},
        {"what": "add wire", "region": "moon", "along": "x", "length": "3", "stage": "1"},
        {"what": "add wire", "region": "body", "along": "x", "length": "300 m", "stage": "1"},
        {"what": "add wire", "region": "body", "along": "x", "length": "3", "stage": "0"},
        {"what": "add wire", "region": "body", "along": "line", "line": "no", "stage": "1"},
        {"what": "wire stage", "name": "W1", "text": "2.5"},
        {"what": "wire cut at", "name": "W1", "other": "W1", "on": True},
        {"what": "wires built", "names": [], "on": True},
        {"what": "wires built", "names": ["nobody's"], "on": True},
        {"what": "wires built", "names": ["W1"], "on": False},
        {"what": "accept wires", "names": ["nobody's"]},
        {"what": "put in rack", "stock": "6.35 mm rod", "length": "0", "count": "1"},
        {"what": "put in rack", "stock": "6.35 mm rod", "length": "1 m", "count": "none"},
        {"what": "put in rack", "stock": "", "length": "1 m", "count": "1"},
        {"what": "take from rack", "place": 7},
        {"what": "buck length", "key": "rod_diameter", "length": "2 m"},
        {"what": "buck length", "key": "rod_diameter", "length": ""},
        {"what": "buck length", "key": "frame_section", "length": "8 mm"},
        {"what": "buck figure", "key": "rod_yield", "text": "strong"},
        {"what": "bars to buy", "key": "rod", "text": ""},
        {"what": "frame stations", "text": "2700, 800"},
        {"what": "board length", "key": "thickness", "length": "18"},
        {"what": "board places", "key": "stations", "text": "100"},
    ],
)
def test_what_cannot_be_is_refused_in_words_and_changes_nothing(client, typed):
    if typed["what"] == "buck length" and typed["key"] == "frame_section":
        change(client, what="buck length", key="frame_wall", length="5 mm")
    before = client.get("/api/job").json()["number"]
    answer = client.post("/api/change", json=typed)
    assert answer.status_code == 422, answer.json()
    assert answer.json()["problem"].endswith(".")
    assert answer.json()["remedy"].endswith(".")
    assert client.get("/api/job").json()["number"] == before


@pytest.mark.parametrize(
    "typed",
    [
        {"what": "wires built", "names": "W1", "on": True},
        {"what": "buck length", "key": "wires", "length": "3"},
        {"what": "buck choice", "key": "stand", "value": "legs"},
        {"what": "wire at crossings", "name": "W1", "way": "jump"},
        {"what": "add wire", "region": "body", "along": "w", "stage": "1"},
    ],
)
def test_what_no_page_sends_is_refused_too(client, typed):
    assert client.post("/api/change", json=typed).status_code == 400


def test_bars_are_not_taken_in_by_a_plan_older_than_the_job(client):
    change(client, what="wire stage", name="W1", text="2")
    answer = client.post("/api/change", json={"what": "bars cut"})
    assert answer.status_code == 422
    assert "older than the job" in answer.json()["problem"]


def test_the_packet_of_a_stage_holds_its_wires_and_no_other(client):
    answer = client.get("/api/change.zip?stage=2")
    with ZipFile(BytesIO(answer.content)) as archive:
        names = archive.namelist()
    drawn = {name.rsplit("/", 1)[1] for name in names if "/svg/" in name}
    assert drawn == {"wire-w8.svg", "wire-w9.svg"}
    assert client.get("/api/change.zip?stage=3").status_code == 422
    assert client.get("/api/change.zip?stage=x").status_code == 404


def test_a_packet_of_a_change_is_not_made_from_an_old_buck(client):
    change(client, what="wires built", names=["W1"], on=True)
    answer = client.get("/api/change.zip")
    assert answer.status_code == 422
    assert answer.json()["remedy"] == "Work it out again first."
