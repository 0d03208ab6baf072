import numpy as np
import pytest

from buckwright.geometry.cubic_mesh import CubicMesh
from buckwright.geometry.mesh import vertex_normals
from buckwright.geometry.refine import refined_places
from meshes_on_paper import MOVES, over_rectangle, sphere_cap


def _refined(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    owner, weights, _ = refined_places(triangles, len(points), 3)
    return CubicMesh(points, triangles).at(owner, weights)


def test_points_lie_on_the_ball_that_the_vertices_came_from() -> None:
    found = _refined(*sphere_cap(500.0, 0.6, 30.0))
    # Chords of 30 mm lie up to 0.3 mm inside.
    assert np.abs(np.linalg.norm(found, axis=1) - 500.0).max() < 3e-3


def test_halving_the_edges_leaves_a_tenth_of_the_error_at_most() -> None:
    def wave(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        return np.column_stack([u, v, 30.0 * np.sin(u / 90.0) * np.cos(v / 120.0)])

    worst = []
    for step in (40.0, 20.0):
        points, triangles, flat = over_rectangle(wave, 600.0, 400.0, step)
        found = _refined(points, triangles)
        inside = (np.abs(found[:, :2]) < np.abs(flat).max(axis=0) - 3.0 * step).all(axis=1)
        off = found[:, 2] - wave(found[:, 0], found[:, 1])[:, 2]
        worst.append(np.abs(off[inside]).max())
    assert worst[1] < 0.1 * worst[0]
    assert worst[1] < 0.01


@pytest.mark.parametrize("name", MOVES)
def test_the_surface_moves_with_its_mesh(name: str) -> None:
    points, triangles = sphere_cap(300.0, 0.7, 40.0)
    move = MOVES[name]
    turned = triangles
    outward = np.einsum(
        "ij,ij->i",
        move(points + vertex_normals(points, triangles)) - move(points),
        vertex_normals(move(points), triangles),
    ).sum()
    if outward < 0.0:
        turned = triangles[:, ::-1]
    owner, weights, _ = refined_places(triangles, len(points), 2)
    first = CubicMesh(points, triangles).at(owner, weights)
    mirrored = weights[:, ::-1] if turned is not triangles else weights
    second = CubicMesh(move(points), turned).at(owner, mirrored)
    assert second == pytest.approx(move(first), abs=1e-6)


def test_points_are_moved_along_normals_only() -> None:
    points, triangles = sphere_cap(500.0, 0.6, 30.0)
    surface = CubicMesh(points, triangles)
    owner = np.arange(len(triangles))
    weights = np.full((len(triangles), 3), 1.0 / 3.0)
    there = surface.at(owner, weights)
    above = there * 1.002
    back = surface.lift(owner, weights, above)
    assert np.abs(np.linalg.norm(back, axis=1) - 500.0).max() < 3e-3
    assert np.linalg.norm(back - there, axis=1).max() < 0.05
