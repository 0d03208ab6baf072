import numpy as np
import pytest

from buckwright.geometry.mesh import boundary_loops, edges_of
from buckwright.geometry.opened import breaks_along, opened_mesh, seen_vertices
from meshes_on_paper import over_rectangle


def _fold(angle: float):
    def surface(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        return np.column_stack([u, v, -np.abs(u) * np.tan(0.5 * np.radians(angle))])

    return surface


def _walls(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    edges, _ = edges_of(triangles)
    return edges[np.abs(points[edges][:, :, 0]).max(axis=1) < 1e-9]


def _grid(angle: float = 0.0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A square grid with an edge all along u = 0."""
    u, v = np.meshgrid(np.arange(-5, 6) * 20.0, np.arange(0, 9) * 20.0, indexing="ij")
    flat = np.column_stack([u.ravel(), v.ravel()])
    number = np.arange(99).reshape(11, 9)
    a, b, c, d = number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]
    triangles = np.vstack([np.stack(q, -1).reshape(-1, 3) for q in ((a, b, c), (a, c, d))])
    return _fold(angle)(*flat.T), triangles, flat


def test_a_mesh_opened_right_through_falls_in_two() -> None:
    points, triangles, _ = _grid()
    walls = _walls(points, triangles)
    assert len(walls) == 8
    opened = opened_mesh(triangles, len(points), walls)
    assert len(opened.seats) == len(points) + 9
    assert np.array_equal(opened.seats[opened.triangles], triangles)
    assert len(boundary_loops(opened.triangles)) == 2


def test_the_end_of_a_wall_inside_is_not_parted() -> None:
    points, triangles, _ = _grid()
    walls = _walls(points, triangles)
    half = walls[points[walls][:, :, 1].max(axis=1) < 100.0]
    opened = opened_mesh(triangles, len(points), half)
    assert len(opened.seats) == len(points) + len(half)
    assert len(boundary_loops(opened.triangles)) == 1


def test_without_walls_nothing_is_opened() -> None:
    points, triangles, _ = over_rectangle(_fold(0.0), 200.0, 100.0, 25.0)
    opened = opened_mesh(triangles, len(points), np.zeros((0, 2), dtype=np.int64))
    assert np.array_equal(opened.triangles, triangles)
    assert np.array_equal(opened.seats, np.arange(len(points)))


@pytest.mark.parametrize("angle", [30.0, -30.0, 0.0])
def test_the_break_across_a_fold_is_its_angle(angle: float) -> None:
    points, triangles, _ = _grid(angle)
    opened = opened_mesh(triangles, len(points), _walls(points, triangles))
    found = np.degrees(breaks_along(points, opened, triangles))
    assert found == pytest.approx(np.full(8, angle), abs=1e-6)


def test_a_wall_on_the_rim_has_no_break() -> None:
    points, triangles, _ = _grid()
    edges, _ = edges_of(triangles)
    rim = edges[np.abs(points[edges][:, :, 1]).max(axis=1) < 1e-9]
    opened = opened_mesh(triangles, len(points), rim)
    assert np.isnan(breaks_along(points, opened, triangles)).all()


def test_walls_hide_what_lies_behind_them_and_not_what_lies_on_them() -> None:
    points, triangles, flat = _grid()
    centres = flat[triangles].mean(axis=1)
    seen = seen_vertices(flat, centres, 14, _walls(points, triangles))
    side = np.sign(centres[:, 0])[:, None]
    assert (side * flat[seen][:, :, 0] >= 0.0).all()
    near = seen_vertices(flat, centres, 14, np.zeros((0, 2), dtype=np.int64))
    assert (side * flat[near][:, :, 0] < 0.0).any()
    # Far from the walls nothing changes.
    far = np.abs(centres[:, 0]) > 70.0
    assert np.array_equal(np.sort(seen[far], axis=1), np.sort(near[far], axis=1))
