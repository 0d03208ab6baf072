from itertools import pairwise

import numpy as np
import pytest

from buckwright.geometry.mesh import boundary_loops, edges_of, triangle_areas
from buckwright.geometry.triangulation import (
    conforming_triangles,
    crossing_sides,
    triangles_within,
    triangulate_region,
)
from meshes_on_paper import evenly, plane_rectangle

SQUARE = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]])


def _outline(corners: np.ndarray, count: int) -> np.ndarray:
    following = np.roll(corners, -1, axis=0)
    return np.vstack(
        [np.linspace(a, b, count + 1)[:-1] for a, b in zip(corners, following, strict=True)]
    )


def _ring(count: int, radius: float, centre: tuple[float, float]) -> np.ndarray:
    turn = 2.0 * np.pi * np.arange(count) / count
    return np.array(centre) + radius * np.column_stack([np.cos(turn), np.sin(turn)])


def _quality(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    """1 for an equilateral triangle, 0 for a flat one."""
    corners = points[triangles]
    sides = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2)
    return np.asarray(4.0 * np.sqrt(3.0) * triangle_areas(points, triangles) / (sides**2).sum(1))


def test_triangles_are_even_and_cover_the_region() -> None:
    points, triangles = plane_rectangle(1000.0, 600.0, 25.0)
    areas = triangle_areas(points, triangles)
    assert areas.min() > 0.0
    assert areas.sum() == pytest.approx(6e5, rel=1e-12)
    edges, _ = edges_of(triangles)
    length = np.linalg.norm(points[edges[:, 0]] - points[edges[:, 1]], axis=1)
    assert 0.9 * 25.0 < length.mean() < 1.1 * 25.0
    assert length.max() < 1.9 * 25.0
    assert length.min() > 0.45 * 25.0
    quality = _quality(points, triangles)
    assert quality.min() > 0.45
    assert quality.mean() > 0.93


def test_lines_across_the_region_become_edges() -> None:
    rim = _ring(60, 300.0, (0.0, 0.0))
    # A line a hand's breadth from the rim, and one that crosses it at a small angle.
    first = np.linspace([-250.0, 40.0], [250.0, 40.0], 21)
    second = np.linspace([-250.0, 10.0], [250.0, 70.0], 21)
    middle = np.array([[0.0, 40.0]])
    points = np.vstack([rim, np.delete(first, 10, 0), np.delete(second, 10, 0), middle])
    one = [*range(60, 70), 100, *range(70, 80)]
    two = [*range(80, 90), 100, *range(90, 100)]
    sides = np.array([pair for run in (one, two) for pair in pairwise(run)])
    found, triangles = triangulate_region(points, np.arange(60), sides, evenly(30.0))
    assert np.array_equal(found[: len(points)], points)
    edges = {tuple(e) for e in edges_of(triangles)[0].tolist()}
    assert {tuple(sorted(s)) for s in sides.tolist()} <= edges
    assert triangle_areas(found, triangles).min() > 0.0


def test_a_region_with_reflex_corners_keeps_its_outline() -> None:
    outline = np.array([[0, 0], [400, 0], [400, 300], [250, 300], [250, 100], [0, 100]], float)
    rim = _outline(outline, 8)
    points, triangles = triangulate_region(
        rim, np.arange(len(rim)), np.zeros((0, 2), dtype=np.int64), evenly(20.0)
    )
    assert triangle_areas(points, triangles).sum() == pytest.approx(400 * 100 + 150 * 200)
    (loop,) = boundary_loops(triangles)
    assert np.array_equal(np.roll(loop, -int(np.argmin(loop))), np.arange(len(rim)))


def test_edges_get_longer_where_that_is_wanted() -> None:
    rim = 8.0 * _outline(SQUARE, 10)
    points, triangles = triangulate_region(
        rim,
        np.arange(len(rim)),
        np.zeros((0, 2), dtype=np.int64),
        lambda at: 20.0 + 40.0 * at[:, 0] / 800.0,
    )
    edges, _ = edges_of(triangles)
    free = (edges >= len(rim)).all(axis=1)
    middle = points[edges].mean(axis=1)[free]
    length = np.linalg.norm(points[edges[free, 0]] - points[edges[free, 1]], axis=1)
    left, right = length[middle[:, 0] < 200.0].mean(), length[middle[:, 0] > 600.0].mean()
    assert 1.5 < right / left < 2.5


def test_a_missing_side_is_made_by_turning_edges() -> None:
    rng = np.random.default_rng(8)
    points = np.vstack([SQUARE, rng.uniform(5.0, 95.0, (200, 2)), [[3.0, 50.0], [97.0, 51.0]]])
    rim = np.array([[0, 1], [1, 2], [2, 3], [3, 0]])
    sides = np.vstack([np.sort(rim, axis=1), [[204, 205]]])
    triangles = conforming_triangles(points, rim, sides)
    edges = {tuple(e) for e in edges_of(triangles)[0].tolist()}
    assert (204, 205) in edges
    areas = triangle_areas(points, triangles)
    assert areas.min() > 0.0
    assert areas.sum() == pytest.approx(1e4)


def test_sides_that_cross_are_found_and_refused() -> None:
    points = np.vstack([SQUARE, [[50.0, 20.0], [50.0, 80.0], [20.0, 50.0], [80.0, 50.0]]])
    rim = np.array([[0, 1], [1, 2], [2, 3], [3, 0]])
    sides = np.vstack([np.sort(rim, axis=1), [[4, 5], [6, 7]]])
    assert crossing_sides(points, sides).tolist() == [[4, 5]]
    with pytest.raises(ValueError, match="no edge"):
        conforming_triangles(points, rim, sides)


def test_sides_that_share_an_end_do_not_cross() -> None:
    assert len(crossing_sides(SQUARE, np.array([[0, 1], [1, 2], [0, 2]]))) == 0


def test_triangles_within_two_rings_are_those_between_them_inverted() -> None:
    points, triangles = plane_rectangle(400.0, 300.0, 20.0)
    outer, inner = _ring(24, 110.0, (200.0, 150.0)), _ring(12, 50.0, (200.0, 150.0))
    rim = boundary_loops(triangles)[0]
    given = np.vstack([points[rim], outer, inner])
    start = len(rim)
    rings = [np.arange(start, start + 24), np.arange(start + 24, start + 36)]
    walls = np.vstack([np.column_stack([ring, np.roll(ring, -1)]) for ring in rings])
    found, triangles = triangulate_region(given, np.arange(start), walls, evenly(20.0))
    within = triangles_within(triangles, walls[:24])
    away = np.linalg.norm(found[triangles].mean(axis=1) - [200.0, 150.0], axis=1)
    assert np.array_equal(within, away < 109.0)
    between = triangles_within(triangles, walls)
    assert triangle_areas(found, triangles[between]).sum() == pytest.approx(
        12.0 * 110.0**2 * np.sin(np.pi / 12.0) - 6.0 * 50.0**2 * np.sin(np.pi / 6.0)
    )


def test_a_wall_that_is_no_edge_is_refused() -> None:
    _, triangles = plane_rectangle(100.0, 100.0, 20.0)
    with pytest.raises(ValueError, match="closed loop"):
        triangles_within(triangles, np.array([[0, 12]]))
