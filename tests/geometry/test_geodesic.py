import numpy as np
import pytest

from buckwright.geometry.geodesic import Geodesics, MeshPath
from buckwright.geometry.polyline import polyline_length
from discs_on_paper import cap, cylinder, wing
from meshes_on_paper import MOVES

CAP = cap(14, 1.1)


def far_apart(vertices: np.ndarray) -> tuple[int, int]:
    return int(np.argmin(vertices[:, 0])), int(np.argmax(vertices[:, 0] + 0.3 * vertices[:, 1]))


def test_on_a_cylinder_a_path_is_the_straight_line_of_the_unrolled_sheet() -> None:
    radius, turn, length, steps = 200.0, 2.0, 600.0, 25
    vertices, triangles = cylinder(radius, turn, length, steps)
    start, end = 3, len(vertices) - 8
    path = Geodesics(vertices, triangles).between(start, end)
    # Unrolled, each strip is as wide as its chord.
    chord = 2.0 * radius * np.sin(0.5 * turn / (steps - 1))
    across = chord * abs(start % steps - end % steps)
    along = vertices[end, 0] - vertices[start, 0]
    assert polyline_length(path.points) == pytest.approx(np.hypot(across, along), rel=1e-9)


def test_a_path_begins_and_ends_where_asked_and_lies_on_edges() -> None:
    vertices, triangles = wing(10)
    start, end = far_apart(vertices)
    path = Geodesics(vertices, triangles).between(start, end)
    assert np.allclose(path.points[[0, -1]], vertices[[start, end]])
    a, b = vertices[path.edges[:, 0]], vertices[path.edges[:, 1]]
    off = np.linalg.norm(path.points - a, axis=1) + np.linalg.norm(path.points - b, axis=1)
    assert np.allclose(off, np.linalg.norm(b - a, axis=1))


def test_points_that_follow_each_other_lie_in_one_triangle() -> None:
    vertices, triangles = wing(10)
    path = Geodesics(vertices, triangles).between(*far_apart(vertices))
    corners = [set(t) for t in triangles.tolist()]
    for one, next_one in zip(path.edges[:-1].tolist(), path.edges[1:].tolist(), strict=True):
        assert any(set(one) | set(next_one) <= c for c in corners)


@pytest.mark.parametrize("move", MOVES)
def test_a_moved_mesh_has_the_moved_path(move: str) -> None:
    vertices, triangles = CAP
    start, end = far_apart(vertices)
    path = Geodesics(vertices, triangles).between(start, end)
    turned = triangles[:, ::-1] if move == "mirror" else triangles
    moved = Geodesics(MOVES[move](vertices), turned).between(start, end)
    assert np.abs(moved.points - MOVES[move](path.points)).max() < 1e-6


def test_the_way_back_is_the_same_way() -> None:
    ways = Geodesics(*CAP)
    start, end = far_apart(CAP[0])
    there, back = ways.between(start, end), ways.between(end, start)
    assert polyline_length(there.points) == pytest.approx(polyline_length(back.points), rel=1e-12)
    assert np.abs(there.points - back.points[::-1]).max() < 1e-6


def test_ends_that_no_way_joins_are_refused() -> None:
    vertices, triangles = CAP
    two = np.vstack([vertices, vertices + 5000.0])
    ways = Geodesics(two, np.vstack([triangles, triangles + len(vertices)]))
    with pytest.raises(ValueError, match="no way"):
        ways.between(0, len(vertices) + 3)
    with pytest.raises(ValueError, match="two different ends"):
        ways.between(4, 4)


def test_neighbours_are_joined_by_their_edge() -> None:
    vertices, triangles = CAP
    path = Geodesics(vertices, triangles).between(int(triangles[0, 0]), int(triangles[0, 1]))
    assert isinstance(path, MeshPath)
    assert len(path.points) == 2
