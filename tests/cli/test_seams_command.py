import json
from pathlib import Path

import pytest

from buckwright.cli import main
from buckwright.model.job import Job, Products, step_digests
from buckwright.store import JobFile
from seams_on_paper import SHEET, wing_with_lines


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    path, job = tmp_path / "wing.buck", Job(name="Wing", sheet=SHEET)
    with JobFile.create(path, job) as file:
        skin = Products(skin=wing_with_lines(6))
        file.keep_products(skin, {"skin": step_digests(job)["skin"]})
    return path


@pytest.mark.slow
def test_the_best_seams_become_the_jobs_and_can_be_taken_back(
    job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "seams"
    arguments = ["seams", str(job_file), "front wing", "--pieces", "2", "--workers", "1"]
    assert main([*arguments, "--accept", "best", "--json", "-o", str(out)]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["accepted"] == told["chosen"] == "B"
    assert told["options"][1]["peak"] < 0.7 * told["options"][0]["peak"]
    assert {path.name for path in out.iterdir()} == {"seams.pdf", "seams.svg"}
    with JobFile.open(job_file) as file:
        job = file.job()
        assert [seam.line for seam in job.seams] == ["front wing crown"]
        assert len(job.panels) == 2
        assert file.undo() == "seams of front wing: option B"
        assert file.job().panels == ()


def test_a_job_without_skin_or_sheet_and_an_unknown_region_are_refused(
    job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["seams", str(job_file), "bonnet", "--workers", "1"]) == 1
    assert "no region 'bonnet'" in capsys.readouterr().err
    bare = tmp_path / "bare.buck"
    JobFile.create(bare, Job(name="Bare")).close()
    assert main(["seams", str(bare), "front wing", "--workers", "1"]) == 1
    assert "no skin yet" in capsys.readouterr().err
    with JobFile.open(job_file) as file:
        file.change("no sheet", file.job().model_copy(update={"sheet": None}))
    assert main(["seams", str(job_file), "front wing", "--workers", "1"]) == 1
    assert "no sheet yet" in capsys.readouterr().err
