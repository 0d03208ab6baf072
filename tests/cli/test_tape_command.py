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


def test_tapes_are_kept_held_against_the_lines_and_used_for_the_scale(
    cab: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Everything is one per cent larger than the lines: the wheelbase of the cab is 1500 mm.
    rims = ["--between", "front rim: centre", "rear rim: centre"]
    assert main(["tape", str(cab), "--over", "wheelbase", "--size", "1515 mm"]) == 0
    assert main(["tape", str(cab), *rims, "--size", "1515 mm", "--name", "rims"]) == 0
    sills = ["--between", "sill left: front", "sill right: front"]
    assert main(["tape", str(cab), *sills, "--size", "1.212 m", "--sigma", "2 mm"]) == 0
    capsys.readouterr()
    assert main(["tape", str(cab), "--along", "roof centre", "--size", "1 m", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["rows"][0]["name"] == "along roof centre"
    assert [row["outlier"] for row in told["rows"]] == [True, False, False, False]
    assert [one["code"] for one in told["findings"]] == ["scale-off", "tape-off"]
    assert main(["tape", str(cab), "--drop", "along roof centre"]) == 0
    assert main(["tape", str(cab), "--use-for-scale"]) == 0
    assert "1.00" in capsys.readouterr().out
    with JobFile.open(cab) as file:
        scale = file.job().tape_scale
        assert scale is not None
        assert scale.factor == pytest.approx(1.01, abs=2e-3)
        assert len(scale.tapes) == 3
        assert file.step_states()["lines"] == "stale"
    assert main(["tape", str(cab), "--drop", "rims"]) == 1
    assert "rests on" in capsys.readouterr().err
    assert main(["tape", str(cab), "--no-scale"]) == 0
    with JobFile.open(cab) as file:
        assert file.job().tape_scale is None
        assert file.step_states()["lines"] == "done"
        assert file.undo() == "the scale from tapes given up"


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (["--size", "1 m"], "one way"),
        (["--over", "width"], "one way"),
        (["--over", "width", "--size", "1,500"], "1,500"),
        (["--over", "width", "--size", "wide"], "wide"),
        (["--between", "belt", ":", "--size", "1 m"], "says no place"),
        (["--drop", "none"], "no tape 'none'"),
        (["--use-for-scale", "none"], "no tape 'none'"),
        (["--use-for-scale"], "No tape is trusted"),
    ],
)
def test_what_is_no_tape_is_refused_in_one_sentence(
    cab: Path, asked: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["tape", str(cab), *asked]) == 1
    assert said in capsys.readouterr().err
    with JobFile.open(cab) as file:
        assert file.job().tapes == ()
