import numpy as np
import pytest

from buckwright.geometry import box_tree
from buckwright.geometry.box_tree import BoxTree
from buckwright.geometry.mesh import MeshLocator
from meshes_on_paper import sphere_cap


def _corners() -> np.ndarray:
    points, triangles = sphere_cap(500.0, 0.9, 60.0)
    return points[triangles]


def test_every_triangle_within_the_distance_is_among_the_pairs() -> None:
    corners = _corners()
    rng = np.random.default_rng(4)
    points, reach = rng.uniform(-600.0, 600.0, (60, 3)), rng.uniform(50.0, 500.0, 60)
    owner, triangle = BoxTree(corners).within(points, reach)
    pairs = set(zip(owner.tolist(), triangle.tolist(), strict=True))
    low, high = corners.min(axis=1), corners.max(axis=1)
    for k, (point, distance) in enumerate(zip(points, reach, strict=True)):
        off = np.linalg.norm(np.maximum(np.maximum(low - point, point - high), 0.0), axis=1)
        assert {(k, int(t)) for t in np.flatnonzero(off <= distance)} <= pairs
    assert np.all(np.diff(owner) >= 0)


@pytest.mark.parametrize("count", [1, 2, 3, 5, 17])
def test_trees_of_few_triangles_are_complete(count: int) -> None:
    corners = _corners()[:count]
    owner, triangle = BoxTree(corners).within(np.zeros((1, 3)), np.array([1e4]))
    assert owner.tolist() == [0] * count
    assert sorted(triangle.tolist()) == list(range(count))


def test_many_points_are_answered_in_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    tree = BoxTree(_corners())
    rng = np.random.default_rng(4)
    points, reach = rng.uniform(-600.0, 600.0, (50, 3)), np.full(50, 300.0)
    whole = tree.within(points, reach)
    monkeypatch.setattr(box_tree, "PAIRS", 256 * 7)
    parts = tree.within(points, reach)
    assert np.array_equal(whole[0], parts[0])
    assert np.array_equal(whole[1], parts[1])


def test_points_on_the_mesh_are_found_on_it() -> None:
    points, triangles = sphere_cap(500.0, 0.9, 60.0)
    locator = MeshLocator(points, triangles)
    weights = np.random.default_rng(1).dirichlet(np.ones(3), len(triangles))
    on = np.einsum("ki,kid->kd", weights, points[triangles])
    for asked in (on, points):
        distance, found, _, _ = locator.closest(asked)
        assert np.abs(distance).max() < 1e-10
        assert found == pytest.approx(asked, abs=1e-10)


def test_no_points_get_no_answers() -> None:
    points, triangles = sphere_cap(500.0, 0.9, 120.0)
    distance, found, triangle, weights = MeshLocator(points, triangles).closest(np.zeros((0, 3)))
    assert [len(part) for part in (distance, found, triangle, weights)] == [0, 0, 0, 0]
