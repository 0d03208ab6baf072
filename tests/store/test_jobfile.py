"""The job file keeps what was committed, takes back what was undone, and says what is wrong."""

import os
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buckwright.errors import FileError, NewerFileError
from buckwright.model.job import Job, Products, step_digests
from buckwright.model.lines import Departure
from buckwright.model.people import FitAnswer
from buckwright.model.pictures import Trace
from buckwright.store import JobFile


def departure(by: float) -> Departure:
    return Departure(name="longer", reason="load", axis="x", start=0.0, end=100.0, by=by)


def same(a: Job, b: Job) -> bool:
    return a.model_dump_json() == b.model_dump_json()


def a_job() -> Job:
    traces = tuple(
        Trace(line=f"line {k}", picture="a.jpg", px=[[k, 1.25], [2.5, k]]) for k in range(3)
    )
    return Job(name="Wren", scale=8.0, traces=traces, departures=(departure(60.0),))


def test_a_job_comes_back_as_it_was_kept(tmp_path: Path) -> None:
    with JobFile.create(tmp_path / "wren.buck", a_job()):
        pass
    with JobFile.open(tmp_path / "wren.buck") as file:
        assert same(file.job(), a_job())
    assert [p.name for p in tmp_path.iterdir()] == ["wren.buck"], "no log is left beside it"


def test_an_edit_writes_only_the_rows_that_changed(tmp_path: Path) -> None:
    with JobFile.create(tmp_path / "wren.buck", a_job()) as file:
        job = a_job()
        traces = (*job.traces[:1], Trace(line="line 1", picture="b.jpg", px=[[0, 0], [9, 9]]))
        file.change("trace again", job.model_copy(update={"traces": traces}))
        rows = sqlite3.connect(file.path).execute("SELECT forward FROM operation").fetchone()[0]
        assert '"traces", 1' in rows
        assert '"traces", 2, null' in rows
        assert '"traces", 0' not in rows


def test_an_edit_that_changes_nothing_is_not_logged(tmp_path: Path) -> None:
    with JobFile.create(tmp_path / "wren.buck", a_job()) as file:
        assert file.change("nothing", a_job()) == 0
        assert file.history() == ()


def test_undo_and_redo_survive_a_restart(tmp_path: Path) -> None:
    wider = a_job().model_copy(update={"departures": (departure(90.0), departure(10.0))})
    with JobFile.create(tmp_path / "wren.buck", a_job()) as file:
        file.change("longer still", wider, who="Ida")
    with JobFile.open(tmp_path / "wren.buck") as file:
        assert file.undo(who="Ben") == "longer still"
        assert same(file.job(), a_job())
    with JobFile.open(tmp_path / "wren.buck") as file:
        assert file.redo() == "longer still"
        assert same(file.job(), wider)
        assert file.redo() is None
        assert [(o.kind, o.who) for o in file.history()] == [
            ("edit", "Ida"),
            ("undo", "Ben"),
            ("redo", ""),
        ]


@settings(max_examples=25, deadline=None)
@given(st.lists(st.sampled_from(["edit", "undo", "redo"]), max_size=14))
def test_undo_and_redo_follow_the_textbook_pair_of_stacks(
    tmp_path_factory: pytest.TempPathFactory, moves: list[str]
) -> None:
    past: list[str] = ["A"]
    future: list[str] = []
    path = tmp_path_factory.mktemp("undo") / "wren.buck"
    with JobFile.create(path, Job(name="Wren", revision="A")) as file:
        for number, move in enumerate(moves):
            if move == "edit":
                past.append(f"R{number}")
                future.clear()
                file.change(move, Job(name="Wren", revision=past[-1]))
            elif move == "undo":
                assert (file.undo() is None) == (len(past) == 1)
                if len(past) > 1:
                    future.append(past.pop())
            else:
                assert (file.redo() is None) == (not future)
                if future:
                    past.append(future.pop())
            assert file.job().revision == past[-1]


def test_two_windows_on_one_file_see_one_history(tmp_path: Path) -> None:
    with (
        JobFile.create(tmp_path / "wren.buck", a_job()) as one,
        JobFile.open(tmp_path / "wren.buck") as two,
    ):
        one.change("rename", a_job().model_copy(update={"name": "Wren II"}))
        assert two.job().name == "Wren II"
        assert two.undo() == "rename"
        assert one.job().name == "Wren"


def test_answers_turn_stale_when_what_they_rest_on_changes(tmp_path: Path) -> None:
    answer = FitAnswer(fits=True, heights=(), random_pair=0.9, widen_by=0.0)
    with JobFile.create(tmp_path / "wren.buck", a_job()) as file:
        assert set(file.step_states().values()) == {"not done"}
        digests = step_digests(file.job())
        file.keep_products(Products(people=answer), {"people": digests["people"]})
        assert file.step_states()["people"] == "done"
        assert file.products().people is not None
        file.change("longer", a_job().model_copy(update={"departures": (departure(61.0),)}))
        assert file.step_states()["people"] == "stale"
        file.undo()
        assert file.step_states()["people"] == "done"


def test_a_change_of_the_crew_leaves_the_skin_alone() -> None:
    job = a_job()
    other = job.model_copy(update={"check_tolerance": 2.0})
    before, after = step_digests(job), step_digests(other)
    changed = {step for step in before if before[step] != after[step]}
    assert changed == {"checking", "plan", "drawings"}


WRITER = """
import sys
from pathlib import Path
from buckwright.model.job import Job
from buckwright.store import JobFile
with JobFile.open(Path(sys.argv[1])) as file:
    for number in range(10**6):
        file.change("edit", Job(name="Wren", revision=f"R{number}" + "x" * 20000))
        print(number, flush=True)
"""


@pytest.mark.slow
def test_killing_the_program_at_any_moment_loses_nothing_that_was_answered(tmp_path: Path) -> None:
    path = tmp_path / "wren.buck"
    JobFile.create(path, Job(name="Wren", revision="start")).close()
    for attempt in range(8):
        writer = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, text=True
        )
        assert writer.stdout is not None
        answered = writer.stdout.readline()
        time.sleep(0.013 * attempt)
        os.kill(writer.pid, signal.SIGKILL)
        answered += writer.stdout.read()
        writer.wait()
        writer.stdout.close()
        last = int(answered.split()[-1])
        with JobFile.open(path) as file:
            kept = int(file.job().revision.removeprefix("R").rstrip("x"))
            assert kept in (last, last + 1)
            assert file.undo() == "edit"
            file.redo()


FULL = """
import resource, signal, sys
from pathlib import Path
from buckwright.errors import FileError
from buckwright.model.job import Job
from buckwright.store import JobFile
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
with JobFile.open(Path(sys.argv[1])) as file:
    resource.setrlimit(resource.RLIMIT_FSIZE, (150_000, 150_000))
    try:
        file.change("too much", Job(name="Wren", revision="R" * 400_000))
    except FileError as error:
        print(error)
"""


def test_a_full_disk_is_one_sentence_and_loses_nothing(tmp_path: Path) -> None:
    path = tmp_path / "wren.buck"
    JobFile.create(path, a_job()).close()
    said = subprocess.run(
        [sys.executable, "-c", FULL, str(path)], capture_output=True, text=True, check=True
    ).stdout
    assert said.startswith("The disk is full or refuses to write, so wren.buck was not changed.")
    with JobFile.open(path) as file:
        assert same(file.job(), a_job())


def test_a_file_of_a_later_version_is_refused_and_not_touched(tmp_path: Path) -> None:
    path = tmp_path / "wren.buck"
    JobFile.create(path, a_job()).close()
    with sqlite3.connect(path) as db:
        db.execute("PRAGMA user_version = 99")
    db.close()
    before = path.read_bytes()
    with pytest.raises(NewerFileError, match="later version of buckwright"):
        JobFile.open(path)
    assert path.read_bytes() == before


def test_other_databases_text_and_damage_are_refused(tmp_path: Path) -> None:
    other = tmp_path / "other.buck"
    with sqlite3.connect(other) as db:
        db.execute("CREATE TABLE bird (name TEXT)")
    db.close()
    with pytest.raises(FileError, match="not a job"):
        JobFile.open(other)
    text = tmp_path / "text.buck"
    text.write_text("not a database at all" * 100)
    with pytest.raises(FileError, match="damaged or is not a job"):
        JobFile.open(text)
    with pytest.raises(FileError, match="There is no job"):
        JobFile.open(tmp_path / "none.buck")


def test_a_name_that_is_taken_is_refused(tmp_path: Path) -> None:
    JobFile.create(tmp_path / "wren.buck", a_job()).close()
    with pytest.raises(FileError, match="exists already"):
        JobFile.create(tmp_path / "wren.buck", a_job())


def test_an_unreadable_fact_is_named(tmp_path: Path) -> None:
    path = tmp_path / "wren.buck"
    JobFile.create(path, a_job()).close()
    with sqlite3.connect(path) as db:
        db.execute("UPDATE fact SET json = '\"wide\"' WHERE field = 'scale'")
    db.close()
    with JobFile.open(path) as file, pytest.raises(FileError, match="scale"):
        file.job()
