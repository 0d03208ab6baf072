"""Tracing: what the page asks while somebody traces, and traces that cannot be."""

import json
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from buckwright.geometry.polyline import closest_on_polyline
from buckwright.store import JobFile
from web.invented_pictures import SIZE, make_pictures

SOURCES, _, TRACES, _ = make_pictures()
FIRST, SECOND = SOURCES[2], SOURCES[1]
LINE = "belt left"


def true_px(picture, line=LINE):
    return next(t.px for t in TRACES if t.picture == picture.name and t.line == line)


def clicks_on(px, apart=60.0):
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(px, axis=0), axis=1))])
    at = np.linspace(0.0, along[-1], max(2, round(along[-1] / apart) + 1))
    return np.column_stack([np.interp(at, along, px[:, k]) for k in (0, 1)]).round(2).tolist()


def ask(client, picture=FIRST, line=LINE):
    return client.get(f"/api/tracing/{picture.sha256}?line={line}").json()


def send(client, **typed):
    return client.post("/api/trace", json={"picture": FIRST.name, "line": LINE, **typed})


def own(client, picture=FIRST, line=LINE):
    return [t for t in ask(client, picture, line)["traces"] if t["line"] == line]


def traces_in(path):
    with JobFile.open(path) as file:
        return file.job().traces


def without_line(client, picture=FIRST, line=LINE):
    for trace in reversed(own(client, picture, line)):
        assert send(
            client, what="drop trace", place=trace["place"], picture=picture.name
        ).is_success


def test_a_picture_comes_with_its_traces_lines_guides_and_bands(client):
    content = ask(client)
    assert content["name"] == FIRST.name
    assert content["placed"] is True
    assert {t["line"] for t in content["traces"]} == {t.line for t in TRACES}
    belt = next(line for line in content["lines"] if line["name"] == LINE)
    assert (belt["kind"], belt["pictures"], belt["here"]) == ("tape", 6, True)
    assert content["others"] == sorted({s.name for s in SOURCES} - {FIRST.name})


def test_guides_pass_where_the_line_is(client):
    guide = next(g for g in ask(client)["guides"] if g["line"] == LINE)
    gaps, _, _ = closest_on_polyline(np.vstack(guide["pieces"]), true_px(FIRST))
    assert gaps.max() < 0.6


def test_each_click_of_another_picture_has_a_band_through_its_place_here(client):
    there, here = true_px(SECOND), true_px(FIRST)
    some = slice(None, None, len(there) // 5)
    without_line(client, SECOND)
    clicks = there[some].tolist()
    kept = send(client, what="set trace", picture=SECOND.name, kind="hand", clicks=clicks)
    assert kept.is_success, kept.text
    bands = next(b["bands"] for b in ask(client)["bands"] if b["picture"] == SECOND.name)
    assert len(bands) == len(clicks)
    for curve, place in zip(bands, here[some], strict=True):
        gap, _, _ = closest_on_polyline(place[None], np.array(curve))
        assert gap[0] < 0.5


def test_a_trace_by_hand_is_snapped_to_the_tape_and_comes_back_by_undo(client, job_path):
    before = own(client)[0]
    answer = send(client, what="snap trace", place=before["place"], kind="tape").json()
    assert answer["done"] == f"trace of '{LINE}' in {FIRST.name} snapped to the tape"
    snapped = traces_in(job_path)[before["place"]]
    assert snapped.kind == "tape"
    assert len(snapped.sigma) == len(snapped.px) > len(snapped.clicks) >= 2
    gaps, _, _ = closest_on_polyline(snapped.px, true_px(FIRST))
    assert np.median(gaps) < 1.0
    assert client.get("/api/job").json()["sheets"][1]["state"] == "stale"
    client.post("/api/undo")
    assert own(client)[0] == before


def test_what_is_kept_is_what_was_shown(client, job_path):
    without_line(client)
    clicks = clicks_on(true_px(FIRST))
    shown = client.post(
        "/api/snap",
        json={
            "picture": FIRST.name,
            "clicks": clicks,
            "kind": "tape",
            "closed": False,
            "stretches": list(range(len(clicks) - 1)),
        },
    ).json()["stretches"]
    kept = send(client, what="set trace", kind="tape", clicks=clicks).json()["trace"]
    drawn = [p for one in shown for p in one["px"][:-1]] + [shown[-1]["px"][-1]]
    assert kept["px"] == drawn
    assert all(one["seen"] > 0.8 for one in shown)
    assert traces_in(job_path)[kept["place"]].clicks.tolist() == clicks


def test_one_moved_click_is_one_step_of_the_history(client):
    without_line(client)
    clicks = clicks_on(true_px(FIRST))
    place = send(client, what="set trace", kind="tape", clicks=clicks).json()["trace"]["place"]
    moved = [*clicks]
    moved[1] = [clicks[1][0] + 1.5, clicks[1][1] - 1.0]
    done = send(client, what="set trace", place=place, kind="tape", clicks=moved).json()["done"]
    assert done == f"'{LINE}' traced in {FIRST.name}: {len(clicks)} clicks"
    assert own(client)[-1]["clicks"] == moved
    assert client.post("/api/undo").json()["done"] == done
    assert own(client)[-1]["clicks"] == clicks


def test_a_hidden_stretch_leaves_two_traces(client):
    without_line(client)
    clicks = clicks_on(true_px(FIRST), apart=30.0)
    place = send(client, what="set trace", kind="tape", clicks=clicks).json()["trace"]["place"]
    assert send(client, what="hide stretch", place=place, stretch=1).is_success
    first, second = own(client)
    assert first["clicks"] == clicks[:2]
    assert second["clicks"] == clicks[2:]


def test_a_trace_can_be_gone_on_with_from_its_other_end(client):
    trace = own(client)[0]
    send(client, what="turn trace", place=trace["place"])
    assert own(client)[0]["clicks"] == trace["clicks"][::-1]


def test_a_new_name_makes_a_new_line_of_the_job(client, job_path):
    clicks = clicks_on(true_px(FIRST))
    answer = send(client, what="set trace", line="gutter", kind="edge", clicks=clicks)
    assert answer.is_success
    with JobFile.open(job_path) as file:
        spec = next(spec for spec in file.job().lines if spec.name == "gutter")
    assert spec.mark == "edge"
    client.post("/api/undo")
    with JobFile.open(job_path) as file:
        assert "gutter" not in [spec.name for spec in file.job().lines]


def test_a_single_point_is_marked_and_is_no_line(client, job_path):
    answer = send(client, what="set trace", line="bolt 1", kind="point", clicks=[[400.4, 300.6]])
    assert answer.json()["done"] == f"point 'bolt 1' marked in {FIRST.name}"
    marked = traces_in(job_path)[-1]
    assert marked.kind == "point"
    assert not marked.on_body
    assert client.get("/api/traced/bolt 1").json()["line"] is None


def test_a_line_stands_in_space_from_its_traces_without_working_out_the_job(client):
    got = client.get(f"/api/traced/{LINE}?picture={FIRST.sha256}").json()
    assert got["why"] == ""
    assert len(got["line"]["points"]) == len(got["line"]["sigma"])
    pieces = np.vstack(got["line"]["pieces"])
    gaps, _, _ = closest_on_polyline(pieces, true_px(FIRST))
    assert np.median(gaps) < 1.5


def test_a_line_in_one_picture_says_why_it_is_not_in_space_yet(client):
    clicks = clicks_on(true_px(FIRST))
    send(client, what="set trace", line="gutter", kind="tape", clicks=clicks)
    got = client.get("/api/traced/gutter").json()
    assert got["line"] is None
    assert "one solved picture only" in got["why"]


def test_traces_go_out_as_a_file_and_come_in_again(client, job_path):
    before = traces_in(job_path)
    place = own(client)[0]["place"]
    send(client, what="snap trace", place=place, kind="tape")
    content = client.get("/api/traces.json").json()
    piece = next(t for t in content["traces"][LINE] if t["picture"] == FIRST.name)
    assert piece["kind"] == "tape"
    client.post("/api/undo")
    taken = send(client, what="take traces", name="traces.json", content=content)
    assert taken.json()["done"] == f"{len(before)} traces taken in from traces.json"
    snapped = next(t for t in traces_in(job_path) if t.line == LINE and t.picture == FIRST.name)
    assert snapped.kind == "tape"
    assert len(snapped.clicks) >= 2


def test_tiles_make_up_the_picture(client):
    columns, rows = SIZE
    whole = Image.new("RGB", SIZE)
    for column in range(-(-columns // 512)):
        for row in range(-(-rows // 512)):
            tile = client.get(f"/api/tile/{FIRST.sha256}/0/{column}/{row}")
            assert "immutable" in tile.headers["cache-control"]
            whole.paste(Image.open(BytesIO(tile.content)), (column * 512, row * 512))
    original = Image.open(BytesIO(make_pictures()[1][2])).convert("RGB")
    gap = np.abs(np.asarray(whole, dtype=float) - np.asarray(original, dtype=float))
    assert gap.mean() < 2.0
    small = Image.open(BytesIO(client.get(f"/api/tile/{FIRST.sha256}/1/0/0").content))
    assert small.size == (480, 360)


@pytest.mark.parametrize(
    "path", ["0/9/0", "0/0/9", "12/0/0"], ids=["right of it", "below it", "too coarse"]
)
def test_there_are_no_tiles_beyond_the_picture(client, path):
    assert client.get(f"/api/tile/{FIRST.sha256}/{path}").status_code == 404
    assert client.get(f"/api/tile/{'0' * 64}/0/0/0").status_code == 404


GOOD = [[100.0, 100.0], [200.0, 140.0], [300.0, 150.0]]

BAD = {
    "outside": ({"clicks": [[100, 100], [1000, 100]]}, "Click 2 lies outside of"),
    "above": ({"clicks": [[100, -40], [200, 100]]}, "Click 1 lies outside of"),
    "crossing itself": (
        {"clicks": [[100, 100], [300, 300], [300, 100], [100, 300]]},
        "crosses itself",
    ),
    "one click": ({"clicks": [[100, 100]]}, "one click only"),
    "none": ({"clicks": []}, "one click only"),
    "one place twice": (
        {"clicks": [[100, 100], [150, 100], [150, 100]]},
        "Clicks 2 and 3 of belt left are at one place",
    ),
    "back to the start": (
        {"clicks": [[100, 100], [300, 300], [300, 100], [100, 100]]},
        "comes back to its first click",
    ),
    "round in two": ({"clicks": [[100, 100], [150, 100]], "closed": True}, "cannot go all round"),
    "nan": ({"clicks": [[100, 100], [float("nan"), 100]]}, "a click that is no number"),
    "text": ({"clicks": [[100, 100], ["far", 100]]}, "A click is no number"),
    "endless": ({"clicks": [[k % 900, k / 10] for k in range(2500)]}, "has 2500 clicks"),
    "no name": ({"line": "  ", "clicks": GOOD}, "needs a short name"),
    "name of a tape": ({"kind": "edge", "clicks": GOOD}, "is a line along a tape already"),
    "name of a line": ({"kind": "silhouette", "clicks": GOOD}, "is a line already, not outline"),
    "point on a line's name": ({"kind": "point", "clicks": [[10, 10]]}, "not marked point"),
    "two points": ({"line": "p", "kind": "point", "clicks": GOOD}, "is one place"),
    "point outside": ({"line": "p", "kind": "point", "clicks": [[-9, 0]]}, "lies outside"),
    "point nan": (
        {"line": "p", "kind": "point", "clicks": [[float("nan"), 0]]},
        "a click that is no number",
    ),
    "no picture": ({"picture": "lost.jpg", "clicks": GOOD}, "no such picture"),
    "gone": ({"place": 9999, "clicks": GOOD}, "That trace is gone"),
}


@pytest.mark.parametrize(("typed", "words"), BAD.values(), ids=BAD)
def test_a_bad_trace_is_refused_in_one_sentence_and_nothing_is_lost(client, job_path, typed, words):
    before = traces_in(job_path)
    body = json.dumps(
        {"what": "set trace", "picture": FIRST.name, "line": LINE, "kind": "hand", **typed}
    )
    answer = client.post("/api/trace", content=body)
    assert answer.status_code == 422, answer.text
    told = answer.json()
    assert words in told["problem"]
    assert told["problem"].count(".") <= 1 + told["problem"].count(".jpg")
    assert told["remedy"].endswith(".")
    after = traces_in(job_path)
    assert [t.model_dump_json() for t in after] == [t.model_dump_json() for t in before]


def test_an_outline_of_nothing_is_refused(client, job_path):
    clicks = [[20.0, 40.0], [70.0, 44.0], [120.0, 40.0]]
    grey = np.asarray(Image.open(BytesIO(make_pictures()[1][2])).convert("L"), dtype=float)
    assert np.ptp(grey[20:60, 10:130]) < 12.0
    answer = send(client, what="set trace", line="outline", kind="silhouette", clicks=clicks)
    assert answer.status_code == 422
    assert "No outline is to be seen" in answer.json()["problem"]


def test_a_tape_that_is_not_there_is_kept_with_a_word(client):
    clicks = [[20.0, 40.0], [70.0, 44.0], [120.0, 40.0]]
    answer = send(client, what="set trace", line="ghost", kind="tape", clicks=clicks).json()
    assert "no tape is to be seen" in answer["words"][0]
    assert answer["trace"]["clicks"] == clicks


def test_an_outline_s_name_is_not_taken_for_a_line(client):
    px = true_px(FIRST)
    clicks = clicks_on(px)
    assert send(client, what="set trace", line="shape", kind="silhouette", clicks=clicks).is_success
    answer = send(client, what="set trace", line="shape", kind="tape", clicks=clicks)
    assert answer.json()["problem"] == "'shape' is an outline already, not tape."


def test_a_picture_without_a_camera_takes_traces_and_says_that_they_do_not_count(
    open_client, unfinished_job, tmp_path
):
    path = tmp_path / "fresh.buck"
    path.write_bytes(unfinished_job.read_bytes())
    client = open_client(path)
    answer = send(client, what="set trace", kind="hand", clicks=GOOD).json()
    assert answer["done"]
    assert "does not count yet" in answer["words"][0]
    content = ask(client)
    assert content["placed"] is False
    assert (content["guides"], content["bands"]) == ([], [])
    assert "not placed yet" in client.get(f"/api/traced/{LINE}").json()["why"]


def test_hiding_all_of_a_trace_is_refused(client):
    without_line(client)
    place = send(client, what="set trace", kind="hand", clicks=GOOD[:2]).json()["trace"]["place"]
    answer = send(client, what="hide stretch", place=place, stretch=0)
    assert "Nothing would be left" in answer.json()["problem"]
    assert own(client)[0]["clicks"] == GOOD[:2]


def test_a_file_that_traces_a_strange_picture_is_refused(client, job_path):
    before = len(traces_in(job_path))
    content = {"traces": {LINE: [{"picture": "lost.jpg", "px": [[1, 2], [3, 4]]}]}}
    answer = send(client, what="take traces", name="my.json", content=content)
    assert answer.json()["problem"] == "my.json traces lost.jpg, which is no picture of this job."
    broken = send(client, what="take traces", name="my.json", content=None)
    assert broken.json()["problem"] == "my.json holds no traces."
    assert len(traces_in(job_path)) == before


@pytest.mark.parametrize(
    "body",
    [
        "[]",
        "{",
        '{"what": "set trace"}',
        '{"what": "paint it"}',
        '{"what": "set trace", "clicks": 4}',
    ],
)
def test_what_no_page_sends_is_not_read(client, body):
    for path in ("/api/trace", "/api/snap"):
        assert client.post(path, content=body).status_code in (400, 422)
