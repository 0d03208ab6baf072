"""The command `lines`: fairness in a list, and what a line is told to keep."""

import json
from pathlib import Path

import pytest

from buckwright.cli import main
from buckwright.store import JobFile
from web.small_cab_job import make_cab_file


@pytest.fixture(scope="module")
def cab(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("cab") / "cab.buck"
    make_cab_file(path)
    return path


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict:
    assert main([*arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_every_line_is_listed_with_length_peaks_deviation_and_tolerance(
    cab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = {row["name"]: row for row in told(capsys, "lines", str(cab))["lines"]}
    assert {"belt left", "belt right", "roof centre"} <= rows.keys()
    belt = rows["belt left"]
    assert 2300.0 < belt["length"] < 2400.0
    assert 0.0 < belt["deviation"] <= belt["tolerance"]
    assert belt["beyond"] == 0.0
    assert belt["keeps"] == []
    assert main(["lines", str(cab), "--line", "belt left"]) == 0
    printed = capsys.readouterr().out
    assert "curvature peaks" in printed
    assert "roof centre" not in printed


def test_what_a_line_keeps_is_said_worked_out_and_taken_back(
    cab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    line = ["lines", str(cab), "--line", "belt right"]
    found = told(
        capsys, *line, "--straight", "20", "40 %", "--corner", "70", "--tolerance", "9 mm",
        "--first", "1,0,0", "--weight", "80", "90", "0.1",
    )  # fmt: skip
    assert found["done"][0] == "'belt right' is straight from 20 % to 40 %"
    (row,) = found["lines"]
    assert row["tolerance"] == 9.0
    assert row["keeps"] == [
        "straight 1: 20 to 40 %",
        "corner 1: 70 %",
        "first end along 1, 0, 0",
        "weight 1: 80 to 90 % count 0.1 times",
        "tolerance typed: 9 mm",
    ]
    with JobFile.open(cab) as file:
        assert file.step_states()["lines"] == "done"
        reference = file.products(("lines",)).lines
        assert reference is not None
        assert len(reference.reference.line("belt left").corners) == 1
    mirrored = ["lines", str(cab), "--line", "belt left"]
    (row,) = told(capsys, *mirrored, "--drop", "corner", "1", "--first", "free")["lines"]
    assert row["keeps"][1] == "weight 1: 80 to 90 % count 0.1 times"
    with JobFile.open(cab) as file:
        while file.undo() is not None:
            pass
        assert file.job().holds == ()


def test_a_pin_is_set_and_dropped_from_the_command_line(
    cab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    line = ["lines", str(cab), "--line", "roof centre"]
    (row,) = told(capsys, *line, "--pin", "40", "-", "-", "1590")["lines"]
    assert row["pins"] == 1
    (row,) = told(capsys, *line, "--drop", "pin", "1")["lines"]
    assert row["pins"] == 0


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--corner", "40"], "which line"),
        (["--line", "nobody", "--corner", "40"], "no line 'nobody'"),
        (["--line", "nobody"], "no line 'nobody'"),
        (["--line", "belt left", "--corner", "forty"], "not a place"),
        (["--line", "belt left", "--corner", "0.1"], "at its end"),
        (["--line", "belt left", "--corner", "nan"], "beyond its ends"),
        (["--line", "belt left", "--straight", "40", "140"], "beyond its ends"),
        (["--line", "belt left", "--tolerance", "0"], "no room to be fair"),
        (["--line", "belt left", "--first", "1,0"], "three numbers"),
        (["--line", "belt left", "--first", "0,0,0"], "without length"),
        (["--line", "belt left", "--first", "on:nobody"], "no line 'nobody'"),
        (["--line", "belt left", "--drop", "corner", "3"], "no corner of that number"),
        (["--line", "belt left", "--drop", "hope", "1"], "keeps no 'hope'"),
        (["--line", "belt left", "--pin", "40", "a", "b", "c"], "not a pin"),
    ],
)
def test_nonsense_is_refused_with_a_sentence_and_changes_nothing(
    cab: Path, capsys: pytest.CaptureFixture[str], arguments: list, words: str
) -> None:
    with JobFile.open(cab) as file:
        before = file.job().model_dump_json()
    assert main(["lines", str(cab), *arguments]) == 1
    assert words in capsys.readouterr().err
    with JobFile.open(cab) as file:
        assert file.job().model_dump_json() == before
