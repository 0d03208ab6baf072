import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buckwright.geometry.cut_mesh import cut_mesh, divided_edges, kept_part
from buckwright.geometry.mesh import edges_of, triangle_areas, triangle_normals
from buckwright.geometry.mesh_faults import mesh_form, thin_triangles
from discs_on_paper import cap, cylinder, grid

VERTICES, TRIANGLES = cap(9, np.radians(35.0), 400.0)
EDGE = 27.0


@given(
    st.floats(-180.0, 180.0),
    st.tuples(st.floats(-1.0, 1.0), st.floats(-1.0, 1.0), st.floats(-0.3, 0.3)).filter(
        lambda n: n[0] ** 2 + n[1] ** 2 > 0.05
    ),
)
@settings(max_examples=30, deadline=None)
def test_the_parts_share_the_cut_and_are_discs(offset: float, direction: tuple[float, ...]) -> None:
    normal = np.array(direction) / np.linalg.norm(direction)
    origin = offset * normal
    cut = cut_mesh(VERTICES, TRIANGLES, origin=origin, normal=normal)
    height = (cut.vertices - origin) @ normal
    assert np.abs(height[cut.on_plane]).max(initial=0.0) < 1e-9
    corners = height[cut.triangles]
    assert corners[cut.side > 0].min(initial=0.0) > -1e-9
    assert corners[cut.side < 0].max(initial=0.0) < 1e-9
    assert mesh_form(cut.triangles).is_disc
    above, below = cut.triangles[cut.side > 0], cut.triangles[cut.side < 0]
    shared = np.intersect1d(above, below)
    assert np.isin(shared, np.flatnonzero(cut.on_plane)).all()
    if len(above) and len(below):
        assert len(shared) >= 2


@pytest.mark.parametrize("offset", [-151.0, -60.3, 0.0, 12.0, 99.9])
def test_no_sliver_is_left_and_nothing_is_turned_over(offset: float) -> None:
    cut = cut_mesh(
        VERTICES, TRIANGLES, origin=np.array([offset, 0, 0]), normal=np.array([1.0, 0, 0])
    )
    corners = cut.vertices[cut.triangles]
    sides = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
    heights = 2.0 * triangle_areas(cut.vertices, cut.triangles) / sides.max(axis=1)
    assert heights.min() > 0.1 * EDGE
    assert triangle_normals(cut.vertices, cut.triangles)[:, 2].min() > 0.5


def test_the_area_is_kept_but_for_the_drawn_vertices() -> None:
    whole = triangle_areas(VERTICES, TRIANGLES).sum()
    cut = cut_mesh(
        VERTICES, TRIANGLES, origin=np.array([31.0, 0, 0]), normal=np.array([1.0, 0.4, 0])
    )
    assert triangle_areas(cut.vertices, cut.triangles).sum() == pytest.approx(whole, rel=2e-4)


def test_a_plane_beside_the_mesh_cuts_nothing() -> None:
    cut = cut_mesh(
        VERTICES, TRIANGLES, origin=np.array([900.0, 0, 0]), normal=np.array([1.0, 0, 0])
    )
    assert np.array_equal(cut.vertices, VERTICES)
    assert np.array_equal(cut.triangles, TRIANGLES)
    assert (cut.side == -1).all()
    assert not cut.on_plane.any()


def test_vertices_already_on_the_plane_are_used() -> None:
    vertices, triangles = cylinder(100.0, 1.0, 90.0, 10)
    cut = cut_mesh(vertices, triangles, origin=np.array([40.0, 0, 0]), normal=np.array([1.0, 0, 0]))
    assert len(cut.vertices) == len(vertices)
    assert cut.on_plane.sum() == 10


def test_a_kept_part_knows_where_its_vertices_came_from() -> None:
    vertices, triangles, origin = kept_part(VERTICES, TRIANGLES[50:90])
    assert np.array_equal(vertices, VERTICES[origin])
    assert np.array_equal(origin[triangles], TRIANGLES[50:90])


def test_walls_stay_where_they_are_and_are_divided_where_the_plane_crosses_them() -> None:
    """A wall along a ray of the cap, crossed slantwise: it stays one chain of edges on the ray."""
    rings = 9
    start = [0, *(1 + 3 * k * (k - 1) for k in range(1, rings + 1))]
    wall = np.column_stack([start[:-1], start[1:]])
    normal = np.array([1.0, 0.4, 0.0])
    cut = cut_mesh(VERTICES, TRIANGLES, origin=np.array([95.0, 0, 0]), normal=normal, walls=wall)
    parts = divided_edges(wall, cut.parents, len(VERTICES))
    assert np.array_equal(parts[1:, 0], parts[:-1, 1])
    sides = {tuple(edge) for edge in edges_of(cut.triangles)[0].tolist()}
    assert {tuple(sorted(e)) for e in parts.tolist()} <= sides
    # The ray runs along y = 0 of the cap.
    assert np.abs(cut.vertices[parts.ravel(), 1]).max() < 1e-9
    crossing = cut.on_plane[np.unique(parts)]
    assert crossing.sum() == 1


def test_a_vertex_where_walls_meet_stays() -> None:
    spokes = [[0, 1], [0, 3], [0, 5]]
    cut = cut_mesh(
        VERTICES,
        TRIANGLES,
        origin=np.array([2.0, 0, 0]),
        normal=np.array([1.0, 0, 0]),
        walls=np.array(spokes),
    )
    assert np.array_equal(cut.vertices[0], VERTICES[0])


def test_edges_that_nothing_crosses_stay_as_they_are() -> None:
    edges = np.array([[0, 1], [1, 2]])
    assert np.array_equal(divided_edges(edges, np.zeros((0, 2), dtype=np.int64), 9), edges)
    assert divided_edges(edges, np.array([[1, 2]]), 9).tolist() == [[0, 1], [1, 9], [9, 2]]


def test_a_wall_that_wanders_across_the_plane_by_rounding_leaves_no_sliver() -> None:
    side = np.linspace(-100.0, 100.0, 21)
    vertices, triangles = grid(
        lambda u, v: np.column_stack([u, v, 0.002 * u * u]), np.linspace(0.0, 300.0, 16), side
    )
    middle = np.flatnonzero(np.abs(vertices[:, 1]) < 1e-9)
    vertices[middle, 1] += np.where(np.arange(len(middle)) % 2, 2e-5, -3e-5)
    walls = np.column_stack([middle[:-1], middle[1:]])
    cut = cut_mesh(
        vertices, triangles, origin=np.zeros(3), normal=np.array([0.0, 1.0, 0.0]), walls=walls
    )
    assert not len(thin_triangles(cut.vertices, cut.triangles))
    assert len(cut.triangles) == len(triangles)
    assert cut.on_plane[middle].all()
    assert cut.vertices[middle, 1] == pytest.approx(0.0, abs=1e-12)
