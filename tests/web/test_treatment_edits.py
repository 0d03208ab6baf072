"""Trims, turned edges and beads asked for on the page, and what it is told of them."""

import numpy as np
import pytest

from buckwright.store import JobFile
from web.invented import job_and_answers
from web.test_answers import read_frame


def told(client):
    return client.get("/api/sheet/skin").json()


def change(client, **typed):
    return client.post("/api/change", json=typed)


@pytest.fixture(name="wing")
def _wing():
    _, _, answers = job_and_answers()
    return answers.skin.region("front wing", "left")


def place(point):
    return "; ".join(f"{value:.2f} mm" for value in point)


def trim(wing, **typed):
    middle = float(np.median(wing.vertices[:, 0]))
    rear = wing.vertices[np.argmax(wing.vertices[:, 0])]
    asked = {"what": "add trim", "name": "tail", "region": "front wing", "by": "plane"}
    return {**asked, "axis": "x", "value": f"{middle:.1f} mm", "away": place(rear), **typed}


def test_a_trim_is_taken_and_taken_back_and_undone(client, wing, job_path):
    assert change(client, **trim(wing)).status_code == 200
    (row,) = told(client)["asked_treatments"]
    assert row["words"] == "trim 'tail'"
    with JobFile.open(job_path) as file:
        assert file.step_states()["skin"] == "stale"
    assert client.post("/api/undo").status_code == 200
    assert told(client)["asked_treatments"] == []
    assert client.post("/api/redo").status_code == 200
    drop = {"what": "drop treatment", "field": "trims", "place": 0}
    assert change(client, **drop).status_code == 200
    assert told(client)["asked_treatments"] == []
    assert change(client, **drop).status_code == 422


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"name": ""}, "cannot name a trim"),
        ({"value": "90 m"}, "cannot be where the plane lies"),
        ({"value": "9000 mm"}, "passes region"),
        ({"away": "1 mm; 2 mm"}, "no place"),
        ({"away": ""}, "0 places"),
        ({"region": "fin"}, "does not exist"),
        ({"by": "line", "line": ""}, "No line"),
        ({"by": "drawn", "through": "0 mm; 0 mm; 0 mm", "way": "straight down"}, "1 places"),
    ],
)
def test_a_trim_that_cannot_be_is_refused_in_a_sentence(client, wing, wrong, words):
    asked = trim(wing, way="the nearest place") | wrong
    answer = change(client, **asked)
    assert answer.status_code == 422
    assert words in answer.json()["problem"]
    assert told(client)["asked_treatments"] == []


def test_an_edge_is_turned_once_and_typed_again_it_is_another(client):
    row = next(r for r in told(client)["treatable"] if r["region"] == "front wing")
    asked = {"what": "treat edge", "region": "front wing", "line": row["edges"][0], "way": "in"}
    flange = {**asked, "treatment": "flange", "width": "1/2 in", "angle": "80"}
    assert change(client, **flange).status_code == 200
    assert change(client, **asked, treatment="wired edge", wire="5 mm").status_code == 200
    (kept,) = told(client)["asked_treatments"]
    assert kept["words"].startswith("wired edge along")
    for wrong in ({"width": "3 m"}, {"angle": "200"}, {"line": "nowhere"}, {"region": "fin"}):
        assert change(client, **{**flange, **wrong}).status_code == 422


def test_a_bead_is_pressed_or_refused(client, wing):
    way = wing.vertices[np.argsort(wing.vertices[:, 0])[[len(wing.vertices) // 3, -9]]]
    asked = {
        "what": "add bead",
        "name": "rib",
        "region": "front wing",
        "through": " / ".join(map(place, way)),
        "width": "20 mm",
        "depth": "3 mm",
        "radius": "6 mm",
        "run_out": "10 mm",
        "setback": "5 mm",
    }
    assert change(client, **asked).status_code == 200
    assert [row["words"] for row in told(client)["asked_treatments"]] == ["bead 'rib'"]
    for wrong in ({"name": "rib"}, {"name": "b", "radius": "50 mm"}, {"name": "b", "width": ""}):
        answer = change(client, **{**asked, **wrong})
        assert answer.status_code == 422
        assert answer.json()["remedy"].endswith(".")


def test_louvres_are_cut_or_refused(client, wing):
    asked = {
        "what": "add louvres",
        "name": "vents",
        "region": "front wing",
        "at": place(wing.vertices[20 * 16 + 8]),
        "along": "x",
        "rows": "2",
        "columns": "1",
        "length": "40 mm",
        "width": "8 mm",
        "height": "3 mm",
        "row_pitch": "20 mm",
    }
    assert change(client, **asked).status_code == 200
    assert [row["words"] for row in told(client)["asked_treatments"]] == ["louvres 'vents'"]
    for wrong in ({"rows": "0"}, {"row_pitch": "5 mm"}, {"height": "9 mm"}, {"between": "fin"}):
        answer = change(client, **{**asked, "name": "more", **wrong})
        assert answer.status_code == 422
        assert answer.json()["remedy"].endswith(".")
    drop = {"what": "drop treatment", "field": "louvres", "place": 0}
    assert change(client, **drop).status_code == 200


def test_the_skin_is_shown_at_its_inner_face_and_at_the_wires(client):
    job, _, _ = job_and_answers()
    faces = told(client)["faces"]
    assert faces["inner face"] == -job.sheet.thickness
    assert faces["wire axis"] == -(job.sheet.thickness + 0.5 * job.buck.rod_diameter)
    _, outer = read_frame(client.get("/api/frame/skin").content)
    about, inner = read_frame(client.get("/api/frame/face?at=inner face").content)
    moved = np.linalg.norm((inner["v0"] - outer["v0"]).reshape(-1, 3), axis=1)
    assert np.median(moved) == pytest.approx(job.sheet.thickness, rel=0.01)
    assert {"name", "side", "folds"} == set(about[0])
    assert client.get("/api/frame/face?at=moon").status_code == 404


def flange(client):
    row = next(r for r in told(client)["treatable"] if r["region"] == "front wing")
    asked = {"what": "treat edge", "region": "front wing", "line": row["edges"][0], "way": "in"}
    return {**asked, "treatment": "flange", "width": "12 mm", "angle": "80"}


def test_what_is_asked_for_is_changed_in_its_place_and_undone(client, wing):
    asked = flange(client)
    assert change(client, **asked).status_code == 200
    assert change(client, **trim(wing)).status_code == 200
    other = trim(wing, name="nose", value=f"{np.quantile(wing.vertices[:, 0], 0.9):.1f} mm")
    assert change(client, **other).status_code == 200
    wider = {**asked, "what": "change treatment", "field": "edge_treatments", "place": 0}
    assert change(client, **{**wider, "width": "20 mm", "angle": "70"}).status_code == 200
    moved = {**trim(wing), "what": "change treatment", "field": "trims", "place": 0}
    assert change(client, **{**moved, "value": "100 mm", "name": "end"}).status_code == 200
    rows = told(client)["asked_treatments"]
    assert [row["words"] for row in rows[:2]] == ["trim 'end'", "trim 'nose'"]
    assert (rows[0]["spec"]["value"], rows[0]["place"]) == (100.0, 0)
    edge = rows[2]["spec"]["edge"]
    assert (edge["width"], edge["angle_deg"]) == (20.0, 70.0)
    assert client.post("/api/undo").status_code == 200
    assert client.post("/api/undo").status_code == 200
    rows = told(client)["asked_treatments"]
    assert rows[0]["words"] == "trim 'tail'"
    assert rows[2]["spec"]["edge"]["width"] == 12.0


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"width": "3 m"}, "cannot be how wide it is"),
        ({"angle": "steep"}, "no number for the angle"),
        ({"stations": "0 %: 12 mm / 0 %: 20 mm"}, "no farther along the edge"),
        ({"stations": "12 mm"}, "tells no width along the edge"),
        ({"stations": "0 %: 12 mm / 120 %: 20 mm"}, "cannot be how far along the edge"),
        ({"place": 7}, "no such treatment"),
        ({}, "Nothing is changed"),
    ],
)
def test_a_change_that_cannot_be_is_refused_in_one_sentence(client, wrong, words):
    asked = flange(client)
    assert change(client, **asked).status_code == 200
    again = {**asked, "what": "change treatment", "field": "edge_treatments", "place": 0, **wrong}
    answer = change(client, **again)
    assert answer.status_code == 422
    assert words in answer.json()["problem"]
    (row,) = told(client)["asked_treatments"]
    assert row["spec"]["edge"]["width"] == 12.0


def test_a_flange_is_given_widths_along_its_edge(client):
    asked = {**flange(client), "stations": "0: 12 mm / 40: 1 in; 60 / 70 %: 30 mm / 100 %: 12 mm"}
    assert change(client, **asked, between="smooth").status_code == 200
    (row,) = told(client)["asked_treatments"]
    edge = row["spec"]["edge"]
    assert edge["between"] == "smooth"
    assert [(s["at"], s["width"], s["angle_deg"]) for s in edge["stations"]] == [
        (0.0, 12.0, 80.0),
        (0.4, 25.4, 60.0),
        (0.7, 30.0, 80.0),
        (1.0, 12.0, 80.0),
    ]
