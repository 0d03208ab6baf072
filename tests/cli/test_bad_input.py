"""Bad input: one clear sentence each, exit code 1, nothing lost."""

import json
import shutil
import sqlite3
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest

from buckwright.model.job import Job
from buckwright.store import JobFile

WREN = Path(__file__).parents[2] / "examples" / "wren"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three pictures of the example with all their traces."""
    folder = tmp_path / "few"
    (folder / "pictures").mkdir(parents=True)
    for path in sorted((WREN / "pictures").glob("*.jpg"))[:3]:
        shutil.copy(path, folder / "pictures")
    for name in ("job.json", "mat.json", "traces.json"):
        shutil.copy(WREN / name, folder)
    return folder


def kept_traces(folder: Path, keep: Any) -> None:
    content = json.loads((folder / "traces.json").read_text())
    names = {path.name for path in (folder / "pictures").iterdir()}
    content["traces"] = {
        line: kept
        for line, traces in content["traces"].items()
        if (kept := [t for t in traces if t["picture"] in names and keep(line, t)])
    }
    (folder / "traces.json").write_text(json.dumps(content))


def one_sentence(run: Any, *words: str) -> None:
    assert run.code == 1, run.out + run.err
    assert "Traceback" not in run.err
    last = run.err.strip().splitlines()[-1]
    for word in words:
        assert word in last


def test_a_picture_without_the_mat(folder: Path, command: Any, tmp_path: Path) -> None:
    # Beside others it would only be left out and told; beside one there is nothing to solve.
    for path in sorted((folder / "pictures").iterdir())[1:]:
        path.unlink()
    grey = np.full((1200, 1600), 128, np.uint8)
    cv2.circle(grey, (800, 600), 300, 30, -1)
    cv2.imwrite(str(folder / "pictures" / "plain.jpg"), grey)
    job = tmp_path / "wren.buck"
    assert command("new", job, "--from", folder).code == 0
    before = command("history", job, "--json").json
    one_sentence(command("solve", job), "plain.jpg", "mat")
    assert command("history", job, "--json").json == before


def test_a_truncated_jpeg(folder: Path, command: Any, tmp_path: Path) -> None:
    path = min((folder / "pictures").iterdir())
    path.write_bytes(path.read_bytes()[:200_000])
    one_sentence(command("new", tmp_path / "wren.buck", "--from", folder), path.name)
    assert not (tmp_path / "wren.buck").exists()


def test_a_trace_on_one_picture_only(folder: Path, command: Any, tmp_path: Path) -> None:
    once = min(path.name for path in (folder / "pictures").iterdir())
    kept_traces(folder, lambda line, trace: line == "belt right" and trace["picture"] == once)
    job = tmp_path / "wren.buck"
    assert command("new", job, "--from", folder).code == 0
    before = command("history", job, "--json").json
    one_sentence(command("solve", job), "belt right", "one solved picture only")
    assert command("history", job, "--json").json == before


def test_a_job_from_the_future(command: Any, tmp_path: Path) -> None:
    path = tmp_path / "wren.buck"
    JobFile.create(path, Job(name="Wren")).close()
    with sqlite3.connect(path) as db:
        db.execute("PRAGMA user_version = 99")
    db.close()
    before = path.read_bytes()
    for name in ("solve", "history", "undo"):
        one_sentence(command(name, path), "later version of buckwright")
    assert path.read_bytes() == before


@pytest.mark.parametrize("name", ["solve", "history", "undo", "redo"])
def test_a_job_that_is_not_there(command: Any, tmp_path: Path, name: str) -> None:
    one_sentence(command(name, tmp_path / "none.buck"), "There is no job")


def test_a_folder_without_a_job(command: Any, tmp_path: Path) -> None:
    one_sentence(command("new", tmp_path / "wren.buck", "--from", tmp_path), "job.json")


def test_a_job_with_a_fact_of_the_wrong_kind(command: Any, folder: Path, tmp_path: Path) -> None:
    content = json.loads((folder / "job.json").read_text())
    (folder / "job.json").write_text(json.dumps({**content, "scale": "eight"}))
    one_sentence(command("new", tmp_path / "wren.buck", "--from", folder), "'scale'")


def test_a_mistyped_command_is_a_usage_error(command: Any) -> None:
    assert command("solv").code == 2
    assert command("--version").out.startswith("buckwright ")


def test_a_name_that_is_taken_is_refused(command: Any, tmp_path: Path) -> None:
    job = tmp_path / "wren.buck"
    assert command("new", job, "--name", "Wren").out.startswith(f"{job} is ready.")
    one_sentence(command("new", job), "exists already")


def test_nothing_to_undo_is_said(command: Any, tmp_path: Path) -> None:
    job = tmp_path / "wren.buck"
    command("new", job)
    assert command("undo", job).out == "Nothing to take back.\n"
    assert command("redo", job).out == "Nothing to make again.\n"
    assert command("history", job).out == "No edits yet.\n"
