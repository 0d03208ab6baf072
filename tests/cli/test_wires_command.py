"""The command `wires`, and the packet for a change alone."""

import csv
import json

import numpy as np
import pytest

from buckwright.cli import main
from buckwright.store import JobFile
from web.invented import make_job_file


@pytest.fixture(scope="module")
def worked_out(tmp_path_factory):
    path = tmp_path_factory.mktemp("wires") / "plover.buck"
    make_job_file(path)
    return path


@pytest.fixture
def job(worked_out, tmp_path):
    path = tmp_path / "plover.buck"
    path.write_bytes(worked_out.read_bytes())
    return path


def run(capsys, *arguments):
    code = main([str(argument) for argument in arguments])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_wires_are_listed_with_what_to_cut_and_whether_they_stand(capsys, job):
    code, out, _ = run(capsys, "wires", job)
    lines = out.splitlines()
    assert code == 0
    assert lines[0].startswith("Plover, revision A: 10 wires")
    row = next(line for line in lines if line.split()[0] == "W2")
    assert "3465.9 mm" in row
    assert row.endswith("to make")


def test_wires_are_marked_as_built_by_name_by_stage_and_all_and_undo_takes_it_back(capsys, job):
    run(capsys, "wires", job, "--built", "W1, W2", "--day", "2026-03-14")
    _, out, _ = run(capsys, "wires", job, "--built", "stage 2", "--json")
    told = json.loads(out)
    assert [one["name"] for one in told["built"]] == ["W1", "W2", "W8", "W9"]
    assert told["built"][0]["day"] == "2026-03-14"
    assert "W1" not in told["to_make"]
    _, out, _ = run(capsys, "undo", job)
    assert out.strip() == "Taken back: 2 wires built"
    run(capsys, "wires", job, "--not-built", "W1")
    with JobFile.open(job) as file:
        assert [one.name for one in file.job().built] == ["W2"]
    run(capsys, "wires", job, "--built", "all")
    with JobFile.open(job) as file:
        assert len(file.job().built) == 10


@pytest.mark.parametrize(
    ("arguments", "problem"),
    [
        (["--built", "nobody's"], "The buck has no wire 'nobody's'."),
        (["--built", "stage 7"], "'stage 7' names no wire."),
        (["--built", "W1", "--day", "tomorrow"], "'tomorrow' is no day."),
        (["--not-built", "W1"], "No wire 'W1' stands."),
    ],
)
def test_what_cannot_be_marked_is_refused_and_nothing_changes(capsys, job, arguments, problem):
    code, _, err = run(capsys, "wires", job, *arguments)
    assert code == 1
    assert problem in err
    with JobFile.open(job) as file:
        assert file.job().built == ()


def test_a_change_is_told_wire_by_wire(capsys, job):
    _, out, _ = run(capsys, "wires", job, "--changes")
    assert "Nothing is marked as built yet" in out
    run(capsys, "wires", job, "--built", "W1, W2")
    with JobFile.open(job) as file:
        built = file.job().built
        low = built[0].model_copy(update={"axis": built[0].axis - np.array([0.0, 0.0, 20.0])})
        file.change("lower", file.job().model_copy(update={"built": (low, built[1])}))
    _, out, _ = run(capsys, "wires", job, "--changes")
    assert out.splitlines()[0] == "Plover, revision A: 1 of 10 wires are still right"
    first = next(line for line in out.splitlines() if line.strip().startswith("W1:"))
    assert "move" in first
    assert "20.0 mm up" in first
    assert "W2:" not in out


def test_a_job_without_a_buck_says_what_to_do(capsys, tmp_path):
    path = tmp_path / "fresh.buck"
    make_job_file(path, worked_out=False)
    code, _, err = run(capsys, "wires", path)
    assert code == 1
    assert "buckwright solve" in err


def test_the_packet_of_a_stage_has_its_own_cut_list(capsys, job, tmp_path):
    folder = tmp_path / "change"
    code, out, err = run(capsys, "packet", job, folder, "--changes", "--stage", "2")
    assert code == 0, err
    assert "Begin with cover.pdf" in out
    with (folder / "tables" / "cut-list.csv").open(newline="") as file:
        pieces = {row["piece"] for row in csv.DictReader(file)}
    assert pieces == {"W8", "W9"}
    assert {path.name for path in (folder / "svg").iterdir()} == {"wire-w8.svg", "wire-w9.svg"}


def test_the_packet_of_a_change_is_refused_where_there_is_none_or_the_buck_is_old(
    capsys, job, tmp_path
):
    code, _, err = run(capsys, "packet", job, tmp_path / "a", "--changes", "--stage", "5")
    assert (code, "No wire of stage 5" in err) == (1, True)
    code, _, err = run(capsys, "packet", job, tmp_path / "b", "--stage", "2")
    assert (code, "Give --changes too" in err) == (1, True)
    run(capsys, "wires", job, "--built", "W1")
    code, _, err = run(capsys, "packet", job, tmp_path / "c", "--changes")
    assert (code, "Work it out again first" in err) == (1, True)
