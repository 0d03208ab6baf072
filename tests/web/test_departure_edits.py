"""Departures made and given up on the page."""

import pytest

RAISED = {
    "what": "add departure",
    "name": "higher roof",
    "reason": "room for hats",
    "axis": "z",
    "start": "1150",
    "end": "1.4 m",
    "length": "20 mm",
}


def departures(client):
    return client.get("/api/sheet/lines").json()["departures"]


def test_a_departure_is_added_with_its_reason_and_given_up(client):
    assert client.post("/api/change", json=RAISED).status_code == 200
    new = departures(client)[-1]
    assert (new["axis"], new["start"], new["end"], new["by"]) == ("z", 1150.0, 1400.0, 20.0)
    assert (new["reason"], new["on"]) == ("room for hats", True)
    client.post("/api/change", json={"what": "drop departure", "name": "higher roof"})
    assert [one["name"] for one in departures(client)] == ["longer load floor"]


@pytest.mark.parametrize(
    "change",
    [
        {"name": ""},
        {"name": "longer load floor"},
        {"reason": " "},
        {"start": "1500"},
        {"length": "-300"},
        {"length": "0"},
        {"length": "3 m"},
        {"end": "high"},
    ],
)
def test_a_departure_that_cannot_be_is_refused_in_words(client, change):
    answer = client.post("/api/change", json=RAISED | change)
    assert answer.status_code == 422
    assert answer.json()["remedy"].endswith(".")
    assert len(departures(client)) == 1


def test_only_a_departure_that_is_there_is_given_up(client):
    answer = client.post("/api/change", json={"what": "drop departure", "name": "nobody's"})
    assert answer.status_code == 422


MOVED = {
    "what": "add departure",
    "kind": "move",
    "name": "fuller belt",
    "reason": "elbows",
    "lines": ["belt left"],
    "outward": "20 mm",
}
BIGGER = {
    "what": "add departure",
    "kind": "scale",
    "name": "bigger hatch",
    "reason": "parcels",
    "lines": ["hatch left"],
    "length": "110 %",
    "height": "1,05",
    "on_surface": True,
}


def sheet(client):
    return client.get("/api/sheet/lines").json()


def test_a_family_is_moved_at_once_and_the_table_tells_what_it_adds(cab):
    before = sheet(cab)
    assert cab.post("/api/change", json=MOVED).status_code == 200
    after = sheet(cab)
    wider = {row["name"]: row for row in after["dimensions"]}["width over all"]
    assert wider["steps"][-1] > 0.0
    assert wider["now"] == pytest.approx(wider["reference"] + sum(wider["steps"]), abs=1e-4)
    assert set(after["shifts"]) > {"belt left", "belt right"}
    shift = after["shifts"]["belt left"][60]
    assert shift == pytest.approx([0.0, -20.0, 0.0], abs=1e-3)
    points = {row["name"]: row["points"] for row in after["lines"]}
    old = {row["name"]: row["points"] for row in before["lines"]}
    assert points["belt right"][60][1] == pytest.approx(old["belt right"][60][1] + 20.0, abs=0.11)


def test_a_family_is_scaled_by_shares_or_factors(cab):
    assert cab.post("/api/change", json=BIGGER).status_code == 200
    new = departures(cab)[-1]
    assert new["factors"] == pytest.approx([1.1, 1.0, 1.05])
    assert (new["kind"], new["on_surface"]) == ("scale", True)


@pytest.mark.parametrize(
    "change",
    [
        MOVED | {"outward": ""},
        MOVED | {"lines": []},
        MOVED | {"lines": ["fin"]},
        MOVED | {"upward": "-1500"},
        MOVED | {"lines": ["roof centre"]},
        BIGGER | {"length": "big"},
        BIGGER | {"length": "9"},
        BIGGER | {"length": "1", "height": ""},
    ],
)
def test_a_family_that_cannot_go_there_never_gets_into_the_job(cab, change):
    before = departures(cab)
    answer = cab.post("/api/change", json=change)
    assert answer.status_code == 422
    assert answer.json()["problem"].endswith(".")
    assert departures(cab) == before


def test_departures_change_places_and_lines_are_kept_in_shape(cab):
    cab.post("/api/change", json=MOVED)
    name = departures(cab)[0]["name"]
    order = {"what": "order departure", "name": "fuller belt", "earlier": True}
    assert cab.post("/api/change", json=order).status_code == 200
    assert [one["name"] for one in departures(cab)] == ["fuller belt", name]
    assert cab.post("/api/change", json=order).status_code == 422
    tail = RAISED | {"name": "tail", "axis": "x", "start": "1000", "end": "1880"}
    assert cab.post("/api/change", json=tail).status_code == 200
    keep = {"what": "keep rigid", "name": "tail", "line": "rear rim", "on": True}
    assert cab.post("/api/change", json=keep).status_code == 200
    assert departures(cab)[2]["rigid"] == ["rear rim"]
    assert len(sheet(cab)["zones"]) == 3
    filled = keep | {"name": name, "line": "hatch left"}
    assert cab.post("/api/change", json=filled).status_code == 422
    cab.post("/api/change", json=keep | {"on": False})
    assert departures(cab)[2]["rigid"] == []


def test_a_dimension_is_watched_and_left_alone_again(cab):
    watch = {
        "what": "watch dimension",
        "name": "roof over the crew",
        "of": "height",
        "line": "roof centre",
        "station": "800 mm",
    }
    assert cab.post("/api/change", json=watch).status_code == 200
    row = sheet(cab)["dimensions"][-1]
    assert row["name"] == "roof over the crew"
    assert 1400.0 < row["now"] < 1600.0
    assert cab.post("/api/change", json=watch).status_code == 422
    for wrong in ({"line": "fin"}, {"name": ""}, {"station": "soon"}):
        refused = cab.post("/api/change", json=watch | {"name": "other"} | wrong)
        assert refused.status_code == 422, wrong
    drop = {"what": "drop dimension", "name": "roof over the crew"}
    assert cab.post("/api/change", json=drop).status_code == 200
    assert cab.post("/api/change", json=drop).status_code == 422
    assert sheet(cab)["watched"] == []


def test_a_dimension_off_its_line_says_so_and_the_rest_of_the_sheet_stands(cab):
    watch = {
        "what": "watch dimension",
        "name": "far",
        "of": "height",
        "line": "roof centre",
        "station": "9 m",
    }
    cab.post("/api/change", json=watch)
    told = sheet(cab)
    assert "does not pass station 9000" in told["unmeasured"]
    assert told["lines"]


def test_a_typed_coordinate_is_where_the_body_stands_after_families_and_cut_zones(cab):
    cab.post("/api/change", json=MOVED)
    tail = RAISED | {"name": "tail", "axis": "x", "start": "1000", "end": "1880"}
    cab.post("/api/change", json=tail)
    cab.post(
        "/api/change",
        json={"what": "keep rigid", "name": "tail", "line": "rear rim", "on": True},
    )
    pull = {"what": "pull line", "line": "belt left", "share": 0.6, "by": 5.0, "pin": None}
    assert cab.post("/api/change", json=pull | {"point": [None, -640.0, None]}).status_code == 200
    typed = {"what": "pin coordinate", "pin": 0, "axis": "y", "length": "655 mm", "side": -1}
    assert cab.post("/api/change", json=typed).status_code == 200
    (pin,) = sheet(cab)["pins"]
    assert pin["now"][1] == pytest.approx(-655.0, abs=0.01)
