"""Tapes typed on the page, shown against the lines, and trusted for the scale."""

import pytest

from web.small_cab_job import make_cab_file


@pytest.fixture
def cab(tmp_path, open_client):
    path = tmp_path / "cab.buck"
    make_cab_file(path)
    return open_client(path)


def change(client, **typed):
    return client.post("/api/change", json=typed)


def tapes(client):
    return client.get("/api/sheet/lines").json()["tapes"]


RIMS = {"what": "tape", "of": "between", "from": "front rim: centre", "to": "rear rim: centre"}


def test_a_tape_is_typed_shown_trusted_and_dropped(cab):
    for name, length in (("one", "1530 mm"), ("two", "1.53 m")):
        answer = change(cab, **RIMS, name=name, length=length, sigma="1 mm")
        assert answer.status_code == 200, answer.text
    shown = tapes(cab)
    assert [row["typed"] for row in shown["rows"]] == [1530.0, 1530.0]
    assert shown["rows"][0]["lines"] == pytest.approx(1500.0, abs=3.0)
    assert "off by one factor" in shown["findings"][0]
    assert change(cab, what="tape scale", names=["one", "two"]).status_code == 200
    assert tapes(cab)["scale"]["factor"] == pytest.approx(1.02, abs=3e-3)
    assert change(cab, what="drop tape", name="one").status_code == 422
    assert change(cab, what="no tape scale").status_code == 200
    assert change(cab, what="drop tape", name="one").status_code == 200
    assert [row["name"] for row in tapes(cab)["rows"]] == ["two"]
    assert cab.post("/api/undo").status_code == 200
    assert len(tapes(cab)["rows"]) == 2


def test_nonsense_is_refused_and_changes_nothing(cab):
    asked = (
        {**RIMS, "length": "long", "sigma": "1 mm"},
        {**RIMS, "length": "1 m", "sigma": "0 mm"},
        {**RIMS, "to": "", "length": "1 m", "sigma": "1 mm"},
        {"what": "no tape scale"},
        {"what": "tape scale", "names": ["one"]},
    )
    for typed in asked:
        assert change(cab, **typed).status_code == 422, typed
    assert tapes(cab)["rows"] == []
