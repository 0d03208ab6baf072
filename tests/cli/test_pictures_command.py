"""Printing mats, checking a shoot and taking it in, by the command line."""

import json

import pypdf
import pytest

from buckwright.cli import main
from buckwright.files.mats import read_mat
from buckwright.model.job import Job
from buckwright.model.mats import printed_mat
from buckwright.store import JobFile
from mat_pictures import MAT, picture, saved, shoot


def test_a_mat_is_printed_with_its_description(tmp_path, capsys):
    assert main(["mat", str(tmp_path / "cards.pdf"), "--kind", "cards", "--count", "3"]) == 0
    assert len(pypdf.PdfReader(tmp_path / "cards.pdf").pages) == 3
    assert read_mat(tmp_path / "cards.json").model_dump() == printed_mat("cards", 3).model_dump()
    assert "3 boards, on A4" in capsys.readouterr().out


def test_an_svg_and_json_are_told(tmp_path, capsys):
    assert main(["mat", str(tmp_path / "mat.svg"), "--kind", "A4", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["files"] == [str(tmp_path / "mat.svg")]
    assert told["mat"]["squares"] == [13, 9]


@pytest.mark.parametrize("count", ["0", "59"])
def test_a_number_of_cards_that_cannot_be_is_refused(tmp_path, capsys, count):
    args = ["mat", str(tmp_path / "cards.pdf"), "--kind", "cards", "--count", count]
    assert main(args) == 1
    assert f"no {count} boards of cards" in capsys.readouterr().err


@pytest.fixture
def folder(tmp_path):
    """Five good pictures and a black one, with the mat's description beside them."""
    (tmp_path / "shots").mkdir()
    for name, data in [*shoot()[:5], ("black.jpg", saved(picture() // 16))]:
        (tmp_path / "shots" / name).write_bytes(data)
    main(["mat", str(tmp_path / "mat.svg"), "--kind", "A4"])
    return tmp_path


def test_a_shoot_is_checked_and_drawn(folder, capsys):
    plan = folder / "plan.svg"
    args = ["pictures", "check", str(folder / "shots"), "--mat", str(folder / "mat.json")]
    capsys.readouterr()
    assert main([*args, "-o", str(plan), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [source["name"] for source in told["accepted"]] == [f"p{k}.jpg" for k in range(5)]
    assert [refusal["picture"] for refusal in told["refused"]] == ["black.jpg"]
    assert "scale-not-measured" in {finding["code"] for finding in told["findings"]}
    assert told["advice"]["say"].startswith("Photograph next:")
    assert "<svg" in plan.read_text()


def test_pictures_are_taken_into_a_job(tmp_path, capsys):
    JobFile.create(tmp_path / "a.buck", Job(name="A", mat=MAT)).close()
    (tmp_path / "good.jpg").write_bytes(shoot()[0][1])
    (tmp_path / "bad.jpg").write_bytes(b"")
    paths = [str(tmp_path / name) for name in ("good.jpg", "bad.jpg")]
    assert main(["pictures", "add", str(tmp_path / "a.buck"), *paths]) == 0
    said = capsys.readouterr().out
    assert "1 of 2 pictures are in" in said
    assert "bad.jpg is empty" in said
    with JobFile.open(tmp_path / "a.buck") as file:
        assert [source.name for source in file.job().pictures] == ["good.jpg"]
    assert main(["pictures", "add", str(tmp_path / "a.buck"), str(tmp_path / "none.jpg")]) == 1
