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
