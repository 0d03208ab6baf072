import csv
import io
import json
from pathlib import Path

import pytest

from buckwright.cli import main
from buckwright.files.tables import dimensions_csv
from buckwright.flow.departures import watched_dimensions
from buckwright.model.lines import DimensionSpec
from buckwright.store import JobFile
from web.small_cab_job import make_cab_file

WATCHED = DimensionSpec(name="roof over the crew", of="height", line="roof centre", at=800.0)


@pytest.fixture
def cab(tmp_path: Path) -> Path:
    path = tmp_path / "cab.buck"
    make_cab_file(path)
    with JobFile.open(path) as file:
        job = file.job()
        file.change("watch the roof", job.model_copy(update={"dimensions": (WATCHED,)}))
    return path


def test_departures_are_listed_with_what_they_add_and_switched(
    cab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["departures", str(cab)]) == 0
    listed = capsys.readouterr().out
    assert "because:" in listed
    assert "wheelbase (L101)" in listed
    assert "roof over the crew" in listed
    with JobFile.open(cab) as file:
        name = file.job().departures[0].name
        by = file.job().departures[0].by
    assert main(["departures", str(cab), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["dimensions"][0]["steps"] == pytest.approx([by])
    assert main(["departures", str(cab), "--off", name, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["dimensions"][0]["steps"] == []
    with JobFile.open(cab) as file:
        assert file.undo() == f"departure '{name}' switched off"


def test_one_that_is_not_there_is_refused_with_those_that_are(
    cab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["departures", str(cab), "--on", "wider"]) == 1
    assert "There is no departure 'wider'" in capsys.readouterr().err


def test_the_table_for_the_packet_has_a_column_for_each_departure(cab: Path) -> None:
    with JobFile.open(cab) as file:
        job, reference = file.job(), file.products(("lines",)).lines
    assert reference is not None
    text = dimensions_csv(watched_dimensions(job, reference), job.departures)
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [row["dimension"] for row in rows][-1] == WATCHED.name
    (departure,) = job.departures
    for row in rows:
        sum_ = float(row["reference_mm"]) + float(row[f"{departure.name}_mm"])
        assert float(row["now_mm"]) == pytest.approx(sum_, abs=0.11)
