import csv
import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from buckwright.cli import main
from buckwright.model.job import Job
from buckwright.store import JobFile
from buckwright.web.edits import EDITS
from buckwright.web.sheets.singleviews import joined_rows, view_rows


@pytest.fixture
def made(tmp_path: Path) -> Path:
    return make_views(tmp_path)


def make_views(tmp_path: Path) -> Path:
    path = tmp_path / "views.buck"
    JobFile.create(path, Job(name="Views")).close()
    shade = np.linspace(40, 220, 1200).astype(np.uint8)
    Image.fromarray(np.tile(shade, (900, 1))).save(tmp_path / "side.png")
    Image.fromarray(np.tile(shade[::-1], (900, 1))).save(tmp_path / "top.png")
    return path


def add_side(path: Path) -> list[str]:
    wheels = ["--wheels", "100,700", "1000,700", "--wheelbase", "2250mm"]
    return [
        *("view", "add", str(path), "side", str(path.parent / "side.png"), "--seen-from", "left"),
        *(*wheels, "--wheel-height", "310mm", "--distance", "10m", "--plane=-700mm"),
    ]


def add_top(path: Path) -> list[str]:
    return [
        *("view", "add", str(path), "plan", str(path.parent / "top.png"), "--seen-from", "top"),
        *("--known", "100,450 0mm 0mm", "--known", "1000,450 2250mm 0mm"),
        *("--distance", "10m", "--plane", "1000mm"),
    ]


def belt(path: Path, view: str, height: float) -> list[str]:
    px = [f"{u},{height}" for u in range(200, 1000, 50)]
    return ["view", "trace", str(path), view, "belt", *px]


def test_a_view_is_added_traced_shown_joined_and_undone(
    made: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(add_side(made)) == 0
    assert "2.50 mm to a pixel, camera 10.00 m before the plane" in capsys.readouterr().out
    assert main([*belt(made, "side", 400.0), "--between=-660mm..-640mm"]) == 0
    assert "belt" in capsys.readouterr().out
    png, table = made.parent / "out.png", made.parent / "out.csv"
    asked = ["view", "show", str(made), "side", "-o", str(png), "--csv", str(table), "--json"]
    assert main(asked) == 0
    told = json.loads(capsys.readouterr().out)
    # r d / (D + d): d = 50 mm behind the plane, D = 10 m.
    curve = told["curves"][0]
    lateral = np.linalg.norm(np.array(curve["points"]) - told["view"]["foot"], axis=1)
    assert curve["parallax"] == pytest.approx(lateral * 50.0 / 10_050.0)
    with Image.open(png) as shown:
        assert shown.size == (1600, 1200)
    rows = list(csv.reader(table.read_text(encoding="utf-8").splitlines()))
    assert rows[0][:4] == ["line", "x_mm", "z_mm", "taken_at_y_mm"]
    assert len(rows) == 17
    assert main(add_top(made)) == 0
    assert main(belt(made, "plan", 710.0)) == 0
    capsys.readouterr()
    assert main(["view", "join", str(made), "--keep"]) == 0
    assert "'belt" not in capsys.readouterr().err
    with JobFile.open(made) as file:
        (kept,) = file.job().tables
        assert [line.name for line in kept.lines] == ["belt"]
        assert [spec.name for spec in file.job().lines] == ["belt"]
        assert file.undo() == "1 lines taken from 2 views"
        assert file.job().tables == ()
        assert joined_rows(file.job())["why"] == ""
        assert [row["name"] for row in view_rows(file.job())] == ["side", "plan"]


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (["--wheels", "1,1", "9,1"], "The wheelbase is missing."),
        (["--length", "1,1", "1,1", "2m"], "in one place"),
        (["--length", "1;1", "9,1", "2m"], "'1;1' is no place in a picture."),
        (["--corners", "1,1 9,9", "--rectangle", "2mx1m"], "no rectangle of four corners"),
        ([], "Nothing puts the view 'odd' to scale."),
    ],
)
def test_what_is_typed_wrongly_is_refused_with_one_sentence(
    made: Path, capsys: pytest.CaptureFixture[str], asked: list[str], words: str
) -> None:
    command = ["view", "add", str(made), "odd", str(made.parent / "side.png")]
    assert main([*command, "--seen-from", "left", *asked]) == 1
    assert words in capsys.readouterr().err
    with JobFile.open(made) as file:
        assert file.job().views == ()


def test_a_hull_needs_placed_pictures(made: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["view", "hull", str(made)]) == 1
    assert "The pictures are not placed yet." in capsys.readouterr().err
    assert main(["view", "drop", str(made), "side"]) == 1
    assert "There is no view 'side'." in capsys.readouterr().err


def test_the_page_squares_a_view_and_traces_a_line(made: Path) -> None:
    assert main(add_side(made)) == 0
    with JobFile.open(made) as file:
        job = file.job()
    typed = {
        "name": "side",
        "picture": "side.png",
        "seen_from": "left",
        "wheels": [[100, 700], [1000, 700]],
        "wheelbase": "1800 mm",
        "wheel_height": "300 mm",
        "distance": "9 m",
    }
    squared, words = EDITS["view square"](job, typed)
    assert words == "view 'side' squared and put to scale"
    assert view_rows(squared)[0]["squared"]["mm_per_px"] == pytest.approx(2.0)
    line = {"name": "side", "picture": "side.png", "line": "roof", "px": [[200, 90], [900, 80]]}
    traced, words = EDITS["view trace"](squared, {**line, "nearest": "-20 mm", "farthest": "0"})
    assert words == "'roof' traced in view 'side'"
    assert view_rows(traced)[0]["curves"][0]["band"] > 0.0
    bare, _ = EDITS["view untrace"](traced, {"name": "side", "line": "roof"})
    assert bare.views[0].traces == ()
    assert EDITS["view out"](bare, {"name": "side"})[0].views == ()
