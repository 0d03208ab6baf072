import numpy as np
import pytest

from buckwright.geometry.mesh import triangle_normals
from buckwright.geometry.mesh_faults import (
    crowded_edges,
    mesh_form,
    pinched_vertices,
    repeated_triangles,
    thin_triangles,
    triangle_pieces,
    turned_alike,
    weld_vertices,
)
from discs_on_paper import cap, ring_disc

TETRAHEDRON = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
BOW_TIE = np.array([[0, 1, 2], [2, 3, 4]])


def band(steps: int, *, twisted: bool) -> np.ndarray:
    rows = np.arange(2 * steps).reshape(steps, 2)
    after = np.roll(rows, -1, axis=0)
    if twisted:
        after[-1] = after[-1, ::-1]
    one = np.column_stack([rows[:, 0], after[:, 0], after[:, 1]])
    return np.vstack([one, np.column_stack([rows[:, 0], after[:, 1], rows[:, 1]])])


def ring_of_rings(n: int, m: int) -> np.ndarray:
    index = np.arange(n * m).reshape(n, m)
    up = np.roll(index, -1, axis=0)
    a, b = index, up
    c, d = np.roll(up, -1, axis=1), np.roll(index, -1, axis=1)
    return np.vstack([np.stack(t, -1).reshape(-1, 3) for t in ((a, b, c), (a, c, d))])


@pytest.mark.parametrize(
    ("triangles", "form"),
    [
        (ring_disc(3)[1], (1, 1, 0)),
        (TETRAHEDRON, (1, 0, 0)),
        (band(12, twisted=False), (1, 2, 0)),
        (ring_of_rings(8, 6), (1, 0, 1)),
        (np.vstack([TETRAHEDRON, TETRAHEDRON + 4]), (2, 0, 0)),
        (np.vstack([ring_disc(2)[1], band(5, twisted=False) + 19]), (2, 3, 0)),
    ],
    ids=["disc", "shell", "tube", "torus", "two shells", "disc and tube"],
)
def test_the_form_of_known_shapes(triangles: np.ndarray, form: tuple[int, int, int]) -> None:
    found = mesh_form(triangles)
    assert (found.pieces, found.boundaries, found.handles) == form
    assert found.is_disc == (form == (1, 1, 0))


def test_a_torus_with_a_hole_has_one_boundary_and_is_no_disc() -> None:
    found = mesh_form(ring_of_rings(8, 6)[1:])
    assert (found.boundaries, found.handles, found.is_disc) == (1, 1, False)


def test_triangles_turned_at_random_are_turned_back() -> None:
    vertices, triangles = cap(6, 0.8)
    mixed = triangles.copy()
    mixed[::3] = mixed[::3][:, [1, 0, 2]]
    turned = turned_alike(mixed)
    assert turned is not None
    assert triangle_normals(vertices, turned)[:, 2].min() > 0.0


def test_each_piece_is_turned_by_its_own_majority() -> None:
    two = np.vstack([TETRAHEDRON, TETRAHEDRON[:, ::-1] + 4])
    turned = turned_alike(two)
    assert turned is not None
    assert np.array_equal(turned, two)


def test_a_twisted_band_is_one_sided() -> None:
    assert turned_alike(band(12, twisted=True)) is None
    assert turned_alike(band(12, twisted=False)) is not None


def test_a_bow_tie_is_pinched_and_two_pieces() -> None:
    assert pinched_vertices(BOW_TIE).tolist() == [2]
    assert triangle_pieces(BOW_TIE).tolist() == [0, 1]
    assert len(pinched_vertices(ring_disc(4)[1])) == 0


def test_pieces_are_numbered_from_the_largest() -> None:
    label = triangle_pieces(np.vstack([BOW_TIE[:1], ring_disc(2)[1] + 5]))
    assert label.tolist() == [1] + [0] * 24


def test_a_third_triangle_at_an_edge_crowds_it() -> None:
    triangles = np.array([[0, 1, 2], [1, 0, 3], [0, 1, 4]])
    assert crowded_edges(triangles).tolist() == [[0, 1]]
    assert len(crowded_edges(triangles[:2])) == 0


def test_a_copy_is_found_whatever_its_order() -> None:
    triangles = np.array([[0, 1, 2], [2, 3, 0], [2, 0, 1], [1, 0, 2]])
    assert repeated_triangles(triangles).tolist() == [2, 3]


def test_triangles_without_area_are_found() -> None:
    vertices = np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0], [0, 1e-8, 0], [0, 1, 0]])
    triangles = np.array([[0, 1, 2], [0, 1, 4], [0, 1, 3], [1, 1, 4]])
    assert thin_triangles(vertices, triangles).tolist() == [0, 2, 3]


def test_separate_corners_are_welded_and_keep_their_order() -> None:
    vertices, triangles = cap(8, 0.7)
    noise = np.random.default_rng(0).uniform(-1e-6, 1e-6, (triangles.size, 3))
    loose = vertices[triangles].reshape(-1, 3) + noise
    welded, again = weld_vertices(loose, np.arange(triangles.size).reshape(-1, 3), reach=1e-5)
    assert len(welded) == len(vertices)
    assert np.abs(welded[again] - vertices[triangles]).max() < 1e-5
    assert mesh_form(again).is_disc


def test_vertices_further_apart_than_the_reach_stay_apart() -> None:
    vertices = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0], [1.1, 0, 0], [0, 1.1, 0], [2, 2, 0]])
    triangles = np.array([[0, 1, 2], [3, 5, 4]])
    assert len(weld_vertices(vertices, triangles, reach=0.05)[0]) == 6
    assert len(weld_vertices(vertices, triangles, reach=0.2)[0]) == 4
