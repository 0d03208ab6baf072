"""Lines moved by hand over the page's addresses."""

import json

import numpy as np
import pytest

from buckwright.store import JobFile


def lines(client):
    return client.get("/api/sheet/lines").json()


def points(client, name):
    return np.array(next(r["points"] for r in lines(client)["lines"] if r["name"] == name))


def pull(client, line="roof centre", share=0.4, point=(None, None, 1590.0), **more):
    typed = {"what": "pull line", "line": line, "share": share, "point": list(point), "by": 12.3}
    return client.post("/api/change", json={**typed, "pin": None, **more})


def test_a_line_is_given_into_the_hand_with_its_crossings(cab):
    felt = cab.get("/api/batten/belt right").json()
    assert (felt["name"], felt["mirrored"], felt["partner"]) == ("belt left", True, "belt right")
    assert len(felt["control"]) == len(felt["modes"]) == len(felt["give"])
    assert len(felt["nodes"]) == 4
    assert {follower["names"][0] for follower in felt["followers"]} >= {"front arch", "hatch left"}


def test_a_line_that_is_not_there_is_not_found_and_one_that_was_never_measured_is_refused(
    cab, client
):
    assert cab.get("/api/batten/nobody").status_code == 404
    refused = client.get("/api/batten/belt left")
    assert refused.status_code == 422
    assert "batten" in refused.json()["problem"]
    assert lines(client)["pullable"] is False
    assert lines(cab)["pullable"] is True


def test_a_pulled_line_is_answered_at_once_and_what_follows_is_older(cab):
    before = points(cab, "roof centre")
    assert pull(cab).json()["done"] == "'roof centre' pulled by 12.3 mm"
    after = points(cab, "roof centre")
    assert np.abs(after - before).max() > 5.0
    (sheet,) = (s for s in cab.get("/api/job").json()["sheets"] if s["name"] == "lines")
    assert {"text": "1 line"} in sheet["answer"]
    assert max(row["moved"][1] for row in lines(cab)["lines"]) < 5.0
    (row,) = lines(cab)["pins"]
    assert row["now"][2] == pytest.approx(1590.0, abs=1e-3)
    assert row["by"] == pytest.approx(abs(row["pulled"][2] - row["measured"][2]), abs=0.5)
    told = cab.get("/api/job").json()
    states = {sheet["name"]: sheet["state"] for sheet in told["sheets"]}
    assert (states["pictures"], states["lines"]) == ("done", "done")
    assert any(finding["code"] == "pulled-off" for finding in lines(cab)["findings"])


def test_undo_restores_the_line_and_redo_pulls_it_again(cab, cab_path):
    before = points(cab, "roof centre")
    pull(cab)
    after = points(cab, "roof centre")
    assert cab.post("/api/undo").json()["done"] == "'roof centre' pulled by 12.3 mm"
    np.testing.assert_array_equal(points(cab, "roof centre"), before)
    assert lines(cab)["pins"] == []
    cab.post("/api/redo")
    np.testing.assert_array_equal(points(cab, "roof centre"), after)
    with JobFile.open(cab_path) as file:
        assert file.step_states()["lines"] == "done"
        kept = file.products().lines
        assert kept is not None
        np.testing.assert_allclose(kept.network.line("roof centre").points(121), after, atol=0.06)


def test_answers_kept_before_there_were_pins_stay_fresh(cab):
    states = {sheet["name"]: sheet["state"] for sheet in cab.get("/api/job").json()["sheets"]}
    assert states["lines"] == "done"
    pull(cab)
    cab.post("/api/change", json={"what": "drop pin", "pin": 0})
    assert lines(cab)["pins"] == []
    states = {sheet["name"]: sheet["state"] for sheet in cab.get("/api/job").json()["sheets"]}
    assert states["lines"] == "done"


def test_a_pin_is_moved_and_given_a_reason(cab):
    pull(cab)
    pull(cab, share=0.45, point=(None, None, 1600.0), pin=0)
    cab.post("/api/change", json={"what": "pin reason", "pin": 0, "text": "room for a hat"})
    (row,) = lines(cab)["pins"]
    assert (row["share"], row["reason"]) == (0.45, "room for a hat")
    assert row["now"][2] == pytest.approx(1600.0, abs=1e-3)


def test_typed_coordinates_are_those_of_the_body_as_it_will_be_built(cab):
    pull(cab, line="belt right", share=0.9, point=(None, None, 1100.0))
    typed = {"what": "pin coordinate", "pin": 0, "side": 1}
    station = lines(cab)["pins"][0]["now"][0]
    assert station > 1500.0
    for axis, length in (("x", f"{station:.1f} mm"), ("y", "57 cm"), ("z", "")):
        assert cab.post("/api/change", json={**typed, "axis": axis, "length": length}).is_success
    (row,) = lines(cab)["pins"]
    assert row["point"][2] is None
    assert row["now"][0] == pytest.approx(station, abs=0.06)
    # The stretch zone lies before this place, so on the reference it was 60 mm farther forward.
    assert row["point"][0] == pytest.approx(row["now"][0] - 60.0, abs=1e-3)
    assert row["now"][1] == pytest.approx(570.0, abs=1e-3)


def test_a_batten_is_chosen_for_both_lines_of_a_pair(cab):
    pull(cab, line="belt left", share=0.4, point=(None, -610.0, None))
    before = points(cab, "belt left")
    typed = {"what": "batten", "line": "belt right", "batten": "limber"}
    assert cab.post("/api/change", json=typed).is_success
    assert lines(cab)["battens"] == {"belt left": "limber", "belt right": "limber"}
    assert np.abs(points(cab, "belt left") - before).max() > 0.5
    cab.post("/api/change", json={**typed, "line": "belt left", "batten": "ordinary"})
    assert lines(cab)["battens"] == {}
    np.testing.assert_array_equal(points(cab, "belt left"), before)


@pytest.mark.parametrize(
    "typed",
    [
        {"what": "pull line", "line": "nobody", "share": 0.5, "point": [0, 0, 0], "by": 1},
        {"what": "pull line", "line": "roof centre", "share": 7, "point": [0, 0, 0], "by": 1},
        {"what": "pull line", "line": "roof centre", "share": 0.4, "point": [0, 9, 0], "by": 1},
        {"what": "pull line", "line": "roof centre", "share": 0.4, "point": [0, 0, 1e9], "by": 1},
        {"what": "pull line", "line": "roof centre", "share": 0.4, "point": [None] * 3, "by": 1},
        {"what": "drop pin", "pin": 5},
        {"what": "drop pin", "pin": -1},
        {"what": "pin coordinate", "pin": 0, "axis": "z", "length": "about a yard"},
        {"what": "pin coordinate", "pin": 0, "axis": "z", "length": ""},
        {"what": "pin reason", "pin": 0, "text": "long " * 100},
        {"what": "batten", "line": "roof centre", "batten": "wet"},
        {"what": "batten", "line": "nobody", "batten": "stiff"},
    ],
)
def test_what_cannot_be_is_refused_in_two_sentences_and_changes_nothing(cab, typed):
    pull(cab, share=0.7, point=(None, None, 1570.0))
    before = lines(cab)
    refused = cab.post("/api/change", json={"pin": None, **typed})
    assert refused.status_code == 422, refused.json()
    assert refused.json()["problem"].endswith(".")
    assert refused.json()["remedy"].endswith(".")
    assert lines(cab) == before


@pytest.mark.parametrize(
    "typed",
    [
        {"share": "half", "point": [0, 0, 0]},
        {"share": 0.5, "point": [0, 0]},
        {"share": 0.5, "point": "here"},
        {"share": 0.5, "point": [0, 0, True], "by": float("1e400")},
    ],
)
def test_what_the_page_cannot_have_sent_is_not_read(cab, typed):
    body = json.dumps({"what": "pull line", "line": "roof centre", "by": 1.0, "pin": None} | typed)
    assert cab.post("/api/change", content=body).status_code == 400
