import json
from pathlib import Path

import pytest

from buckwright.cli import main
from buckwright.model.job import Job
from buckwright.store import JobFile, export_job, import_job
from tables_on_paper import as_csv, wigley_rows


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    path = tmp_path / "form.buck"
    with JobFile.create(path, Job(name="Form")):
        pass
    return path


def test_a_table_becomes_the_lines_and_travels_with_the_job(
    job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "form.csv"
    path.write_bytes(as_csv(wigley_rows(), "line,station,half_breadth,height", 25.4))
    assert main(["table", str(job_file), str(path), "--unit", "in", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert len(told["lines"]) == 11
    assert told["findings"] == []
    assert main(["solve", str(job_file)]) == 0
    assert "11 fair" in capsys.readouterr().out
    with JobFile.open(job_file) as file:
        lines = file.products(("lines",)).lines
        assert lines is not None
        assert [one.code for one in lines.placement.findings] == ["no-wheelbase"]
        export_job(file, tmp_path / "out")
    with import_job(tmp_path / "out", tmp_path / "again.buck") as again:
        (table,) = again.job().tables
        assert again.picture_bytes(table.sha256) == path.read_bytes()
    # Inches taken for millimetres, now that lines of that name are there.
    assert main(["table", str(job_file), str(path), "--unit", "mm"]) == 1
    assert "seem to be in inches" in capsys.readouterr().err
    assert main(["table", str(job_file)]) == 0
    assert "form.csv: 11 lines, good to 1 mm" in capsys.readouterr().out
    assert main(["table", str(job_file), "--drop", "form.csv"]) == 0
    with JobFile.open(job_file) as file:
        assert file.job().tables == ()
        assert file.undo() == "table 'form.csv' left out"


def test_one_that_is_no_table_leaves_the_job_as_it_was(
    job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    short = tmp_path / "short.csv"
    short.write_text("line,x_mm,y_mm,z_mm\nbelt,1,2,3\n")
    for path, said in ((tmp_path / "none.csv", "cannot be read"), (short, "gives no line")):
        assert main(["table", str(job_file), str(path)]) == 1
        assert said in capsys.readouterr().err
    assert main(["table", str(job_file), "--drop", "other"]) == 1
    assert "There is no table 'other'" in capsys.readouterr().err
    with JobFile.open(job_file) as file:
        assert file.job().tables == ()
