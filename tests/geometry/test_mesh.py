import numpy as np
import pytest

from buckwright.geometry.mesh import (
    MeshLocator,
    boundary_loops,
    cotangent_laplacian,
    edges_of,
    section_mesh,
    triangle_areas,
    triangle_normals,
    vertex_areas,
    vertex_normals,
)
from meshes_on_paper import MOVES, plane_disc, plane_rectangle, sphere_cap

SQUARE = np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]])
PAIR = np.array([[0, 1, 2], [0, 2, 3]])


def test_areas_of_plane_meshes_are_signed() -> None:
    flat = SQUARE[:, :2]
    assert triangle_areas(flat, PAIR) == pytest.approx([0.5, 0.5])
    assert triangle_areas(flat, PAIR[:, ::-1]) == pytest.approx([-0.5, -0.5])
    assert triangle_areas(SQUARE, PAIR[:, ::-1]) == pytest.approx([0.5, 0.5])


def test_vertex_areas_share_out_the_whole_area() -> None:
    points, triangles = sphere_cap(500.0, 0.6, 40.0)
    whole = triangle_areas(points, triangles).sum()
    assert vertex_areas(points, triangles).sum() == pytest.approx(whole, rel=1e-12)


def test_a_triangle_without_area_has_no_normal() -> None:
    line = np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0]])
    assert triangle_normals(line, np.array([[0, 1, 2]])) == pytest.approx(np.zeros((1, 3)))


def test_vertex_normals_of_a_ball_point_from_its_centre() -> None:
    points, triangles = sphere_cap(500.0, 0.6, 25.0)
    inside = np.hypot(points[:, 0], points[:, 1]) < 250.0
    lean = np.linalg.norm(vertex_normals(points, triangles) - points / 500.0, axis=1)
    assert lean[inside].max() < 2e-3


@pytest.mark.parametrize("name", MOVES)
def test_normals_and_areas_move_with_the_mesh(name: str) -> None:
    points, triangles = sphere_cap(500.0, 0.6, 60.0)
    move = MOVES[name]
    turned = triangles[:, ::-1] if name == "mirror" else triangles
    zero = move(np.zeros((1, 3)))
    expected = move(vertex_normals(points, triangles)) - zero
    expected /= np.linalg.norm(expected, axis=1, keepdims=True)
    assert vertex_normals(move(points), turned) == pytest.approx(expected, abs=1e-12)
    scale = 2.5**2 if name == "scale" else 1.0
    areas = scale * triangle_areas(points, triangles)
    assert triangle_areas(move(points), turned) == pytest.approx(areas)


def test_normals_turn_round_with_the_triangles() -> None:
    points, triangles = sphere_cap(500.0, 0.6, 60.0)
    other = vertex_normals(points, triangles[:, ::-1])
    assert other == pytest.approx(-vertex_normals(points, triangles), abs=1e-12)


def test_the_laplacian_measures_the_gradient_of_linear_functions_exactly() -> None:
    flat, triangles = plane_disc(300.0, 40.0)
    u = 3.0 * flat[:, 0] - 2.0 * flat[:, 1] + 7.0
    stiffness = cotangent_laplacian(flat, triangles)
    area = triangle_areas(flat, triangles).sum()
    assert u @ stiffness @ u == pytest.approx(13.0 * area, rel=1e-12)
    assert np.abs(stiffness @ np.ones(len(flat))).max() < 1e-12
    assert abs(stiffness - stiffness.T).max() < 1e-14


def test_edges_are_sorted_and_face_their_corners() -> None:
    edges, opposite = edges_of(PAIR)
    assert edges.tolist() == [[0, 1], [0, 2], [0, 3], [1, 2], [2, 3]]
    assert opposite.tolist() == [[3, 1, 0], [4, 2, 1]]


def test_an_empty_mesh_has_no_edges() -> None:
    edges, opposite = edges_of(np.zeros((0, 3), dtype=np.int64))
    assert edges.shape == (0, 2)
    assert opposite.shape == (0, 3)


def test_boundaries_keep_the_mesh_on_their_left_longest_first() -> None:
    flat, triangles = plane_disc(300.0, 30.0)
    middle = np.linalg.norm(flat[triangles].mean(axis=1), axis=1)
    outer, hole = boundary_loops(triangles[middle > 120.0])
    assert len(outer) > len(hole)
    for loop, sign in ((outer, 1.0), (hole, -1.0)):
        x, y = flat[loop].T
        area = 0.5 * (x * np.roll(y, -1) - y * np.roll(x, -1)).sum()
        assert area * sign > 0.0


def test_a_boundary_that_touches_itself_is_refused() -> None:
    bow = np.array([[0, 1, 2], [2, 3, 4]])
    with pytest.raises(ValueError, match="touches itself"):
        boundary_loops(bow)


def test_triangles_turned_against_each_other_are_refused() -> None:
    with pytest.raises(ValueError, match="not turned alike"):
        boundary_loops(np.array([[0, 1, 2], [0, 3, 2]]))


def test_a_section_of_a_cap_is_closed_and_a_side_cut_is_open() -> None:
    points, triangles = sphere_cap(500.0, 0.9, 30.0)
    level = np.array([0.0, 0.0, 500.0 * np.cos(0.5)])
    ((circle, closed),) = section_mesh(points, triangles, origin=level, normal=level)
    assert closed
    assert np.linalg.norm(circle[:, :2], axis=1) == pytest.approx(500.0 * np.sin(0.5), rel=2e-3)
    ((arc, open_),) = section_mesh(
        points, triangles, origin=np.zeros(3), normal=np.array([0.3, 1.0, 0.0])
    )
    assert not open_
    assert np.linalg.norm(arc, axis=1) == pytest.approx(500.0, rel=1e-3)
    assert not section_mesh(points, triangles, origin=2.0 * level, normal=level)


def test_a_section_through_vertices_repeats_no_point() -> None:
    flat, triangles = plane_rectangle(400.0, 200.0, 25.0)
    points = np.column_stack([flat, np.zeros(len(flat))])
    points[np.abs(points[:, 1] - 100.0) < 9.0, 1] = 100.0
    ((line, closed),) = section_mesh(
        points, triangles, origin=np.array([0.0, 100.0, 0.0]), normal=np.array([0.0, 1.0, 0.0])
    )
    assert not closed
    assert np.linalg.norm(np.diff(line, axis=0), axis=1).min() > 1e-6
    assert abs(line[-1, 0] - line[0, 0]) == pytest.approx(400.0)


def test_a_plane_that_only_touches_gives_no_section() -> None:
    tip = np.array([[0.0, 0, 1], [1, 0, 0], [0, 1, 0], [-1, -1, 0]])
    cone = np.array([[0, 1, 2], [0, 2, 3], [0, 3, 1]])
    up = np.array([0.0, 0.0, 1.0])
    assert not section_mesh(tip, cone, origin=up, normal=up)


def test_a_section_of_two_bodies_is_two_polylines() -> None:
    points, triangles = sphere_cap(500.0, 0.5, 40.0)
    both = np.vstack([points, points + np.array([2000.0, 0.0, 0.0])])
    twice = np.vstack([triangles, triangles + len(points)])
    found = section_mesh(both, twice, origin=np.zeros(3), normal=np.array([0.1, 1.0, 0.0]))
    assert len(found) == 2


def test_distances_are_positive_outside() -> None:
    points, triangles = sphere_cap(500.0, 0.6, 25.0)
    locator = MeshLocator(points, triangles)
    axis = np.array([[0.1, 0.05, 1.0]]) / np.linalg.norm([0.1, 0.05, 1.0])
    distance, found, triangle, weights = locator.closest(np.vstack([520.0 * axis, 470.0 * axis]))
    assert distance == pytest.approx([20.0, -30.0], abs=0.2)
    corners = points[triangles[triangle]]
    assert np.einsum("ki,kid->kd", weights, corners) == pytest.approx(found)
    assert weights.min() >= 0.0
    assert locator.normal_at(triangle, weights) == pytest.approx(np.vstack([axis, axis]), abs=2e-3)


def test_the_locator_needs_no_more_than_one_triangle() -> None:
    locator = MeshLocator(SQUARE, PAIR[:1])
    distance, found, triangle, _ = locator.closest(np.array([[2.0, 0.5, 0.0], [0.9, 0.1, -3.0]]))
    assert found == pytest.approx(np.array([[1.0, 0.5, 0.0], [0.9, 0.1, 0.0]]))
    assert distance == pytest.approx([1.0, -3.0])
    assert triangle.tolist() == [0, 0]
