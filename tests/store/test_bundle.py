"""A job leaves as a readable folder and comes back the same; copies and backups are told apart."""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest

from buckwright.errors import FileError, NewerFileError
from buckwright.model.job import Job, Products, step_digests
from buckwright.model.people import FitAnswer
from buckwright.model.pictures import PictureSource
from buckwright.store import JobFile, back_up, export_job, import_job, other_copies


@pytest.fixture
def file(tmp_path: Path) -> JobFile:
    """A job with two photographs of one name, a history and one answer."""
    file = JobFile.create(tmp_path / "wren.buck", Job(name="Wren"))
    pictures = tuple(
        PictureSource(name="front.jpg", sha256=file.add_blob(data), size=(4, 3))
        for data in (b"first", b"second")
    )
    job = Job(name="Wren", pictures=pictures)
    file.change("take in two pictures", job)
    answer = FitAnswer(fits=True, heights=(), random_pair=0.9, widen_by=0.0)
    file.keep_products(Products(people=answer), {"people": step_digests(job)["people"]})
    return file


def everything(file: JobFile) -> tuple[object, ...]:
    job = file.job()
    return (
        job.model_dump_json(),
        file.log_rows(),
        file.product_rows(),
        [file.picture_bytes(p.sha256) for p in job.pictures],
        file.identity(),
        file.step_states(),
    )


def test_export_then_import_gives_the_same_job(tmp_path: Path, file: JobFile) -> None:
    export_job(file, tmp_path / "out")
    names = sorted(p.name for p in (tmp_path / "out" / "pictures").iterdir())
    assert len(names) == 2
    assert "front.jpg" in names
    with import_job(tmp_path / "out", tmp_path / "again.buck") as again:
        assert everything(again) == everything(file)
        assert again.undo() == "take in two pictures"


def test_an_export_goes_into_an_empty_folder_only(tmp_path: Path, file: JobFile) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("keep me")
    with pytest.raises(FileError, match="not empty"):
        export_job(file, tmp_path / "out")
    assert (tmp_path / "out" / "mine.txt").read_text() == "keep me"


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("job.json", "{", "not readable JSON"),
        ("job.json", "[]", "not the head"),
        ("job.json", '{"format": 1, "job": {"name": 3}}', "'name'"),
        ("history.json", "[[1, 2]]", "damaged|not as exported"),
        ("products/people.json", "{}", "not as exported"),
        ("pictures/front.jpg", "tampered", "not the one that was exported"),
    ],
)
def test_a_spoilt_export_is_refused_and_leaves_no_file(
    tmp_path: Path, file: JobFile, name: str, content: str, said: str
) -> None:
    export_job(file, tmp_path / "out")
    (tmp_path / "out" / name).write_text(content)
    with pytest.raises(FileError, match=said):
        import_job(tmp_path / "out", tmp_path / "again.buck")
    assert not list(tmp_path.glob("again*"))


def test_an_export_of_a_later_version_is_refused(tmp_path: Path, file: JobFile) -> None:
    export_job(file, tmp_path / "out")
    head = json.loads((tmp_path / "out" / "job.json").read_text())
    (tmp_path / "out" / "job.json").write_text(json.dumps({**head, "format": 2}))
    with pytest.raises(NewerFileError):
        import_job(tmp_path / "out", tmp_path / "again.buck")


def test_a_missing_photograph_is_named(tmp_path: Path, file: JobFile) -> None:
    export_job(file, tmp_path / "out")
    (tmp_path / "out" / "pictures" / "front.jpg").unlink()
    with pytest.raises(FileError, match=r"front\.jpg is missing"):
        import_job(tmp_path / "out", tmp_path / "again.buck")


def test_backups_are_dated_and_the_newest_five_are_kept(tmp_path: Path, file: JobFile) -> None:
    for day in range(1, 8):
        copy = back_up(file, today=date(2026, 5, day))
    kept = sorted(p.name for p in copy.parent.iterdir())
    assert kept == [f"wren 2026-05-0{day}.buck" for day in range(3, 8)]
    with JobFile.open(copy) as again:
        assert everything(again) == everything(file)


def test_a_second_copy_in_the_folder_is_found_and_strangers_are_not(
    tmp_path: Path, file: JobFile
) -> None:
    file.close()
    shutil.copy(file.path, tmp_path / "wren (conflicted copy).buck")
    JobFile.create(tmp_path / "lark.buck", Job(name="Lark")).close()
    (tmp_path / "noise.buck").write_text("noise" * 1000)
    with JobFile.open(file.path) as again:
        assert [p.name for p in other_copies(again)] == ["wren (conflicted copy).buck"]
