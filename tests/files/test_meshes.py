from pathlib import Path

import numpy as np
import pytest
import trimesh

from buckwright.errors import FileError
from buckwright.files.meshes import read_panel, write_flat_obj
from buckwright.geometry.mesh import triangle_areas, triangle_normals
from buckwright.geometry.mesh_faults import mesh_form
from buckwright.model.panels import SheetStock
from buckwright.panels import flatten_panel
from discs_on_paper import as_panel, bumpy, cap, wing


def written(folder: Path, name: str, vertices: np.ndarray, triangles: np.ndarray) -> Path:
    path = folder / name
    trimesh.Trimesh(vertices, triangles, process=False).export(path)
    return path


@pytest.mark.parametrize("kind", ["stl", "obj", "ply"])
def test_a_part_comes_in_welded_and_whole(tmp_path: Path, kind: str) -> None:
    vertices, triangles = wing(8)
    panel = read_panel(written(tmp_path, f"wing.{kind}", vertices, triangles))
    assert panel.name == "wing"
    assert len(panel.vertices) == len(vertices)
    assert len(panel.triangles) == len(triangles)
    assert mesh_form(panel.triangles).is_disc
    # STL and PLY hold single precision.
    corners = panel.vertices[panel.triangles]
    assert np.abs(corners - vertices[triangles]).max() < 1e-4


def test_ascii_stl_and_capital_letters_are_read(tmp_path: Path) -> None:
    vertices, triangles = cap(5, 0.6)
    path = tmp_path / "DOME.STL"
    text = trimesh.exchange.stl.export_stl_ascii(trimesh.Trimesh(vertices, triangles))
    path.write_text(text)
    assert len(read_panel(path).vertices) == len(vertices)


def test_triangles_turned_at_random_come_in_turned_alike(tmp_path: Path) -> None:
    vertices, triangles = cap(6, 0.8)
    mixed = triangles.copy()
    mixed[::3] = mixed[::3][:, ::-1]
    panel = read_panel(written(tmp_path, "dome.stl", vertices, mixed))
    assert triangle_normals(panel.vertices, panel.triangles)[:, 2].min() > 0.0


def refused(path: Path, *words: str) -> None:
    with pytest.raises(FileError) as caught:
        read_panel(path)
    for word in words:
        assert word in str(caught.value)
    assert str(caught.value).count("\n") == 0


def test_degenerate_triangles_are_refused_with_their_place(tmp_path: Path) -> None:
    vertices, triangles = cap(4, 0.6)
    thin = np.vstack([triangles, [[3, 3, 9]]])
    refused(written(tmp_path, "dome.obj", vertices, thin), "dome.obj has 1 triangle without area")


def test_triangles_that_lie_twice_are_refused(tmp_path: Path) -> None:
    vertices, triangles = cap(4, 0.6)
    twice = np.vstack([triangles, triangles[:2, ::-1]])
    refused(written(tmp_path, "dome.stl", vertices, twice), "2 triangles lie twice", "first at x")


def test_a_wall_standing_on_the_skin_is_refused(tmp_path: Path) -> None:
    vertices, triangles = cap(4, 0.6)
    wall = np.vstack([vertices, [[0.0, 0.0, 600.0]]])
    more = np.vstack([triangles, [[triangles[0, 0], triangles[0, 1], len(vertices)]]])
    refused(written(tmp_path, "dome.ply", wall, more), "more than two triangles meet at 1 edge")


def test_a_twisted_loop_is_refused(tmp_path: Path) -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    rows = [
        [(300 + s * 40 * np.cos(a / 2)) * np.cos(a), (300 + s * 40 * np.cos(a / 2)) * np.sin(a),
         s * 40 * np.sin(a / 2)]
        for a in turn for s in (-1, 1)
    ]  # fmt: skip
    index = np.arange(48).reshape(24, 2)
    after = np.vstack([index[1:], index[:1, ::-1]])
    quads = np.column_stack([index[:, 0], after[:, 0], after[:, 1], index[:, 1]])
    triangles = np.vstack([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    refused(written(tmp_path, "loop.obj", np.array(rows), triangles), "one side only")


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("part.stl", b"\0" * 200, "part.stl"),
        ("part.stl", b"", "part.stl"),
        ("part.obj", b"v 0 0 0\nv 1 0 0\n", "no triangles"),
        ("part.obj", b"v 0 0 0\nv 1 0 0\nv nan 1 0\nf 1 2 3\n", "not numbers"),
        ("part.ply", b"ply\nformat ascii 1.0\nelement vertex 9\n", "part.ply"),
        ("part.step", b"ISO-10303-21;", "not an STL, OBJ or PLY"),
    ],
)
def test_files_that_hold_no_part_are_refused(
    tmp_path: Path, name: str, content: bytes, words: str
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    refused(path, words)


def test_a_truncated_stl_is_refused(tmp_path: Path) -> None:
    path = written(tmp_path, "wing.stl", *wing(5))
    path.write_bytes(path.read_bytes()[:1000])
    refused(path, "wing.stl")


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    refused(tmp_path / "none.stl", "There is no file", "none.stl")


def test_the_flat_mesh_is_read_back_with_its_triangles_in_order(tmp_path: Path) -> None:
    panel = as_panel(bumpy(8, rings=5))
    blank = flatten_panel(panel, SheetStock(alloy="1100-O", thickness=1.6), allowance=0.0)
    path = tmp_path / "flat.obj"
    write_flat_obj(path, blank.flat, panel.triangles)
    again = trimesh.load_mesh(path, process=False, maintain_order=True)
    assert np.array_equal(again.faces, panel.triangles)
    assert np.abs(again.vertices[:, :2] - blank.flat).max() < 1e-9
    assert np.abs(again.vertices[:, 2]).max() == 0.0
    assert triangle_areas(np.asarray(again.vertices)[:, :2], panel.triangles).min() > 0.0
