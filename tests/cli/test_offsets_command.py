import csv
import io
import json
from pathlib import Path

import pytest

from buckwright.cli import main
from buckwright.store import JobFile
from web.small_cab_job import make_cab_file


@pytest.fixture
def cab(tmp_path: Path) -> Path:
    path = tmp_path / "cab.buck"
    make_cab_file(path)
    return path


def told(capsys: pytest.CaptureFixture[str]) -> str:
    return capsys.readouterr().out


def test_a_table_that_was_changed_is_read_back_and_undone(
    cab: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["offsets", str(cab), "--csv", "--every", "200mm"]) == 0
    text = told(capsys)
    rows = list(csv.reader(io.StringIO(text)))
    assert rows[0] == ["line", "station_mm", "half_breadth_mm", "height_mm"]
    roof = next(k for k, row in enumerate(rows) if row[0] == "roof centre")
    rows[roof][3] = f"{float(rows[roof][3]) + 7.0:.3f}"
    rows.append(["nobody's", "600", "1", "1"])
    path = tmp_path / "changed.csv"
    with path.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out).writerows(rows)
    assert main(["offsets", str(cab), "--read", str(path), "--json"]) == 0
    answer = json.loads(told(capsys))
    assert answer["held"] == 1
    assert answer["rows"] == len(rows) - 1
    assert [one["code"] for one in answer["findings"]] == ["unknown-line"]
    with JobFile.open(cab) as file:
        (pin,) = file.job().pins
        assert pin.line == "roof centre"
        assert pin.reason == "table of offsets changed.csv"
        assert file.undo() == "1 figures of the table of offsets held"


def test_offsets_are_printed_for_people_and_in_inches(
    cab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["offsets", str(cab)]) == 0
    assert "half-breadth" in told(capsys)
    assert main(["offsets", str(cab), "--csv", "--unit", "in"]) == 0
    assert told(capsys).startswith("line,station_in,half_breadth_in,height_in")


def test_stations_that_make_no_table_are_refused(
    cab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["offsets", str(cab), "--every", "0"]) == 1
    assert "Give 5 mm to 5 m" in capsys.readouterr().err


def test_views_are_told_worst_first_and_as_a_table(
    cab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["views", str(cab)]) == 0
    assert "places are seen in two views" in told(capsys)
    assert main(["views", str(cab), "--csv"]) == 0
    apart = [float(row["apart_mm"]) for row in csv.DictReader(io.StringIO(told(capsys)))]
    assert len(apart) > 10
    assert apart == sorted(apart, reverse=True)
    assert main(["views", str(cab), "--json"]) == 0
    assert len(json.loads(told(capsys))["views"]) == len(apart)
