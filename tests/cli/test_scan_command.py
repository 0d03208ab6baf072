import json
from pathlib import Path

import numpy as np
import pytest
import trimesh

from buckwright.cli import main
from buckwright.model.job import Job
from buckwright.store import JobFile, export_job, import_job
from clouds_on_paper import RADIUS, ball_cloud
from meshes_on_paper import sphere_cap


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    path = tmp_path / "lid.buck"
    with JobFile.create(path, Job(name="Lid", edge_length=25.0)):
        pass
    return path


def scan_file(folder: Path, unit: float = 1.0) -> Path:
    vertices, triangles = sphere_cap(400.0, 0.9, 14.0)
    away = np.linalg.norm(vertices[triangles].mean(axis=1) - [0.0, 0.0, 400.0], axis=1)
    path = folder / "lid.ply"
    path.write_bytes(
        trimesh.Trimesh(vertices / unit, triangles[away > 70.0], process=False).export(
            file_type="ply"
        )
    )
    return path


def test_a_scan_becomes_the_skin_and_travels_with_the_job(
    job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    part = scan_file(tmp_path, unit=25.4)
    arguments = ["scan", str(job_file), str(part), "--units", "in", "--side", "left", "--json"]
    assert main(arguments) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["openings"] == 1
    assert told["size_mm"][0] == pytest.approx(2 * 400.0 * np.sin(0.9), rel=0.01)
    assert main(["solve", str(job_file)]) == 0
    with JobFile.open(job_file) as file:
        skin = file.products(("skin",)).skin
        assert skin is not None
        assert [(r.name, r.side) for r in skin.regions] == [("lid", "left"), ("lid", "right")]
        left, right = skin.regions
        np.testing.assert_allclose(left.vertices * [1, -1, 1], right.vertices)
        export_job(file, tmp_path / "out")
    with import_job(tmp_path / "out", tmp_path / "again.buck") as again:
        (scan,) = again.job().scans
        assert again.picture_bytes(scan.sha256) == part.read_bytes()
    capsys.readouterr()
    assert main(["scan", str(job_file)]) == 0
    assert "lid: PLY, left, 1 unit is 25.4 mm" in capsys.readouterr().out
    assert main(["scan", str(job_file), "--drop", "lid"]) == 0
    with JobFile.open(job_file) as file:
        assert file.job().scans == ()
        assert file.undo() == "scan 'lid' left out"


def test_one_that_cannot_be_a_skin_leaves_the_job_as_it_was(
    job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ball = tmp_path / "ball.stl"
    ball.write_bytes(trimesh.creation.icosphere(radius=300.0).export(file_type="stl"))
    cut = tmp_path / "cut.stl"
    cut.write_bytes(ball.read_bytes()[:5000])
    words = tmp_path / "words.stl"
    words.write_text("not a mesh")
    (tmp_path / "lid.step").write_text("ISO-10303-21;")
    for path, said in (
        (ball, "closed all round"),
        (cut, "cut.stl"),
        (words, "words.stl"),
        (tmp_path / "none.stl", "cannot be read"),
        (tmp_path / "lid.step", "not an STL, OBJ or PLY"),
    ):
        assert main(["scan", str(job_file), str(path)]) == 1
        assert said in capsys.readouterr().err
    with JobFile.open(job_file) as file:
        assert file.job().scans == ()
        assert len(file.history()) <= 1


def test_a_cloud_of_points_in_inches_becomes_the_skin_and_its_strays_are_told(
    job_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    points = ball_cloud(4000, noise=0.2) / 25.4
    points[5] *= 1.02
    path = tmp_path / "lid.txt"
    path.write_text("\n".join(f"{x:.6f} {y:.6f} {z:.6f}" for x, y, z in points))
    arguments = ["scan", str(job_file), str(path), "--units", "in", "--json"]
    assert main(arguments) == 0
    told = json.loads(capsys.readouterr().out)
    assert [one["code"] for one in told["findings"]][:2] == ["scan-strays", "scan-noise"]
    assert "1 points lie off" in told["findings"][0]["message"]
    assert told["size_mm"][0] == pytest.approx(2 * RADIUS * np.sin(0.6), rel=0.02)
    assert main(["solve", str(job_file)]) == 0
    with JobFile.open(job_file) as file:
        skin = file.products(("skin",)).skin
        assert skin is not None
        assert [region.name for region in skin.regions] == ["lid"]
    path.write_text("1 2 3\n")
    assert main(["scan", str(job_file), str(path)]) == 1
    assert "too few for a sheet" in capsys.readouterr().err
