import struct
from pathlib import Path

import numpy as np
import pygltflib
import pytest
import trimesh

from buckwright.errors import JobError
from buckwright.files.scene import Tube, glb_bytes, stl_bytes
from buckwright.model.skin import Skin
from buckwright.skin import span_skin
from networks_on_paper import cap, wing

ROD = (60, 64, 72, 255)
STRAIGHT = np.array([[0.0, 0.0, 500.0], [300.0, 0.0, 500.0], [900.0, 100.0, 500.0]])


@pytest.fixture(scope="module", name="skin")
def _skin() -> Skin:
    network, spec = wing()
    return span_skin(network, (spec,), edge_length=60.0)


@pytest.fixture(name="read")
def _read(skin: Skin, tmp_path: Path) -> pygltflib.GLTF2:
    tubes = [Tube("rod 1", STRAIGHT, False, 6.35, ROD), ("rod 1", STRAIGHT, False, 8.0, ROD)]
    path = tmp_path / "body.glb"
    path.write_bytes(glb_bytes(skin, tubes))
    return pygltflib.GLTF2().load(str(path))


def _box(read: pygltflib.GLTF2, name: str) -> tuple[np.ndarray, np.ndarray]:
    (node,) = (n for n in read.nodes if n.name == name)
    place = read.accessors[read.meshes[node.mesh].primitives[0].attributes.POSITION]
    return np.array(place.min), np.array(place.max)


def test_every_region_and_tube_is_a_named_node(read: pygltflib.GLTF2) -> None:
    names = [node.name for node in read.nodes if node.mesh is not None]
    assert names == ["wing left", "wing right", "rod 1", "rod 1 (2)"]


def test_the_scene_is_in_metres_with_y_up(skin: Skin, read: pygltflib.GLTF2) -> None:
    low, high = _box(read, "wing left")
    points = skin.regions[0].vertices
    assert low == pytest.approx(
        [points[:, 0].min() / 1e3, points[:, 2].min() / 1e3, -points[:, 1].max() / 1e3], abs=1e-6
    )
    assert high[1] == pytest.approx(points[:, 2].max() / 1e3, abs=1e-6)
    # Left is y < 0 in the vehicle, hence towards +z on the screen.
    assert low[2] > 0.0


def test_tubes_are_as_thick_as_they_are(read: pygltflib.GLTF2) -> None:
    low, high = _box(read, "rod 1 (2)")
    assert high[1] - low[1] == pytest.approx(8.0e-3, rel=0.06)


def test_triangles_are_seen_from_both_sides_and_have_normals(read: pygltflib.GLTF2) -> None:
    assert all(material.doubleSided for material in read.materials)
    assert all(m.primitives[0].attributes.NORMAL is not None for m in read.meshes)


def test_colours_are_kept_as_light(read: pygltflib.GLTF2) -> None:
    colour = read.materials[-1].pbrMetallicRoughness.baseColorFactor
    # 72 of 255 on a screen are 6.5 % of the light (sRGB).
    assert colour[2] == pytest.approx(0.0648, abs=0.003)


def test_the_same_skin_gives_the_same_bytes(skin: Skin) -> None:
    assert glb_bytes(skin, []) == glb_bytes(skin, [])


def test_an_empty_skin_cannot_be_shown() -> None:
    with pytest.raises(JobError, match="nothing to show"):
        glb_bytes(Skin(regions=()), [])
    with pytest.raises(JobError, match="nothing to write"):
        stl_bytes(Skin(regions=()))


def test_stl_holds_all_triangles_in_millimetres(tmp_path: Path) -> None:
    network, spec = cap()
    skin = span_skin(network, (spec,), edge_length=80.0)
    data = stl_bytes(skin)
    (count,) = struct.unpack("<I", data[80:84])
    assert count == len(skin.regions[0].triangles)
    path = tmp_path / "cap mm.stl"
    path.write_bytes(data)
    read = trimesh.load_mesh(path)
    assert read.bounds[1][2] == pytest.approx(500.0, abs=0.5)
    assert read.face_normals[:, 2].min() > 0.0
