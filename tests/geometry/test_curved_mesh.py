"""Curved triangles and quadric normals on surfaces known on paper."""

import numpy as np
import pytest
from numpy.typing import NDArray

from buckwright.geometry.curved_mesh import CurvedMesh, quadric_normals
from buckwright.geometry.mesh import vertex_normals
from skins_on_paper import grid_region, off_torus, torus

Array = NDArray[np.float64]
RING, TUBE = 500.0, 200.0


def _torus(edge: float) -> tuple[Array, NDArray[np.int64], Array]:
    u = np.linspace(0.0, 1.0, round(RING / edge) + 1)
    v = np.linspace(-0.6, 1.0, round(1.6 * TUBE / edge) + 1)
    region = grid_region(
        "torus",
        torus(RING, TUBE),
        u,
        v,
        outward=lambda p: p - RING * p * [1.0, 1.0, 0.0] / np.hypot(p[:, :1], p[:, 1:2]),
    )
    return region.vertices, region.triangles, _normal_of(region.vertices)


def _normal_of(points: Array) -> Array:
    ring = np.hypot(points[:, :1], points[:, 1:2])
    away = points - RING * points * [1.0, 1.0, 0.0] / ring
    return np.asarray(away / np.linalg.norm(away, axis=1, keepdims=True))


def _angles(a: Array, b: Array) -> Array:
    return np.linalg.norm(np.cross(a, b), axis=1)


def test_normals_are_second_order_also_at_the_rim() -> None:
    worst = []
    for edge in (20.0, 10.0, 5.0):
        vertices, triangles, exact = _torus(edge)
        found = quadric_normals(vertices, triangles)
        worst.append(float(_angles(found, exact).max()))
        assert worst[-1] < 0.3 * _angles(vertex_normals(vertices, triangles), exact).max()
    # Halving the edge makes the error at least three times smaller.
    assert worst[1] < worst[0] / 3.0
    assert worst[2] < worst[1] / 3.0
    assert worst[2] < 1e-3


def test_curved_triangles_follow_the_surface_that_flat_ones_cut_off() -> None:
    vertices, triangles, _ = _torus(20.0)
    mesh = CurvedMesh(vertices, triangles)
    weights = np.tile([0.4, 0.35, 0.25], (len(triangles), 1))
    every = np.arange(len(triangles))
    flat = np.einsum("kw,kwd->kd", weights, vertices[triangles])
    points, normals = mesh.at(every, weights)
    assert np.abs(off_torus(flat, RING, TUBE)).max() > 0.25
    assert np.abs(off_torus(points, RING, TUBE)).max() < 0.02
    assert _angles(normals, _normal_of(points)).max() < 0.01
    corner, _ = mesh.at(every, np.tile([0.0, 1.0, 0.0], (len(triangles), 1)))
    assert corner == pytest.approx(vertices[triangles[:, 1]])


def test_points_slid_into_a_plane_lie_in_it_and_on_the_surface() -> None:
    vertices, triangles, _ = _torus(10.0)
    mesh = CurvedMesh(vertices, triangles)
    origin, normal = np.array([0.0, 200.0, 0.0]), np.array([0.2, 1.0, 0.1])
    height = (vertices - origin) @ normal
    near = vertices[np.abs(height) < 3.0]
    points, _ = mesh.on_plane(near, origin, normal)
    assert np.abs((points - origin) @ normal).max() < 1e-9
    assert np.abs(off_torus(points, RING, TUBE)).max() < 0.05


def test_the_five_moves() -> None:
    vertices, triangles, _ = _torus(20.0)
    plain = quadric_normals(vertices, triangles)
    c, s = np.cos(0.8), np.sin(0.8)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])[:, [1, 2, 0]]
    assert quadric_normals(vertices @ turn.T, triangles) == pytest.approx(plain @ turn.T, abs=1e-9)
    assert quadric_normals(vertices + 7e3, triangles) == pytest.approx(plain, abs=1e-7)
    assert quadric_normals(12.0 * vertices, triangles) == pytest.approx(plain, abs=1e-9)
    mirror = np.array([1.0, -1.0, 1.0])
    mirrored = quadric_normals(vertices * mirror, triangles[:, ::-1])
    assert mirrored == pytest.approx(plain * mirror, abs=1e-9)
    assert quadric_normals(vertices, triangles[:, ::-1]) == pytest.approx(-plain, abs=1e-9)
