"""The scale model held to exact volumes, and to trimesh as an independent judge."""

from io import BytesIO

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.files.scene import ply_bytes, solid_bytes
from buckwright.geometry.thicken import mitred_normals, thicken
from buckwright.model.skin import Skin, SkinRegion
from buckwright.skin.solid import solid_model
from meshes_on_paper import sphere_cap

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def grid(count: int) -> tuple[Array, Index]:
    """A square from 0 to 1 with that many steps, and its triangles."""
    ticks = np.linspace(0.0, 1.0, count + 1)
    places = np.stack(np.meshgrid(ticks, ticks, indexing="ij"), axis=-1).reshape(-1, 2)
    corner = np.arange(count)[:, None] * (count + 1) + np.arange(count)
    a, b = corner.ravel(), corner.ravel() + count + 1
    triangles = np.vstack([np.column_stack([a, b, b + 1]), np.column_stack([a, b + 1, a + 1])])
    return places, triangles


def region(name: str, vertices: Array, triangles: Index) -> SkinRegion:
    return SkinRegion(
        name=name,
        side="whole",
        vertices=vertices,
        triangles=triangles,
        chart=vertices[:, :2],
        boundary=(),
        inner=(),
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )


def open_box(side: float) -> Skin:
    """A lid and four walls, each a region of its own, outside outward, open below."""
    places, triangles = grid(6)
    u, v = side * places.T
    zero, full = np.zeros_like(u), np.full_like(u, side)
    faces = {
        "lid": np.column_stack([u, v, full]),
        "front": np.column_stack([zero, v[::-1], u]),
        "rear": np.column_stack([full, v, u]),
        "left": np.column_stack([u, zero, v]),
        "right": np.column_stack([v, full, u]),
    }
    middle = np.full(3, 0.5 * side)
    regions = []
    for name, vertices in faces.items():
        a, b, c = vertices[triangles[0]]
        outward = np.cross(b - a, c - a) @ (vertices.mean(axis=0) - middle) > 0.0
        regions.append(region(name, vertices, triangles if outward else triangles[:, ::-1]))
    return Skin(regions=tuple(regions))


def judged(vertices: Array, triangles: Index) -> trimesh.Trimesh:
    mesh = trimesh.Trimesh(vertices, triangles, process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    return mesh


def test_a_box_gets_mitred_corners_and_its_exact_volume() -> None:
    # Outer cube less what is inside the walls; no wall below.
    solid = solid_model(open_box(800.0), scale=0.125, thickness=3.0)
    exact = 100.0**3 - 94.0**2 * 97.0
    assert solid.volume == pytest.approx(exact, rel=1e-12)
    assert solid.pieces == 1
    assert solid.size == pytest.approx((100.0, 100.0, 100.0))
    assert judged(solid.vertices, solid.triangles).volume == pytest.approx(exact, rel=1e-12)
    assert solid.findings == ()


@pytest.mark.parametrize("step", [8.0, 4.0])
def test_a_cap_has_the_volume_of_its_shell_to_the_square_of_the_edge(step: float) -> None:
    # A sector between two balls: walls stand along the radius.
    vertices, triangles = thicken(*sphere_cap(100.0, 1.2, step), 4.0)
    exact = 2.0 / 3.0 * np.pi * (100.0**3 - 96.0**3) * (1.0 - np.cos(1.2))
    assert judged(vertices, triangles).volume == pytest.approx(exact, rel=0.5 * (step / 100.0) ** 2)


def test_a_ring_stays_a_ring_and_offsets_are_exact_normals_on_a_ball() -> None:
    ball = trimesh.creation.icosphere(subdivisions=4, radius=50.0)
    moves = mitred_normals(np.array(ball.vertices), np.array(ball.faces))
    np.testing.assert_allclose(moves, np.array(ball.vertices) / 50.0, atol=4e-3)
    ring = trimesh.creation.torus(major_radius=60.0, minor_radius=15.0)
    vertices, triangles = thicken(np.array(ring.vertices), np.array(ring.faces), 2.0)
    mesh = trimesh.Trimesh(vertices, triangles, process=False)
    assert mesh.is_watertight
    assert mesh.euler_number == 0


def test_turned_and_shifted_the_same_solid_comes_out() -> None:
    turn = trimesh.transformations.rotation_matrix(0.8, [1.0, 2.0, -1.0])[:3, :3]
    skin = open_box(400.0)
    moved = Skin(
        regions=tuple(
            r.model_copy(update={"vertices": r.vertices @ turn.T + [10.0, -20.0, 30.0]})
            for r in skin.regions
        )
    )
    one, other = (solid_model(s, scale=0.25, thickness=2.0) for s in (skin, moved))
    goal = one.vertices @ turn.T + 0.25 * np.array([10.0, -20.0, 30.0])
    np.testing.assert_allclose(other.vertices, goal, atol=1e-9)


def test_a_wall_thicker_than_a_bend_says_where_it_folds() -> None:
    rod = trimesh.creation.capsule(radius=4.0, height=60.0)
    skin = Skin(regions=(region("rod", np.array(rod.vertices), np.array(rod.faces)),))
    assert solid_model(skin, scale=1.0, thickness=1.0).findings == ()
    with pytest.raises(JobError, match="not to be had"):
        solid_model(skin, scale=1.0, thickness=5.0)
    sheet, triangles = grid(30)
    x = 200.0 * (sheet[:, 0] - 0.5)
    ridge = np.column_stack([x, 200.0 * sheet[:, 1], -np.sqrt(x**2 + 20.0)])
    sharp = Skin(regions=(region("ridge", ridge, triangles),))
    (doubt,) = solid_model(sharp, scale=1.0, thickness=20.0).findings
    assert doubt.code == "wall-folds"


def test_what_is_written_is_read_back_by_trimesh() -> None:
    skin = open_box(800.0)
    solid = solid_model(skin, scale=0.125, thickness=3.0)
    for kind in ("stl", "ply"):
        data = solid_bytes(solid.vertices, solid.triangles, kind)
        read = trimesh.load_mesh(BytesIO(data), file_type=kind)
        assert read.is_watertight
        assert read.volume == pytest.approx(solid.volume, rel=1e-5)
    whole = trimesh.load_mesh(BytesIO(ply_bytes(skin)), file_type="ply", process=False)
    stacked = np.vstack([r.vertices for r in skin.regions])
    assert np.array_equal(np.array(whole.vertices), stacked)
    assert whole.area == pytest.approx(5 * 800.0**2)
    assert np.unique(whole.metadata["_ply_raw"]["face"]["data"]["region"]).tolist() == list(
        range(5)
    )


@pytest.mark.parametrize(
    ("skin", "scale", "sentence"),
    [
        (Skin(regions=()), 0.125, "no skin"),
        (open_box(800.0), 0.0, "no scale"),
        (open_box(800.0), float("nan"), "no scale"),
    ],
)
def test_what_cannot_be_is_refused(skin: Skin, scale: float, sentence: str) -> None:
    with pytest.raises(JobError, match=sentence):
        solid_model(skin, scale=scale, thickness=2.0)


def test_three_walls_at_one_edge_are_refused() -> None:
    skin = open_box(800.0)
    again = skin.region("lid").model_copy(update={"name": "fin"})
    turned = again.model_copy(update={"vertices": again.vertices[:, [0, 2, 1]] * [1.0, 1.0, 1.0]})
    with pytest.raises(JobError, match="Three regions"):
        solid_model(Skin(regions=(*skin.regions, turned)), scale=0.125, thickness=2.0)
