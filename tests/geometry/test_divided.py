import numpy as np
import pytest

from buckwright.geometry.divided import divided_triangles
from buckwright.geometry.mesh import triangle_areas

SQUARE = np.array([[0.0, 0, 0], [2, 0, 0], [2, 1, 0], [0, 1, 0]])
TWO = np.array([[0, 1, 2], [0, 2, 3]])


def test_divided_triangles_cover_what_they_covered_and_keep_their_turn() -> None:
    points = np.vstack([SQUARE, [[1.0, 0, 0]], [[1.0, 0.5, 0]]])
    new = np.array([[-1, 5, 4], [-1, -1, 5]])
    divided = divided_triangles(points, TWO, new)
    assert len(divided) == 5
    areas = triangle_areas(points[:, :2], divided)
    assert np.all(areas > 0.0)
    assert areas.sum() == pytest.approx(2.0)


def test_the_four_sided_rest_is_divided_along_its_shorter_diagonal() -> None:
    points = np.array([[0.0, 0, 0], [10, 0, 0], [0, 1, 0], [9, 0, 0], [0, 0.5, 0]])
    # Vertex 3 lies opposite corner 2, vertex 4 opposite corner 1.
    divided = divided_triangles(points, np.array([[0, 1, 2]]), np.array([[-1, 4, 3]]))
    pairs = {frozenset(pair) for tri in divided.tolist() for pair in (tri[:2], tri[1:], tri[::2])}
    assert frozenset((2, 3)) in pairs
    assert frozenset((1, 4)) not in pairs


def test_a_triangle_divided_on_all_sides_is_refused() -> None:
    with pytest.raises(ValueError, match="all three sides"):
        divided_triangles(np.zeros((6, 3)), np.array([[0, 1, 2]]), np.array([[3, 4, 5]]))
