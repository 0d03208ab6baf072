"""What each address answers."""

import json
from io import BytesIO
from time import monotonic, sleep
from zipfile import ZipFile

import numpy as np
import pytest
from PIL import Image

from web.conftest import SOCKET
from web.invented import job_and_answers
from web.invented_labour import WORKS, fail, wait

SHEETS = [
    "people",
    "pictures",
    "lines",
    "skin",
    "openings",
    "buck",
    "panels",
    "gauges",
    "drawings",
    "checking",
    "plan",
]


def read_frame(data):
    """The header's subject and the arrays of a frame, as the page reads them."""
    length = int.from_bytes(data[:4], "little")
    header = json.loads(data[4 : 4 + length])
    kinds = {"f": "<f4", "u": "<u4"}
    arrays = {
        name: np.frombuffer(data, kinds[kind], count, 4 + length + first)
        for name, (kind, first, count) in header["arrays"].items()
    }
    return header["about"], arrays


def until(client, state):
    """The work's status once it is in a state."""
    end = monotonic() + 60
    while monotonic() < end:
        now = client.get("/api/job").json()["work"]
        if now["state"] == state:
            return now
        sleep(0.05)
    raise AssertionError(f"still {now}, not {state}")


def test_the_job_lists_its_sheets_in_order_each_with_a_question(client):
    told = client.get("/api/job").json()
    assert told["name"] == "Plover"
    assert told["wheelbase"] == 2300.4
    assert [sheet["name"] for sheet in told["sheets"]] == SHEETS
    assert all(sheet["question"].endswith("?") for sheet in told["sheets"])
    states = {sheet["name"]: sheet["state"] for sheet in told["sheets"]}
    assert states.pop("drawings") == "not done"
    assert set(states.values()) == {"done"}


def test_every_answer_has_a_number_in_it(client):
    for sheet in client.get("/api/job").json()["sheets"]:
        figures = [word for word in sheet["answer"] if isinstance(word, dict)]
        assert figures, sheet["name"]
        assert all(len(figure) == 1 for figure in figures)


def test_findings_come_with_what_to_do(client):
    findings = client.get("/api/sheet/lines").json()["findings"]
    assert [finding["where"] for finding in findings] == ["sill left"]
    assert findings[0]["remedy"].startswith("Take two more pictures")


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_that_is_not_worked_out_says_what_it_needs(open_client, unfinished_job, name):
    client = open_client(unfinished_job)
    outline = {sheet["name"]: sheet for sheet in client.get("/api/job").json()["sheets"]}
    assert outline[name]["answer"] is None
    assert outline[name]["state"] == "not done"
    assert client.get(f"/api/sheet/{name}").json()["lacking"].startswith("It needs")


def test_an_unknown_sheet_is_not_found(client):
    assert client.get("/api/sheet/nothing").status_code == 404


def test_the_skin_comes_as_its_own_vertices_and_triangles(client):
    _, _, answers = job_and_answers()
    about, arrays = read_frame(client.get("/api/frame/skin").content)
    assert [region["name"] for region in about] == [r.name for r in answers.skin.regions]
    body = answers.skin.regions[0]
    np.testing.assert_allclose(arrays["v0"].reshape(-1, 3), body.vertices, atol=1e-3)
    np.testing.assert_array_equal(arrays["t0"].reshape(-1, 3), body.triangles)


def test_the_buck_comes_with_every_axis_and_both_ends_of_every_tube(client):
    _, _, answers = job_and_answers()
    about, arrays = read_frame(client.get("/api/frame/buck").content)
    assert [wire["name"] for wire in about["wires"]] == [w.name for w in answers.buck.wires]
    np.testing.assert_allclose(arrays["w3"].reshape(-1, 3), answers.buck.wires[3].axis, atol=1e-3)
    tube = answers.buck.members[5]
    np.testing.assert_allclose(arrays["members"].reshape(-1, 6)[5], [*tube.start, *tube.end])


def test_the_shape_map_keeps_a_constant_constant_on_its_way_to_the_vertices(client):
    _, arrays = read_frame(client.get("/api/frame/panel/0").content)
    _, _, answers = job_and_answers()
    blank = answers.panels.blanks[0]
    assert len(arrays["area"]) == len(blank.flat)
    assert arrays["area"].min() >= blank.area_change.min() - 1e-6
    assert arrays["area"].max() <= blank.area_change.max() + 1e-6
    ratio = arrays["minor"] / arrays["major"]
    np.testing.assert_allclose(ratio[np.isfinite(ratio)], -0.4, atol=1e-4)


def test_the_survey_comes_seated_with_its_distances(client):
    _, _, answers = job_and_answers()
    about, arrays = read_frame(client.get("/api/frame/check/0").content)
    assert about == {"name": "front wing", "side": "left"}
    np.testing.assert_allclose(arrays["distance"], answers.checks[0].distance, atol=1e-4)


@pytest.mark.parametrize("what", ["nothing", "panel/9", "check/9", "panel/-1"])
def test_numbers_that_are_not_there_are_not_found(client, what):
    assert client.get(f"/api/frame/{what}").status_code == 404


def test_a_photograph_is_sent_as_wide_as_asked_and_as_it_is_stored(client):
    row = client.get("/api/sheet/pictures").json()["pictures"][0]
    small = client.get(f"/api/picture/{row['sha256']}?most=320")
    with Image.open(BytesIO(small.content)) as picture:
        assert picture.size == (320, 240)
    whole = client.get(f"/api/picture/{row['sha256']}?most=4096")
    with Image.open(BytesIO(whole.content)) as picture:
        assert list(picture.size) == row["size"]
    assert "immutable" in small.headers["cache-control"]


@pytest.mark.parametrize("query", ["", "?most=100000", "?most=-1", "?most=x"])
def test_a_photograph_of_another_width_is_not_made(client, query):
    row = client.get("/api/sheet/pictures").json()["pictures"][0]
    assert client.get(f"/api/picture/{row['sha256']}{query}").status_code == 404


def test_a_photograph_that_is_not_in_the_job_is_not_found(client):
    assert client.get(f"/api/picture/{'0' * 64}?most=320").status_code == 404


def test_a_departure_is_switched_off_undone_and_redone(client):
    off = {"what": "switch departure", "name": "longer load floor", "on": False}

    def stands():
        return client.get("/api/sheet/lines").json()["departures"][0]["on"]

    assert client.post("/api/change", json=off).status_code == 200
    assert stands() is False
    told = client.get("/api/job").json()
    assert told["undo"] == "departure 'longer load floor' switched off"
    states = {sheet["name"]: sheet["state"] for sheet in told["sheets"]}
    assert states["lines"] == "stale"
    assert states["pictures"] == "done"
    assert client.post("/api/undo").json()["done"] == told["undo"]
    assert stands() is True
    assert client.get("/api/job").json()["redo"] == told["undo"]
    client.post("/api/redo")
    assert stands() is False


def test_a_typed_length_is_read_as_the_command_line_reads_it(client):
    typed = {"what": "resize departure", "name": "longer load floor", "length": '2 3/8"'}
    assert client.post("/api/change", json=typed).status_code == 200
    by = client.get("/api/sheet/lines").json()["departures"][0]["by"]
    assert by == pytest.approx(60.325)


@pytest.mark.parametrize(
    "typed",
    [
        {"what": "resize departure", "name": "longer load floor", "length": "about 5"},
        {"what": "resize departure", "name": "longer load floor", "length": "-400 mm"},
        {"what": "resize departure", "name": "nobody's", "length": "5"},
        {"what": "tolerance", "length": "0"},
        {"what": "tolerance", "length": "1 m"},
        {"what": "revision", "text": "two words"},
        {"what": "revision", "text": ""},
    ],
)
def test_what_cannot_be_is_refused_in_two_sentences_and_changes_nothing(client, typed):
    before = client.get("/api/job").json()["number"]
    answer = client.post("/api/change", json=typed)
    assert answer.status_code == 422
    assert answer.json()["problem"].endswith(".")
    assert answer.json()["remedy"].endswith(".")
    assert client.get("/api/job").json()["number"] == before


@pytest.mark.parametrize("body", [b"", b"[]", b"{", b'{"what": "everything"}'])
def test_what_cannot_be_read_is_refused(client, body):
    assert client.post("/api/change", content=body).status_code == 400


def test_every_open_page_hears_of_a_change(client):
    with client.websocket_connect(SOCKET) as socket:
        socket.receive_json()
        client.post("/api/change", json={"what": "tolerance", "length": "2 mm"})
        assert socket.receive_json() == {"kind": "changed"}


def test_working_it_out_tells_its_steps_and_then_the_answers_are_there(
    open_client, unfinished_job, tmp_path
):
    path = tmp_path / "fresh.buck"
    path.write_bytes(unfinished_job.read_bytes())
    client = open_client(path)
    with client.websocket_connect(SOCKET) as socket:
        assert socket.receive_json()["state"] == "idle"
        assert client.post("/api/work/solve").status_code == 202
        heard = []
        while not heard or heard[-1]["state"] not in ("done", "failed"):
            heard.append(socket.receive_json())
    assert heard[-1]["state"] == "done", heard[-1]
    steps = [message["step"] for message in heard if message["state"] == "running"]
    assert steps.index("pictures") < steps.index("plan")
    shares = [message["share"] for message in heard[:-1]]
    assert shares == sorted(shares)
    assert client.get("/api/job").json()["sheets"][0]["state"] == "done"


def test_work_is_stopped_when_asked_and_a_second_one_must_wait(open_client, job_path):
    client = open_client(job_path, {"solve": wait})
    assert client.post("/api/work/solve").status_code == 202
    assert client.post("/api/work/solve").status_code == 409
    client.post("/api/stop")
    assert until(client, "stopped")["work"] == "solve"


def test_work_without_an_answer_says_why_and_what_to_do(open_client, job_path):
    client = open_client(job_path, {"solve": fail})
    client.post("/api/work/solve")
    words = until(client, "failed")["words"]
    assert words == "The sill left has one point only. Trace it in a second picture."


def test_work_that_nobody_knows_is_not_found(client):
    assert client.post("/api/work/nothing").status_code == 404


@pytest.fixture
def with_packet(client):
    assert client.get("/api/packet.zip").status_code == 404
    client.post("/api/work/packet")
    until(client, "done")
    return client


def test_the_packet_is_made_listed_taken_whole_or_file_by_file_and_grows_old(with_packet):
    packet = with_packet.get("/api/job").json()["packet"]
    names = [file["name"] for file in packet["files"]]
    assert names == ["cover.pdf", "gauges/FW1 L.svg", "lists/rods.csv"]
    whole = with_packet.get("/api/packet.zip")
    assert whole.headers["content-disposition"] == 'attachment; filename="Plover-A.zip"'
    with ZipFile(BytesIO(whole.content)) as archive:
        assert archive.namelist() == names
        alone = with_packet.get("/api/packet/lists/rods.csv").content
        assert archive.read("lists/rods.csv") == alone
    drawing = with_packet.get("/api/packet/gauges/FW1%20L.svg")
    assert drawing.headers["content-type"].startswith("image/svg+xml")
    assert with_packet.get("/api/packet/lists/other.csv").status_code == 404

    assert drawings_state(with_packet) == "done"
    with_packet.post("/api/change", json={"what": "revision", "text": "b"})
    assert drawings_state(with_packet) == "stale"
    with_packet.post("/api/undo")
    assert drawings_state(with_packet) == "done"


def drawings_state(client):
    sheets = client.get("/api/job").json()["sheets"]
    return next(sheet["state"] for sheet in sheets if sheet["name"] == "drawings")


def test_the_works_of_the_program_are_functions_that_a_process_can_be_given():
    from pickle import dumps, loads

    from buckwright.web.serving import WORKS as REAL

    assert set(REAL) == set(WORKS)
    assert all(loads(dumps(work)) is work for work in REAL.values())
