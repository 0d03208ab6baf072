import numpy as np
import pytest

from buckwright.geometry.curvature import angle_defects, mesh_curvatures
from buckwright.geometry.mesh import boundary_loops, triangle_areas
from meshes_on_paper import MOVES, inner_vertices, over_rectangle, plane_disc, sphere_cap


def _saddle(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    return np.column_stack([u, v, 4e-4 * u * u - 6e-4 * v * v])


def test_a_plane_has_no_curvature() -> None:
    flat, triangles = plane_disc(300.0, 40.0)
    bends = mesh_curvatures(np.column_stack([flat, np.zeros(len(flat))]), triangles)
    assert np.abs(bends.greater).max() < 1e-12
    assert np.abs(bends.gauss).max() < 1e-20


def test_crown_is_positive_and_a_dish_negative() -> None:
    points, triangles = sphere_cap(500.0, 0.6, 40.0)
    assert mesh_curvatures(points, triangles).mean.min() > 0.0
    assert mesh_curvatures(points, triangles[:, ::-1]).mean.max() < 0.0


def test_a_saddle_has_its_principal_ways_along_its_axes() -> None:
    points, triangles, flat = over_rectangle(_saddle, 400.0, 300.0, 20.0)
    bends = mesh_curvatures(points, triangles)
    middle = int(np.argmin(np.linalg.norm(flat, axis=1)))
    # Outside is up: bending down along v is crown, bending up along u is reverse.
    assert bends.greater[middle] == pytest.approx(12e-4, rel=1e-2)
    assert bends.lesser[middle] == pytest.approx(-8e-4, rel=1e-2)
    assert np.abs(bends.greater_way[middle]) == pytest.approx([0.0, 1.0, 0.0], abs=0.03)
    assert np.abs(bends.lesser_way[middle]) == pytest.approx([1.0, 0.0, 0.0], abs=0.03)


def test_ways_are_unit_tangents_at_right_angles() -> None:
    points, triangles, _ = over_rectangle(_saddle, 400.0, 300.0, 20.0)
    bends = mesh_curvatures(points, triangles)
    assert np.linalg.norm(bends.greater_way, axis=1) == pytest.approx(1.0, abs=1e-3)
    across = np.einsum("ij,ij->i", bends.greater_way, bends.lesser_way)
    assert np.abs(across).max() < 2e-3
    assert np.abs(np.einsum("ij,ij->i", bends.greater_way, bends.normals)).max() < 1e-2


@pytest.mark.parametrize("name", MOVES)
def test_curvatures_do_not_mind_where_the_mesh_lies(name: str) -> None:
    points, triangles, _ = over_rectangle(_saddle, 400.0, 300.0, 30.0)
    move = MOVES[name]
    turned = triangles[:, ::-1] if name == "mirror" else triangles
    scale = 2.5 if name == "scale" else 1.0
    first, second = mesh_curvatures(points, triangles), mesh_curvatures(move(points), turned)
    assert second.greater * scale == pytest.approx(first.greater, abs=1e-8)
    assert second.lesser * scale == pytest.approx(first.lesser, abs=1e-8)


def test_errors_fall_with_the_square_of_the_edge_length() -> None:
    worst = []
    for step in (40.0, 20.0):
        points, triangles = sphere_cap(300.0, 0.8, step)
        inside = inner_vertices(triangles, len(points), rings=3)
        worst.append(np.abs(mesh_curvatures(points, triangles).greater * 300.0 - 1.0)[inside].max())
    assert worst[1] < 0.4 * worst[0]


def test_defects_add_up_to_the_euler_number_with_and_without_holes() -> None:
    points, triangles = sphere_cap(500.0, 0.9, 40.0)
    assert angle_defects(points, triangles).sum() == pytest.approx(2.0 * np.pi, abs=1e-9)
    away = np.linalg.norm(points[triangles].mean(axis=1)[:, :2] - [150.0, 0.0], axis=1)
    kept = triangles[away > 80.0]
    assert len(boundary_loops(kept)) == 2
    assert angle_defects(points, kept).sum() == pytest.approx(0.0, abs=1e-9)
    assert triangle_areas(points, kept).sum() < triangle_areas(points, triangles).sum()
