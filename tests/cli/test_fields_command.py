"""`buckwright fields`: what is said, kept and taken."""

import json

import pytest

from buckwright.cli import main
from buckwright.model.job import Job
from buckwright.store import JobFile
from web.field_job import plate_job


@pytest.fixture(name="path")
def _path(tmp_path):
    path = tmp_path / "plate.buck"
    plate_job(path)
    return path


def test_fields_are_told_with_why_and_nothing_is_changed(path, capsys) -> None:
    assert main(["fields", str(path)]) == 0
    said = capsys.readouterr().out
    assert "1 region, 1 open field" in said
    assert "on it: across, along" in said
    assert "speck: 'speck' is 2.0 mm long: it bounds nothing." in said
    with JobFile.open(path) as file:
        assert file.history() == ()


def test_corrections_are_kept_and_the_regions_taken_and_undone(path, capsys) -> None:
    typed = ["fields", str(path), "--leave-out", "speck", "--part", "across"]
    assert main([*typed, "--name", "along", "near panel", "--take", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["taken"] is True
    assert told["findings"] == []
    assert [f["spec"]["name"] for f in told["regions"] if f["metal"]] == ["near panel", "along"]
    with JobFile.open(path) as file:
        assert {spec.name for spec in file.job().regions} == {"near panel", "along"}
        assert [choice.what for choice in file.job().fields] == ["leave out", "part", "name"]
        file.undo()
        assert file.job().regions == ()
    assert main(["fields", str(path), "--anew", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [finding["place"] for finding in told["findings"]] == [[700.0, 100.0, 0.0]]


def test_two_are_joined_one_is_opened_and_filled(path, capsys) -> None:
    assert main(["fields", str(path), "--part", "across", "--open", "along"]) == 0
    capsys.readouterr()
    with JobFile.open(path) as file:
        assert [choice.what for choice in file.job().fields] == ["part", "open"]
    assert main(["fields", str(path), "--anew", "--part", "across", "--json"]) == 0
    names = [
        f["spec"]["name"] for f in json.loads(capsys.readouterr().out)["regions"] if f["metal"]
    ]
    assert main(["fields", str(path), "--join", *names, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert sum(f["metal"] for f in told["regions"]) == 1


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["--part", "moon"], "There is no line 'moon'"),
        (["--open", "moon"], "Nothing here is called 'moon'"),
        (["--leave-out", "across", "--join", "along", "moon"], "Nothing here is called 'moon'"),
    ],
)
def test_what_is_not_there_is_refused_with_one_sentence(path, capsys, typed, said) -> None:
    assert main(["fields", str(path), *typed]) == 1
    assert said in capsys.readouterr().err


def test_a_job_without_lines_says_what_to_do(tmp_path, capsys) -> None:
    path = tmp_path / "bare.buck"
    JobFile.create(path, Job(name="bare")).close()
    assert main(["fields", str(path)]) == 1
    assert "buckwright solve" in capsys.readouterr().err
