"""`buckwright gauges MESH`: what it writes and prints, and one sentence for what it cannot take."""

import csv
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import trimesh

from skins_on_paper import off_torus, torus
from told import Told

RING, TUBE = 430.0, 230.0
KEYS = [
    "part", "triangles", "size_mm", "cards", "sets", "stands", "sweeps", "findings", "seconds",
]  # fmt: skip


@pytest.fixture
def gauges(capsys: pytest.CaptureFixture[str]) -> Told:
    return Told("gauges", capsys)


def arch(scale: float = 1.0) -> tuple[np.ndarray, np.ndarray]:
    """The outer part of a torus about z, seen from -y: a wing standing on its side."""
    u, v = np.linspace(3.9, 5.5, 40), np.linspace(-0.55, 0.55, 13)
    uu, vv = np.meshgrid(u, v, indexing="ij")
    vertices = scale * torus(RING, TUBE)(uu.ravel(), vv.ravel())
    index = np.arange(len(vertices)).reshape(uu.shape)
    a, b, c, d = index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]
    cells = [
        np.column_stack([x.ravel(), y.ravel(), z.ravel()]) for x, y, z in ((a, b, c), (a, c, d))
    ]
    return vertices, np.vstack(cells)


def written(folder: Path, name: str, mesh: tuple[np.ndarray, np.ndarray]) -> Path:
    trimesh.Trimesh(*mesh, process=False).export(folder / name)
    return folder / name


def test_the_json_of_a_wing(gauges: Told, tmp_path: Path) -> None:
    run = gauges(
        written(tmp_path, "wing.ply", arch()), "--axis", "x", "--tolerance", "1mm", "--json"
    )
    assert run.code == 0, run.err
    told = run.json
    assert list(told) == KEYS
    assert told["part"] == "wing"
    (chosen,) = told["sets"]
    assert chosen["error_mm"] <= chosen["tolerance_mm"] == 1.0
    assert len(told["cards"]) == 2 * len(chosen["at_mm"])
    assert [card["hand"] for card in told["cards"][:4]] == ["left", "right"] * 2
    for card in told["cards"][::2]:
        assert np.abs(off_torus(np.array(card["section_mm"]), RING, TUBE)).max() < 0.03
    for one, other in zip(told["cards"][::2], told["cards"][1::2], strict=True):
        flip = np.array([1.0, -1.0, 1.0])
        assert np.abs(np.array(one["section_mm"]) * flip - other["section_mm"]).max() < 1e-9
    assert [stand["hand"] for stand in told["stands"]] == ["left", "right"]
    (radii,) = {tuple(r["radius_mm"] for r in s["radii"]) for s in told["sweeps"]}
    assert min(radii) == pytest.approx(TUBE, rel=0.15)


def test_the_folder_holds_cut_files_and_paper_for_both_sides(gauges: Told, tmp_path: Path) -> None:
    mesh = written(tmp_path, "wing.stl", arch())
    run = gauges(mesh, "--tolerance", "2mm", "-o", tmp_path / "out", "--json")
    assert run.code == 0, run.err
    out = tmp_path / "out"
    assert run.json["folder"] == str(out)
    cards = run.json["cards"]
    names = {path.name for path in out.iterdir()}
    assert {"gauges.pdf", "gauges.csv", "sweeps.csv", "sweeps-wing.dxf"} <= names
    assert {"wing-comb-a-left.dxf", "wing-comb-b-right.dxf", "wing-stand-left.svg"} <= names
    dxf = [name for name in names if name.startswith("gauge-wing") and name.endswith(".dxf")]
    assert len(dxf) == len(cards)
    assert sum(name.endswith("-left.dxf") for name in dxf) == len(cards) // 2
    for name in names:
        if name.endswith(".dxf"):
            assert not ezdxf.readfile(out / name).audit().has_errors
    with (out / "gauges.csv").open(newline="") as file:
        assert [row["card"] for row in csv.DictReader(file)] == [card["name"] for card in cards]


def test_people_read_how_true_the_set_is(gauges: Told, tmp_path: Path) -> None:
    run = gauges(written(tmp_path, "wing.stl", arch()))
    assert run.code == 0, run.err
    assert "battens over them leave the skin by" in run.out
    assert "and as many for the other side" in run.out
    assert "sweeps of 150 mm chord: hollow" in run.out


def test_a_part_from_the_right_gives_the_same_cards_for_both_hands(
    gauges: Told, tmp_path: Path
) -> None:
    vertices, triangles = arch()
    left = gauges(written(tmp_path, "w.ply", (vertices, triangles)), "--json").json
    mirrored = (vertices * [1.0, -1.0, 1.0], triangles[:, ::-1])
    run = gauges(written(tmp_path, "w.ply", mirrored), "--side", "right", "--json")
    for one, other in zip(left["cards"], run.json["cards"], strict=True):
        assert one["name"] == other["name"]
        assert np.abs(np.array(one["section_mm"]) - other["section_mm"]).max() < 1e-6


def test_planes_places_and_series_are_taken(gauges: Told, tmp_path: Path) -> None:
    mesh = written(tmp_path, "wing.stl", arch())
    run = gauges(
        mesh, "--at=-100mm,4in", "--plane=100,-600,0,1,-0.4,0", "--series=200mm,225mm,250mm,710mm",
        "--face", "both", "--metal", "1.6mm", "--no-stand", "--json",
    )  # fmt: skip
    assert run.code == 0, run.err
    names = [card["name"] for card in run.json["cards"] if card["hand"] == "left"]
    assert names[:3] == ["wing x -100 left", "wing x 101.6 left", "wing plane 1 left"]
    assert names[3:] == [name.replace(" left", " inside left") for name in names[:3]]
    assert run.json["sets"] == []
    radii = {r["radius_mm"] for r in run.json["sweeps"][0]["radii"]}
    assert radii <= {200.0, 225.0, 250.0, 710.0, 0.0}


def test_a_closed_part_is_gauged_by_two_cards_to_a_plane(gauges: Told, tmp_path: Path) -> None:
    ball = trimesh.creation.icosphere(subdivisions=4, radius=300.0)
    run = gauges(written(tmp_path, "tank.stl", (ball.vertices, ball.faces)), "--json", "--no-stand")
    assert run.code == 0, run.err
    assert run.json["sets"][0]["error_mm"] <= 1.0
    for card in run.json["cards"]:
        assert "part 1" in card["name"] or "part 2" in card["name"]
        radius = np.linalg.norm(np.array(card["section_mm"]), axis=1)
        assert np.abs(radius - 300.0).max() < 0.05


def test_inches_taken_for_millimetres_are_said(gauges: Told, tmp_path: Path) -> None:
    run = gauges(written(tmp_path, "wing.stl", arch(1.0 / 25.4)))
    assert run.code == 1
    assert "inches" in run.err
    assert "25.4" in run.err
    half = gauges(
        written(tmp_path, "wing.stl", arch(0.12)), "--axis=z", "--at=0mm", "--chord=0", "--json"
    )
    assert "likely-wrong-units" in [finding["code"] for finding in half.json["findings"]]


DEGENERATE = (
    np.array([[0.0, 0.0, 0.0], [300.0, 0.0, 0.0], [600.0, 0.0, 0.0], [0.0, 300.0, 0.0]]),
    np.array([[0, 1, 2], [0, 1, 3]]),
)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--at=3000mm"], "does not cut the wing"),
        (["--plane=0,0,0,0,0,0"], "has no direction"),
        (["--plane=9000,0,0,1,1,0"], "does not cut the wing"),
        (["--plane=1,2,3"], "not 6 figures"),
        (["--normal=0,0,0"], "no direction"),
        (["--normal=a,b,c"], "not 3 figures"),
        (["--tolerance=0mm"], "tolerance is 0 mm"),
        (["--tolerance=thin"], "thin"),
        (["--card=-3mm"], "card's thickness is -3 mm"),
        (["--series=200mm,-5mm"], "more than nothing"),
        (["--series=9000mm"], "No sweep"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_a_sentence(
    gauges: Told, tmp_path: Path, arguments: list[str], words: str
) -> None:
    run = gauges(written(tmp_path, "wing.stl", arch()), *arguments)
    assert run.code == 1
    assert words in run.err
    assert "Traceback" not in run.err
    assert run.out == ""


def test_a_mesh_with_triangles_without_area_is_refused(gauges: Told, tmp_path: Path) -> None:
    run = gauges(written(tmp_path, "part.stl", DEGENERATE))
    assert run.code == 1
    assert "without area" in run.err
    assert gauges(tmp_path / "nothing.stl").code == 1
