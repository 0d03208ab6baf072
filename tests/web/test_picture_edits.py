"""The mat, its bars and pictures on the page: typed, sent, refused with a sentence, taken back."""

import pytest

from buckwright.errors import JobError
from buckwright.model.job import Job, Products
from buckwright.model.mats import printed_mat
from buckwright.model.pictures import PictureSource, Trace
from buckwright.web.picture_edits import PICTURE_EDITS
from buckwright.web.sheets.shoot import shoot_rows
from mat_pictures import MAT, picture, saved

SOURCES = tuple(
    PictureSource(name=f"p{k}.jpg", sha256=str(k) * 64, size=(4032, 3024)) for k in range(3)
)
JOB = Job(name="A", mat=MAT, pictures=SOURCES)


def edit(job, **typed):
    return PICTURE_EDITS[typed["what"]](job, typed)


def test_a_typed_bar_is_a_bar_of_the_mat_and_nothing_takes_it_off():
    job, words = edit(JOB, what="mat bar", name="bar 1", length="220,35 mm")
    assert words == "bar 1 of the mat measures 220.35 mm"
    (bar,) = job.mat.bars
    assert (bar.start, bar.end, bar.mm) == ((1, 1), (12, 1), 220.35)
    assert [row["typed"] for row in shoot_rows(job, Products())["bars"]] == [220.35, None]
    job, words = edit(job, what="mat bar", name="bar 1", length=" ")
    assert job.mat.bars == ()
    assert words == "bar 1 of the mat is not measured"


def test_a_bar_may_be_typed_in_inches():
    job, _ = edit(JOB, what="mat bar", name="bar 2", length="5 33/64 in")
    assert job.mat.bars[0].mm == pytest.approx(25.4 * (5 + 33 / 64))


@pytest.mark.parametrize("length", ["200 mm", "22 cm 5 mm", "-220", "wide"])
def test_a_length_that_no_printer_makes_is_refused(length):
    with pytest.raises(JobError):
        edit(JOB, what="mat bar", name="bar 1", length=length)


def test_a_bar_that_is_not_printed_or_a_job_without_mat_is_refused():
    with pytest.raises(ValueError, match="choice"):
        edit(JOB, what="mat bar", name="bar 9", length="220")
    with pytest.raises(JobError, match="no mat"):
        edit(Job(name="A"), what="mat bar", name="bar 1", length="220")


def test_the_mat_is_chosen_by_its_kind_and_number():
    job, words = edit(JOB, what="mat", kind="cards", count="12")
    assert words == "the mat is now cards, 12 boards"
    assert job.mat.model_dump() == printed_mat("cards", 12).model_dump()
    rows = shoot_rows(job, Products())
    assert (rows["kind"], rows["cards"], rows["bars"][2]["name"]) == (
        "cards",
        12,
        "bar 1 of card 2",
    )
    with pytest.raises(JobError, match="not marks enough for 99"):
        edit(JOB, what="mat", kind="cards", count="99")
    with pytest.raises(ValueError, match="choice"):
        edit(JOB, what="mat", kind="A0")


def test_a_picture_is_taken_out_with_its_traces():
    traces = tuple(
        Trace(line="belt", picture=name, px=[[1.0, 2.0], [3.0, 4.0]])
        for name in ("p0.jpg", "p1.jpg")
    )
    job, words = edit(JOB.model_copy(update={"traces": traces}), what="picture out", name="p1.jpg")
    assert [source.name for source in job.pictures] == ["p0.jpg", "p2.jpg"]
    assert [trace.picture for trace in job.traces] == ["p0.jpg"]
    assert words == "picture p1.jpg taken out with 1 traces"


def test_before_anything_is_solved_the_sheet_holds_the_whole_plan():
    rows = shoot_rows(JOB, Products())
    assert len(rows["wanted"]) == 15
    assert rows["scale"] is None
    assert [group["pictures"] for group in rows["groups"]] == [["p0.jpg", "p1.jpg", "p2.jpg"]]


def test_a_photograph_sent_by_the_page_is_in_the_job_and_undone_by_undo(open_client, job_path):
    client = open_client(job_path)
    before = client.get("/api/sheet/pictures").json()["pictures"]
    client.post("/api/change", json={"what": "mat", "kind": "A4"})
    sent = client.post("/api/pictures?name=..%2F..%2Fnew%20one.jpg", content=saved(picture()))
    assert sent.json() == {"taken": ["new one.jpg"]}
    names = [p["name"] for p in client.get("/api/sheet/pictures").json()["pictures"]]
    assert names == [*(p["name"] for p in before), "new one.jpg"]
    again = client.post("/api/pictures?name=twice.jpg", content=saved(picture()))
    assert again.status_code == 422
    assert "in the job already, as new one.jpg" in again.json()["problem"]
    black = client.post("/api/pictures?name=black.jpg", content=saved(picture() // 16))
    assert black.json()["problem"] == "The picture black.jpg is black or nearly so."
    client.post("/api/undo")
    after = client.get("/api/sheet/pictures").json()["pictures"]
    assert [p["name"] for p in after] == [p["name"] for p in before]
