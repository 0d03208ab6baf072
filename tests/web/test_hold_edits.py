"""What a line keeps, said over the page's addresses."""

import shutil

import pytest

from web.small_cab_job import make_cab_file


@pytest.fixture(scope="session")
def held_cab(tmp_path_factory):
    path = tmp_path_factory.mktemp("held") / "cab.buck"
    make_cab_file(path)
    return path


@pytest.fixture
def cab(held_cab, tmp_path, open_client):
    return open_client(shutil.copy(held_cab, tmp_path / "cab.buck"))


def lines(client):
    return client.get("/api/sheet/lines").json()


def row(client, name):
    return next(line for line in lines(client)["lines"] if line["name"] == name)


def say(client, what, **typed):
    return client.post("/api/change", json={"what": what, "line": "belt right", **typed})


def test_what_is_kept_is_answered_at_once_on_both_sides_and_undone(cab):
    told = say(cab, "keep straight", **{"from": "20", "to": "40 %"}).json()
    assert told["done"] == "'belt right' is straight from 20 % to 40 %"
    say(cab, "keep corner", at="70")
    say(cab, "keep tolerance", length="9 mm")
    say(cab, "keep tangent", end="first", way="direction", direction="1 0.1 0")
    for name in ("belt left", "belt right"):
        drawn = row(cab, name)
        assert (len(drawn["straights"]), len(drawn["corners"])) == (1, 1)
        assert drawn["heldEnds"] == [True, False]
        assert drawn["tolerance"] == 9.0
    holds = lines(cab)["holds"]
    assert holds["belt right"]["ends"]["first"]["direction"] == "1 0.1 0"
    assert holds["belt left"]["ends"]["first"]["direction"] == "1 -0.1 0"
    batten = cab.get("/api/batten/belt left").json()
    assert len(batten["give"]) < len(batten["control"])
    say(cab, "keep no more", kind="straight", number=0, line="belt left")
    assert row(cab, "belt right")["straights"] == []
    cab.post("/api/undo")
    assert len(row(cab, "belt right")["straights"]) == 1
    (sheet,) = (s for s in cab.get("/api/job").json()["sheets"] if s["name"] == "lines")
    assert sheet["state"] == "done"


@pytest.mark.parametrize(
    ("what", "typed"),
    [
        ("keep straight", {"from": "40", "to": "40"}),
        ("keep straight", {"from": "here", "to": "40"}),
        ("keep corner", {"at": "0.1"}),
        ("keep corner", {"at": "nan"}),
        ("keep corner", {"at": "40", "line": "nobody"}),
        ("keep weight", {"from": "10", "to": "20", "times": "1e9"}),
        ("keep tolerance", {"length": "0 mm"}),
        ("keep tolerance", {"length": "loose"}),
        ("keep tangent", {"end": "first", "way": "direction", "direction": "0 0 0"}),
        ("keep tangent", {"end": "first", "way": "direction", "direction": "up"}),
        ("keep tangent", {"end": "first", "way": "sideways"}),
        ("keep tangent", {"end": "first", "way": "line", "other": "nobody"}),
        ("keep no more", {"kind": "corner", "number": 4}),
    ],
)
def test_what_cannot_be_kept_is_refused_in_two_sentences_and_changes_nothing(cab, what, typed):
    before = lines(cab)
    refused = say(cab, what, **typed)
    assert refused.status_code == 422, refused.json()
    assert refused.json()["problem"].endswith(".")
    assert refused.json()["remedy"].endswith(".")
    assert lines(cab) == before


@pytest.mark.parametrize(
    ("what", "typed"),
    [
        ("keep tangent", {"end": "middle", "way": "free"}),
        ("keep no more", {"kind": "hope", "number": 0}),
        ("keep no more", {"kind": "corner", "number": "first"}),
    ],
)
def test_what_the_page_cannot_have_sent_is_not_read(cab, what, typed):
    assert say(cab, what, **typed).status_code == 400
