import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buckwright.geometry.cut_mesh import cut_mesh, kept_part
from buckwright.geometry.mesh import triangle_areas, triangle_normals
from buckwright.geometry.mesh_faults import mesh_form
from discs_on_paper import cap, cylinder

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
