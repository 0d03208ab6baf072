"""`buckwright blank MESH`: what it prints, and one sentence for each mesh that it cannot take."""

import json
from pathlib import Path

import numpy as np
import pytest
import trimesh

from discs_on_paper import cap, cylinder, opened, tube, wing
from told import Told

KEYS = [
    "triangles", "area_mm2", "blank_area_mm2", "blank_outline_mm", "work_density",
    "log_strain", "area_change", "flipped", "aim", "aim_words", "grain", "r_value",
    "openings_mm", "verdict", "thickness_mm", "areas", "work", "mass_kg", "findings", "seconds",
]  # fmt: skip


@pytest.fixture
def blank(capsys: pytest.CaptureFixture[str]) -> Told:
    return Told("blank", capsys)


def written(folder: Path, name: str, mesh: tuple[np.ndarray, np.ndarray]) -> Path:
    trimesh.Trimesh(*mesh, process=False).export(folder / name)
    return folder / name


def test_the_json_of_a_dome(blank: Told, tmp_path: Path) -> None:
    dome = written(tmp_path, "dome.stl", cap(24, np.radians(30.0)))
    run = blank(dome, "--alloy", "3003-H14", "--thickness", "1.6mm", "--json")
    assert run.code == 0, run.err
    assert list(run.json) == KEYS
    assert run.json["triangles"] == 6 * 24**2
    assert run.json["flipped"] == 0
    exact = 2.0 * np.pi * 500.0**2 * (1.0 - np.cos(np.radians(30.0)))
    assert run.json["area_mm2"] == pytest.approx(exact, rel=1e-3)
    assert run.json["findings"] == []


def test_people_read_what_to_do_in_words(blank: Told, tmp_path: Path) -> None:
    part = written(tmp_path, "wing.ply", wing(10))
    run = blank(part, "--alloy", "3003-O", "--thickness", "0.050in")
    assert run.code == 0, run.err
    assert "  1. shrink the edge here by " in run.out
    assert "3003-O of 1.27 mm gives at least 23 %" in run.out


def test_a_panel_that_the_sheet_does_not_take_says_what_would(blank: Told, tmp_path: Path) -> None:
    part = written(tmp_path, "dome.stl", cap(24, np.radians(45.0)))
    hard = ("--alloy", "3003-H14", "--thickness", "1.27mm")
    run = blank(part, *hard)
    assert "  1. Anneal before the first blow" in run.out
    assert "  or: 3003-O of 1.27 mm takes it" in run.out
    told = blank(part, *hard, "--json").json
    assert told["verdict"]["others"][0]["step"] == "takes it"
    assert [step["number"] for step in told["work"]] == list(range(1, len(told["work"]) + 1))
    shrunk = [area for area in told["areas"] if area["kind"] == "shrink"]
    assert all(area["mean"] < 0.0 < area["order"] for area in shrunk)
    assert told["thickness_mm"][0] < 1.27 < told["thickness_mm"][1]
    largest = max(abs(area["peak"]) for area in told["areas"])
    assert largest <= max(-told["area_change"]["min"], told["area_change"]["max"]) + 1e-9


def test_the_flat_mesh_keeps_the_order_of_the_triangles(blank: Told, tmp_path: Path) -> None:
    mesh = wing(6)
    run = blank(written(tmp_path, "wing.obj", mesh), "-o", tmp_path / "out", "--json")
    assert run.code == 0, run.err
    flat = trimesh.load_mesh(tmp_path / "out" / "flat.obj", process=False, maintain_order=True)
    assert len(flat.faces) == len(mesh[1]) == run.json["triangles"]
    sides = [
        np.linalg.norm(v[t] - np.roll(v[t], 1, axis=1), axis=2)
        for v, t in ((mesh[0], mesh[1]), (np.asarray(flat.vertices), np.asarray(flat.faces)))
    ]
    assert np.abs(sides[1] / sides[0] - 1.0).max() < 0.12


def test_the_folder_holds_drawings_a_picture_the_grid_and_the_summary(
    blank: Told, tmp_path: Path
) -> None:
    part = written(tmp_path, "dome.stl", cap(12, np.radians(40.0), 300.0))
    arguments = ("--aim", "shrink-only", "--grain", "short", "--square", "40mm")
    run = blank(part, *arguments, "-o", tmp_path / "out", "--json")
    assert run.code == 0, run.err
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        "blank-dome.dxf", "blank-dome.svg", "blank.pdf", "flat.obj", "grid-dome.svg",
        "grid.csv", "paper-dome.svg", "shape-map.png", "strips-dome.dxf",
        "strips-dome.svg", "summary.json",
    ]  # fmt: skip
    told = json.loads((tmp_path / "out" / "summary.json").read_text())
    assert told == run.json
    assert (told["aim"], told["grain"]) == ("shrink-only", "short")
    assert told["log_strain"]["stretch_max"] < 0.002
    picture = (tmp_path / "out" / "shape-map.png").read_bytes()
    assert picture.startswith(b"\x89PNG")
    assert "40.0" in (tmp_path / "out" / "grid.csv").read_text()


def test_a_panel_with_a_window_is_laid_flat(blank: Told, tmp_path: Path) -> None:
    part = written(tmp_path, "door.stl", opened(cap(16, 0.6), (60.0, 0.0, 70.0)))
    run = blank(part, "--json")
    assert run.code == 0, run.err
    assert len(run.json["openings_mm"]) == 1
    assert run.json["flipped"] == 0


def test_the_r_value_of_the_mill_sheet_counts(blank: Told, tmp_path: Path) -> None:
    part = written(tmp_path, "wing.ply", wing(8))
    steel = ("--alloy", "DC04", "--thickness", "1mm", "--json")
    assert blank(part, *steel).json["r_value"]["value"] == 1.6
    assert blank(part, *steel, "--r-value", "1.9").json["r_value"] == {
        "value": 1.9,
        "source": "typed",
    }


def test_a_sheet_may_be_of_any_size(blank: Told, tmp_path: Path) -> None:
    part = written(tmp_path, "wing.ply", wing(8))
    small = blank(part, "--sheet", "500 mm x 24 in", "--json")
    assert [finding["code"] for finding in small.json["findings"]] == ["larger-than-sheet"]
    wrong = blank(part, "--sheet", "large", "--json")
    assert wrong.code == 1
    assert "'large' is not the size of a sheet" in wrong.err


def test_inches_taken_for_millimetres_are_said(blank: Told, tmp_path: Path) -> None:
    vertices, triangles = wing(6)
    run = blank(written(tmp_path, "wing.stl", (vertices / 25.4, triangles)), "--json")
    assert [finding["code"] for finding in run.json["findings"]] == ["likely-wrong-units"]


def test_a_blank_larger_than_any_sheet_is_said(blank: Told, tmp_path: Path) -> None:
    roof = cylinder(4000.0, 0.6, 4200.0, 12)
    run = blank(written(tmp_path, "roof.stl", roof), "--json")
    assert [finding["code"] for finding in run.json["findings"]] == ["larger-than-sheet"]
    assert "seam" in run.json["findings"][0]["remedy"]


def ball() -> tuple[np.ndarray, np.ndarray]:
    whole = trimesh.creation.icosphere(subdivisions=2, radius=300.0)
    return np.asarray(whole.vertices), np.asarray(whole.faces)


def without(mesh: tuple[np.ndarray, np.ndarray], gone: list[int]) -> tuple[np.ndarray, np.ndarray]:
    return mesh[0], np.delete(mesh[1], gone, axis=0)


def twice(mesh: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    return mesh[0], np.vstack([mesh[1], mesh[1][:3]])


DOME = cap(6, 0.8)


@pytest.mark.parametrize(
    ("mesh", "words"),
    [
        (ball(), "closed all round"),
        (tube(100.0, 400.0, 20, 9), "edges that do not meet"),
        (without(DOME, [0, 3]), "touches itself"),
        (twice(DOME), "lie twice"),
    ],
    ids=["closed", "tube", "self-touching", "duplicate"],
)
def test_a_mesh_that_is_no_disc_is_refused_in_a_sentence(
    blank: Told, tmp_path: Path, mesh: tuple[np.ndarray, np.ndarray], words: str
) -> None:
    run = blank(written(tmp_path, "part.stl", mesh), "--json")
    assert run.code == 1
    assert words in run.err
    assert "Traceback" not in run.err
    assert run.out == ""


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--alloy", "9999"], "no alloy '9999'"),
        (["--thickness", "40mm"], "no 3003-H14 of 40 mm"),
        (["--thickness", "sixteen"], "sixteen"),
    ],
)
def test_metal_that_is_not_known_is_refused(
    blank: Told, tmp_path: Path, arguments: list[str], words: str
) -> None:
    run = blank(written(tmp_path, "dome.stl", DOME), *arguments)
    assert run.code == 1
    assert words in run.err
    assert "Traceback" not in run.err
