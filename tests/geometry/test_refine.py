import numpy as np
import pytest

from buckwright.geometry.mesh import boundary_loops, edges_of, triangle_normals
from buckwright.geometry.mesh_faults import mesh_form
from buckwright.geometry.refine import refine_mesh, refined_chain
from discs_on_paper import cap, cylinder, wing


@pytest.mark.parametrize("parts", [1, 2, 3, 4])
def test_each_triangle_has_its_parts_in_place(parts: int) -> None:
    vertices, triangles = wing(6)
    points, fine = refine_mesh(vertices, triangles, parts)
    assert len(fine) == parts**2 * len(triangles)
    assert np.array_equal(points[: len(vertices)], vertices)
    assert mesh_form(fine).is_disc
    assert len(boundary_loops(fine)[0]) == parts * len(boundary_loops(triangles)[0])
    normals = triangle_normals(points, fine).reshape(len(triangles), -1, 3)
    whole = triangle_normals(vertices, triangles)
    assert np.einsum("mkd,md->mk", normals, whole).min() > 0.9


def test_new_vertices_lie_on_the_sphere_the_old_ones_came_from() -> None:
    vertices, triangles = cap(8, np.radians(40.0), 300.0)
    points, _ = refine_mesh(vertices, triangles, 3)
    # The chords of the coarse mesh lie up to 0.3 mm inside.
    assert np.abs(np.linalg.norm(points, axis=1) - 300.0).max() < 0.01


def test_the_rim_is_rounded_as_the_circle_it_came_from() -> None:
    vertices, triangles = cap(8, np.radians(40.0), 300.0)
    points, fine = refine_mesh(vertices, triangles, 4)
    rim = points[boundary_loops(fine)[0]]
    circle = 300.0 * np.sin(np.radians(40.0))
    assert np.abs(np.hypot(rim[:, 0], rim[:, 1]) - circle).max() < 0.01


def test_corners_of_the_rim_stay_corners() -> None:
    vertices, triangles = cylinder(200.0, 1.2, 100.0, 6)
    points, fine = refine_mesh(vertices, triangles, 3)
    straight = points[np.abs(points[:, 1]) < 1e-9]
    assert len(straight) == 16
    assert np.abs(straight[:, 2] - 200.0).max() < 1e-9
    assert points[:, 0].min() >= 0.0
    assert points[:, 0].max() <= 100.0 + 1e-9
    assert mesh_form(fine).is_disc


def test_less_than_one_part_is_refused() -> None:
    with pytest.raises(ValueError, match="one part"):
        refine_mesh(*cap(2, 0.5), 0)


@pytest.mark.parametrize("parts", [1, 2, 5])
def test_a_chain_of_edges_is_found_again_in_the_finer_mesh(parts: int) -> None:
    vertices, triangles = cap(5, 0.8)
    ring = np.arange(1 + 3 * 4 * 3, 1 + 3 * 4 * 3 + 24)
    points, finer = refine_mesh(vertices, triangles, parts)
    for chain, closed in ((ring, True), (ring[:7], False), (ring[6::-1], False)):
        fine = refined_chain(triangles, len(vertices), chain, parts, closed=closed)
        count = len(chain) * parts if closed else (len(chain) - 1) * parts + 1
        assert len(fine) == count
        assert np.array_equal(fine[::parts], chain)
        after = np.roll(fine, -1) if closed else fine[1:]
        pairs = np.column_stack([fine if closed else fine[:-1], after])
        sides = {tuple(edge) for edge in edges_of(finer)[0].tolist()}
        assert {tuple(sorted(p)) for p in pairs.tolist()} <= sides
        # The ring is a circle of latitude: its refined points stay on it, nearly.
        assert np.ptp(points[fine, 2]) < 2.0


def test_a_chain_off_the_edges_is_refused() -> None:
    vertices, triangles = cap(5, 0.8)
    with pytest.raises(ValueError, match="no edge joins"):
        refined_chain(triangles, len(vertices), np.array([0, 60]), 2)
