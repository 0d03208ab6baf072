"""Regions that are to be made exactly flat or rolled, chosen on the page."""

import pytest


def told(client):
    return client.get("/api/sheet/skin").json()


def test_a_region_is_asked_to_be_rolled_and_left_again(client):
    name = next(iter(told(client)["to_roll"]))
    typed = {"what": "roll region", "name": name, "length": "1/16 in"}
    assert client.post("/api/change", json=typed).status_code == 200
    assert told(client)["to_roll"][name] == pytest.approx(1.5875)
    typed["length"] = ""
    assert client.post("/api/change", json=typed).status_code == 200
    assert told(client)["to_roll"][name] == 0.0


@pytest.mark.parametrize("wrong", [{"name": "fin"}, {"length": "9 m"}, {"length": "soon"}])
def test_what_cannot_be_is_refused(client, wrong):
    name = next(iter(told(client)["to_roll"]))
    typed = {"what": "roll region", "name": name, "length": "1 mm"} | wrong
    assert client.post("/api/change", json=typed).status_code == 422
    assert told(client)["to_roll"][name] == 0.0
