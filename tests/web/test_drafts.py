"""The coarse skin after an edit, and the fine one that follows; lines made sharp."""

import json
import struct
from time import monotonic, sleep

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.creases import CreaseSpec
from buckwright.store import JobFile
from buckwright.web import room
from buckwright.web.crease_edits import CREASE_EDITS
from buckwright.web.serving import skin_work
from web.invented_labour import wait
from web.small_cab_job import BARREL, make_spanned_cab_file

NOTHING = ({"regions": [], "trouble": ""}, {})


@pytest.fixture
def spanned(tmp_path):
    path = tmp_path / "spanned.buck"
    make_spanned_cab_file(path)
    return path


def _read(response):
    assert response.status_code == 200
    (length,) = struct.unpack("<I", response.content[:4])
    header = json.loads(response.content[4 : 4 + length])
    arrays = {}
    for name, (kind, start, count) in header["arrays"].items():
        dtype = "<u4" if kind == "u" else "<f4"
        arrays[name] = np.frombuffer(response.content, dtype, count, 4 + length + start)
    return header["about"], arrays


def _pull(client, up):
    point = client.get("/api/batten/roof centre").json()
    middle = point["control"][len(point["control"]) // 2]
    asked = {"line": "roof centre", "share": 0.5, "by": up, "point": [None, None, middle[2] + up]}
    answer = client.post("/api/change", json={"what": "pull line", "pin": None, **asked})
    assert answer.status_code == 200, answer.text


def _state(client):
    (entry,) = (e for e in client.get("/api/job").json()["sheets"] if e["name"] == "skin")
    return entry["state"]


def test_there_is_no_draft_of_a_skin_that_is_up_to_date(spanned, open_client):
    client = open_client(spanned)
    assert _state(client) == "done"
    assert _read(client.get("/api/draft")) == NOTHING


def test_a_pull_gives_a_coarse_skin_and_undo_the_fine_one(spanned, open_client):
    client = open_client(spanned)
    assert _state(client) == "done"
    _, fine = _read(client.get("/api/frame/skin"))
    _pull(client, 12.0)
    assert _state(client) == "stale"
    about, draft = _read(client.get("/api/draft"))
    assert about == {
        "regions": [{"name": "body", "side": "whole", "coarse": True}],
        "trouble": "",
    }
    top = [arrays["v0"].reshape(-1, 3)[:, 2].max() for arrays in (fine, draft)]
    assert 6.0 < top[1] - top[0] < 18.0
    assert draft["t0"].max() < len(draft["v0"]) / 3
    assert client.post("/api/undo").status_code == 200
    assert _state(client) == "done"
    assert _read(client.get("/api/draft")) == NOTHING


@pytest.mark.slow
def test_the_fine_skin_follows_by_itself(spanned, open_client, monkeypatch):
    monkeypatch.setattr(room, "QUIET", 0.05)
    client = open_client(spanned, follow=skin_work)
    assert _state(client) == "done"
    _pull(client, 12.0)
    end = monotonic() + 120.0
    while _state(client) != "done" and monotonic() < end:
        sleep(0.2)
    assert _state(client) == "done"
    assert _read(client.get("/api/draft")) == NOTHING
    about, _ = _read(client.get("/api/frame/skin"))
    assert about == [{"name": "body", "side": "whole"}]


def _work(client):
    return client.get("/api/job").json()["work"]


@pytest.mark.slow
def test_the_skin_that_follows_gives_way_to_other_work(spanned, open_client, monkeypatch):
    monkeypatch.setattr(room, "QUIET", 0.05)
    client = open_client(spanned, follow=wait)
    assert _state(client) == "done"
    _pull(client, 12.0)
    end = monotonic() + 60.0
    while _work(client)["work"] != "skin" and monotonic() < end:
        sleep(0.05)
    assert _work(client)["work"] == "skin"
    assert client.post("/api/work/packet").status_code == 202
    while _work(client)["work"] != "packet" and monotonic() < end:
        sleep(0.05)
    while _work(client)["state"] == "running" and monotonic() < end:
        sleep(0.05)
    assert (_work(client)["work"], _work(client)["state"]) == ("packet", "done")


def test_what_stands_in_the_way_of_a_draft_is_told(spanned, open_client):
    with JobFile.open(spanned) as file:
        job = file.job()
        lost = BARREL.model_copy(update={"inner": (*BARREL.inner, "nowhere")})
        file.change("a line that is not there", job.model_copy(update={"regions": (lost,)}))
    client = open_client(spanned)
    about, arrays = _read(client.get("/api/draft"))
    assert "'nowhere', which does not exist" in about["trouble"]
    assert (about["regions"], arrays) == ([], {})


def test_a_line_is_made_sharp_on_the_page_and_smooth_again(spanned, open_client):
    client = open_client(spanned)
    edit = {"region": "body", "line": "roof centre", "start": "300 mm", "end": "4' 0\""}
    assert client.post("/api/change", json={"what": "sharpen line", **edit}).status_code == 200
    content = client.get("/api/sheet/skin").json()
    (row,) = content["creases"]
    assert (row["line"], row["start"]) == ("roof centre", 300.0)
    assert row["end"] == pytest.approx(1219.2)
    assert row["most"] is None
    assert content["sharpenable"] == [{"region": "body", "lines": list(BARREL.inner)}]
    bounds = {bound["line"]: bound for bound in content["bounds"]}
    assert bounds["sill left"]["jump"] is None
    assert bounds["belt left"]["jump"] < 1.0
    assert bounds["belt left"]["most"] >= bounds["belt left"]["rms"] > 0.0
    about, _ = _read(client.get("/api/draft"))
    assert about["regions"][0]["coarse"]
    with JobFile.open(spanned) as file:
        assert "sharp on 'body' from 300 mm to 1219.2 mm" in file.history()[-1].description
    drop = {"what": "smooth line", "region": "body", "line": "roof centre"}
    assert client.post("/api/change", json=drop).status_code == 200
    assert client.get("/api/sheet/skin").json()["creases"] == []
    assert _state(client) == "done"


def _job(*creases):
    from web.invented import job_and_answers

    job = job_and_answers()[0]
    spec = BARREL.model_copy(update={"creases": creases})
    return job.model_copy(update={"regions": (spec,)})


def test_a_crease_made_again_takes_the_place_of_the_one_before():
    job = _job(CreaseSpec(line="roof centre"), CreaseSpec(line="belt left"))
    typed = {"region": "body", "line": "roof centre", "start": "", "end": "1 m"}
    changed, words = CREASE_EDITS["sharpen line"](job, typed)
    (spec,) = changed.regions
    assert [(c.line, c.end) for c in spec.creases] == [("belt left", None), ("roof centre", 1000.0)]
    assert words == "'roof centre' is sharp on 'body' to 1000 mm"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"start": "500 mm", "end": "400 mm"}, "begin at 500 mm and end at 400 mm"),
        ({"start": "-5 mm"}, "cannot be where the crease begins"),
        ({"end": "30 m"}, "cannot be where the crease ends"),
        ({"start": "soon"}, "soon"),
    ],
)
def test_a_crease_that_cannot_be_is_refused_in_words(typed, words):
    with pytest.raises(JobError, match=words):
        CREASE_EDITS["sharpen line"](_job(), {"region": "body", "line": "roof centre", **typed})


@pytest.mark.parametrize(
    "typed", [{"region": "roof", "line": "roof centre"}, {"region": "body", "line": "sill left"}]
)
def test_only_lines_on_a_region_are_offered(typed):
    with pytest.raises(ValueError, match="no such choice"):
        CREASE_EDITS["sharpen line"](_job(), typed)
    with pytest.raises(ValueError, match="no such choice"):
        CREASE_EDITS["smooth line"](_job(), typed)
