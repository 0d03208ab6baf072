"""The sheet of panels: what it tells, what can be changed on it, and searching for seams."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.panels import PanelSpec
from buckwright.model.seams import SeamStudy
from buckwright.web.serving import seams_work
from web.invented import job_and_answers
from web.invented_labour import WORKS, found_seams
from web.test_answers import read_frame, until

WING = "front wing crown"
ACROSS = [[-20, -815, 655], [0, -690, 730], [20, -565, 655]]


def sheet(client):
    return client.get("/api/sheet/panels").json()


def change(client, **typed):
    return client.post("/api/change", json=typed)


def spec(client, name=WING):
    return next(row for row in sheet(client)["specs"] if row["name"] == name)


def test_every_area_is_where_its_triangles_are_on_the_panel_and_on_the_blank(client):
    _, _, answers = job_and_answers()
    blank = answers.panels.blanks[0]
    _, arrays = read_frame(client.get("/api/frame/panel/0").content)
    rows = sheet(client)["panels"][0]["areas"]
    assert len(arrays["places"]) == len(blank.area_change)
    for place, (row, area) in enumerate(zip(rows, blank.areas, strict=True), 1):
        np.testing.assert_array_equal(np.flatnonzero(arrays["places"] == place), area.triangles)
        flat = blank.flat[answers.panels.panels[0].triangles[area.triangles]].mean(axis=1)
        assert np.linalg.norm(flat - row["flat"], axis=1).min() < 0.1


def test_the_frame_of_a_panel_holds_the_run_of_each_edge(client):
    _, _, answers = job_and_answers()
    panel = answers.panels.panels[0]
    about, arrays = read_frame(client.get("/api/frame/panel/0").content)
    assert [edge["name"] for edge in about["edges"]] == ["front wing edge", "crown seam"]
    np.testing.assert_array_equal(arrays["e1"], panel.edges[1].vertices)


def test_the_sheet_tells_work_others_grid_paper_layout_and_choices(client):
    told = sheet(client)
    panel = told["panels"][0]
    assert [step["what"] for step in panel["work"]] == ["shrink", "stretch", "trim"]
    assert panel["side"] == "left"
    assert panel["verdict"]["others"][0]["alloy"] == "3003-O"
    assert panel["verdict"]["anneal"].startswith("Anneal")
    line = told["grids"][0]["lines"][0]
    assert sum(line["panel"]) == pytest.approx(1.02 * sum(line["blank"]))
    assert told["papers"][0]["joints"][0]["gap"] == [2.1, 0.0, 1.8]
    assert told["layout"]["sheets"][0]["cost"] == 84.5
    assert {"3003-H14", "DC04"} <= {alloy["name"] for alloy in told["choices"]["alloys"]}
    assert [region["name"] for region in told["regions"]] == ["body", "front wing"]


@pytest.mark.parametrize(
    ("typed", "key", "wanted"),
    [
        ({"what": "panel aim", "aim": "stretch-only"}, "aim", "stretch-only"),
        ({"what": "panel grain", "grain": "x"}, "grain", "x"),
        ({"what": "panel allowance", "length": "1/2 in"}, "trim_allowance", 12.7),
        ({"what": "panel both sides", "on": True}, "both_sides", True),
    ],
)
def test_what_is_asked_of_a_panel_is_changed_and_undone(client, typed, key, wanted):
    before = spec(client)[key]
    assert change(client, panel=WING, **typed).status_code == 200
    assert spec(client)[key] == wanted
    client.post("/api/undo")
    assert spec(client)[key] == before


def test_an_edge_is_flanged_and_made_plain_again(client):
    def asked():
        return sheet(client)["panels"][0]["edges"][0]["asked"]

    assert asked() is None
    typed = {"panel": WING, "along": "front wing edge"}
    change(
        client,
        what="panel edge",
        treatment="flange",
        width="15 mm",
        radius="",
        angle="45",
        way="out",
        **typed,
    )
    flange = asked()
    assert (flange["treatment"], flange["width"], flange["radius"]) == ("flange", 15.0, 0.0)
    assert (flange["angle_deg"], flange["way"]) == (45.0, "out")
    assert change(client, what="panel edge", treatment="", **typed).status_code == 200
    assert asked() is None


@pytest.mark.parametrize(
    ("typed", "key", "wanted"),
    [
        ({"what": "sheet alloy", "text": "DC04"}, "alloy", "DC04"),
        ({"what": "sheet thickness", "length": "0.040 in"}, "thickness", 1.016),
        ({"what": "sheet size", "along": "3 m", "across": "1500 mm"}, "size", [1500.0, 3000.0]),
        ({"what": "sheet r-value", "text": "1,6"}, "r_value", 1.6),
        ({"what": "sheet price", "text": "84.50"}, "price", 84.5),
        ({"what": "sheet gap", "length": "8 mm"}, "gap", 8.0),
        ({"what": "sheet margin", "length": "0"}, "margin", 0.0),
    ],
)
def test_the_sheet_metal_is_changed_from_what_was_typed(client, typed, key, wanted):
    assert change(client, **typed).status_code == 200
    now = sheet(client)["sheet"][key]
    assert now == (wanted if isinstance(wanted, str) else pytest.approx(wanted))


def test_a_mill_sheet_s_r_value_leaves_with_its_metal(client):
    change(client, what="sheet r-value", text="1.6")
    change(client, what="sheet alloy", text="3003-O")
    assert sheet(client)["sheet"]["r_value"] is None


def test_offcuts_go_into_the_rack_and_come_out(client):
    change(client, what="add offcut", along="900 mm", across="2 ft", count=2)
    rack = sheet(client)["offcuts"]
    assert [(row["size"], row["count"]) for row in rack] == [([900.0, 609.6], 2)]
    assert rack[0]["alloy"] == "3003-H14"
    change(client, what="drop offcut", place=0)
    assert sheet(client)["offcuts"] == []


@pytest.mark.parametrize(
    "typed",
    [
        {"what": "panel aim", "panel": "nobody", "aim": "least-work"},
        {"what": "panel aim", "panel": WING, "aim": "most-work"},
        {"what": "panel allowance", "panel": WING, "length": "1 m"},
        {"what": "panel edge", "panel": WING, "along": "a", "treatment": "glue"},
        {"what": "panel edge", "panel": WING, "along": "a", "treatment": "flange", "angle": "270"},
        {"what": "panel edge", "panel": WING, "along": "a", "treatment": "flange", "angle": "much"},
        {"what": "panel edge", "panel": WING, "along": "a", "treatment": "flange", "angle": "nan"},
        {"what": "panel edge", "panel": WING, "along": "a", "treatment": "hem", "width": "-3"},
        {"what": "add panel", "region": "nowhere"},
        {"what": "drop panel", "panel": "nobody"},
        {"what": "drop seam", "seam": "none", "region": "front wing"},
        {"what": "add seam", "panel": WING, "through": [[0, 0, 0]]},
        {"what": "add seam", "panel": WING, "through": "abc"},
        {"what": "add seam", "panel": WING, "line": "nowhere"},
        {"what": "add seam", "panel": WING, "through": [[0, 900, 0], [10, 900, 0]]},
        {"what": "accept seams", "region": "front wing", "option": "A"},
        {"what": "sheet alloy", "text": "unobtainium"},
        {"what": "sheet thickness", "length": "20 mm"},
        {"what": "sheet size", "along": "1 mm", "across": "1 m"},
        {"what": "sheet r-value", "text": "many"},
        {"what": "sheet price", "text": "-1"},
        {"what": "add offcut", "along": "900 mm", "across": "2 ft", "count": 0},
        {"what": "drop offcut", "place": 3},
    ],
)
def test_what_no_panel_or_sheet_can_be_is_refused_in_two_sentences(client, typed):
    before = client.get("/api/job").json()["number"]
    answer = client.post("/api/change", json=typed)
    assert answer.status_code == 422, answer.text
    assert answer.json()["problem"].endswith(".")
    assert answer.json()["remedy"].endswith(".")
    assert client.get("/api/job").json()["number"] == before


def test_points_that_are_no_numbers_are_not_read(client):
    typed = {"what": "add seam", "panel": WING, "through": [["a", 0, 0], [1, 2, 3]]}
    assert client.post("/api/change", json=typed).status_code == 400


def test_a_drawn_seam_parts_a_panel_in_two_and_dropping_it_joins_them(client):
    typed = {"what": "add seam", "panel": WING, "name": "over the top", "through": ACROSS}
    assert change(client, **typed).status_code == 200
    told = sheet(client)
    assert [row["name"] for row in told["specs"]] == [f"{WING} front", f"{WING} rear"]
    assert [row["name"] for row in told["seams"]] == ["over the top"]
    assert told["seams"][0]["panels"] == [f"{WING} front", f"{WING} rear"]
    again = change(client, **{**typed, "panel": f"{WING} rear"})
    assert again.status_code == 422
    change(client, what="drop seam", seam="over the top", region="front wing")
    told = sheet(client)
    assert [row["name"] for row in told["specs"]] == [WING]
    assert told["seams"] == []


def test_a_seam_that_ends_within_the_panel_parts_nothing(client):
    short = [[-5, -700, 729], [5, -680, 729]]
    answer = change(client, what="add seam", panel=WING, through=short)
    assert answer.status_code == 422
    assert "does not part" in answer.json()["problem"]


def test_dropping_a_panel_takes_the_seams_that_nobody_needs_any_more(client):
    change(client, what="add seam", panel=WING, through=ACROSS)
    change(client, what="drop panel", panel=f"{WING} front")
    assert [row["panels"] for row in sheet(client)["seams"]] == [[f"{WING} rear"]]
    change(client, what="drop panel", panel=f"{WING} rear")
    assert sheet(client)["seams"] == []
    change(client, what="add panel", region="body")
    assert [row["name"] for row in sheet(client)["specs"]] == ["body"]


def test_a_search_is_told_what_was_asked_and_its_option_is_made_the_job_s(open_client, job_path):
    client = open_client(job_path, {**WORKS, "seams": found_seams})
    assert client.get("/api/seams").json() == {}
    asked = {"region": "front wing", "throat": "600 mm"}
    assert client.post("/api/work/seams", json=asked).status_code == 202
    until(client, "done")
    study = client.get("/api/seams").json()["front wing"]
    assert [option["name"] for option in study["options"]] == ["A", "B"]
    assert study["reach"]["throat"] == 600.0
    assert not study["complete"]
    change(client, what="accept seams", region="front wing", option="B")
    assert [row["name"] for row in sheet(client)["specs"]] == ["wing front", "wing rear"]
    assert change(client, what="accept seams", region="front wing", option="Z").status_code == 422


def test_a_search_that_is_asked_for_in_what_cannot_be_read_does_not_begin(client):
    assert client.post("/api/work/seams", content=b"[1]").status_code == 400
    assert client.get("/api/job").json()["work"]["state"] == "idle"


@pytest.mark.parametrize(
    "asked",
    [
        {"region": "front wing", "throat": "1 mm"},
        {"region": "front wing", "longest": "wide"},
        {"region": "front wing", "pieces": 40},
        {"region": "front wing", "pieces": "two"},
        {"region": "nowhere"},
    ],
)
def test_the_program_s_own_search_refuses_what_no_shop_can_mean(job_path, asked):
    with pytest.raises(JobError):
        seams_work(job_path, lambda step, share: None, lambda: False, asked=asked)


@pytest.mark.slow
def test_the_program_s_own_search_gives_the_best_so_far_when_it_is_stopped(job_path):
    told = []
    data = seams_work(
        job_path,
        lambda step, share: told.append(step),
        lambda: True,
        asked={"region": "front wing", "pieces": 2},
    )
    study = SeamStudy.model_validate_json(data)
    assert study.region == "front wing"
    assert study.reach.most_pieces == 2
    assert study.options
    assert not study.complete


def test_a_panel_without_the_skin_s_region_is_refused_by_name():
    from buckwright.flow.dividing import divide_panel
    from buckwright.model.panels import SeamSpec

    job, _, answers = job_and_answers()
    job = job.model_copy(update={"panels": (PanelSpec(name="roof", region="roof"),)})
    seam = SeamSpec(name="s", region="roof", through=((0, 0, 0), (1, 1, 1)))
    with pytest.raises(JobError, match="no region 'roof'"):
        divide_panel(job, answers.skin, "roof", seam)
