"""The skin and its curvature against exact results, libigl, trimesh and the example's truth."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import igl
import numpy as np
import pytest
import trimesh

from buckwright.geometry.curvature import angle_defects, mesh_curvatures
from buckwright.geometry.mesh import (
    MeshLocator,
    boundary_loops,
    cotangent_laplacian,
    section_mesh,
    triangle_areas,
    triangle_normals,
    vertex_areas,
)
from buckwright.geometry.polyline import polyline_length
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec
from buckwright.skin import span_region, span_skin
from meshes_on_paper import inner_vertices, over_rectangle, sphere_cap
from networks_on_paper import cap, network_of, tunnel

WREN = Path(__file__).parents[2] / "examples" / "wren"
sys.path.insert(0, str(WREN))
import shape  # noqa: E402
import truelines  # noqa: E402

Surface = Callable[[np.ndarray, np.ndarray], np.ndarray]


# Curvature: closed forms (differential geometry texts), and libigl 2.6 beside it


def _torus(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    out = 430.0 + 230.0 * (np.cos(v / 230.0) - 1.0)
    return np.column_stack(
        [out * np.sin(u / 430.0), 230.0 * np.sin(v / 230.0), out * np.cos(u / 430.0)]
    )


def _torus_bends(u: np.ndarray, v: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    out = 430.0 + 230.0 * (np.cos(v / 230.0) - 1.0)
    return np.full(len(v), 1.0 / 230.0), np.cos(v / 230.0) / out


def _catenoid(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    r = 300.0 * np.cosh(v / 300.0)
    return np.column_stack([r * np.sin(u / 300.0), v, r * np.cos(u / 300.0)])


def _catenoid_bends(u: np.ndarray, v: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    bend = 1.0 / (300.0 * np.cosh(v / 300.0) ** 2)
    return bend, -bend


AXES = (900.0, 500.0, 350.0)


def _ellipsoid(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    x, y = u / AXES[0], v / AXES[1]
    return np.column_stack([u, v, AXES[2] * np.sqrt(1.0 - x * x - y * y)])


def _ellipsoid_bends(u: np.ndarray, v: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    a, b, c = AXES
    x, y, z = _ellipsoid(u, v).T
    q = x**2 / a**4 + y**2 / b**4 + z**2 / c**4
    gauss = 1.0 / (a * b * c * q) ** 2
    mean = (a * a + b * b + c * c - x * x - y * y - z * z) / (2.0 * (a * b * c) ** 2 * q**1.5)
    root = np.sqrt(np.maximum(mean**2 - gauss, 0.0))
    return mean + root, mean - root


@pytest.mark.parametrize(
    ("surface", "bends", "worst"),
    [
        (_torus, _torus_bends, 0.02),
        (_catenoid, _catenoid_bends, 0.02),
        (_ellipsoid, _ellipsoid_bends, 0.02),
    ],
)
def test_principal_curvatures_of_known_surfaces(
    surface: Surface, bends: Callable, worst: float
) -> None:
    points, triangles, flat = over_rectangle(surface, 600.0, 360.0, 15.0)
    outward = triangle_normals(points, triangles)[:, 2].sum() > 0.0
    triangles = triangles if outward else triangles[:, ::-1]
    exact = np.sort(np.stack(bends(*flat.T)), axis=0)
    found = mesh_curvatures(points, triangles)
    inside = inner_vertices(triangles, len(points), rings=2)
    scale = np.abs(exact).max(axis=0)
    for ours, true in ((found.lesser, exact[0]), (found.greater, exact[1])):
        assert (np.abs(ours - true) / scale)[inside].max() < worst
    # libigl's quadrics on the same mesh (its signs are turned: it knows no outside).
    theirs = igl.principal_curvature(points, triangles.astype(np.int64))
    pairs = np.sort(np.stack([np.ravel(theirs[2]), np.ravel(theirs[3])]), axis=0)
    if pairs[:, inside].mean() * exact[:, inside].mean() < 0.0:
        pairs = -pairs[::-1]
    off = (np.abs(pairs - exact) / scale)[:, inside].max()
    ours_off = max(
        (np.abs(found.lesser - exact[0]) / scale)[inside].max(),
        (np.abs(found.greater - exact[1]) / scale)[inside].max(),
    )
    assert ours_off <= off


def test_a_balls_curvature_and_its_integral_are_exact() -> None:
    points, triangles = sphere_cap(500.0, 0.6, 15.0)
    found = mesh_curvatures(points, triangles)
    assert found.greater == pytest.approx(1.0 / 500.0, rel=5e-3)
    assert found.lesser == pytest.approx(1.0 / 500.0, rel=5e-3)
    inside = inner_vertices(triangles, len(points))
    defects, areas = angle_defects(points, triangles), vertex_areas(points, triangles)
    # Each defect inside is the curvature of the area that belongs to its vertex.
    assert defects[inside].sum() == pytest.approx(areas[inside].sum() / 500.0**2, rel=2e-3)
    assert defects.sum() == pytest.approx(2.0 * np.pi, abs=1e-9)


# Meshes against libigl and trimesh


def test_laplacian_distances_and_sections_are_those_of_libigl_and_trimesh() -> None:
    points, triangles = sphere_cap(500.0, 0.9, 30.0)
    stiffness = cotangent_laplacian(points, triangles)
    assert abs(stiffness + igl.cotmatrix(points, triangles)).max() < 1e-12
    rng = np.random.default_rng(2)
    asked = np.vstack(
        [
            points[rng.integers(0, len(points), 2000)] + rng.normal(0.0, 20.0, (2000, 3)),
            rng.uniform(-800.0, 800.0, (1000, 3)),
        ]
    )
    distance, found, _, _ = MeshLocator(points, triangles).closest(asked)
    square, _, nearest = igl.point_mesh_squared_distance(asked, points, triangles)
    assert np.abs(distance) == pytest.approx(np.sqrt(square), abs=1e-9)
    assert np.linalg.norm(asked - found, axis=1) == pytest.approx(
        np.linalg.norm(asked - nearest, axis=1), abs=1e-9
    )
    plane = {"origin": np.array([30.0, 0.0, 450.0]), "normal": np.array([0.2, 0.3, 1.0])}
    ours = sum(
        polyline_length(line, closed=closed)
        for line, closed in section_mesh(points, triangles, **plane)
    )
    theirs = trimesh.intersections.mesh_plane(
        trimesh.Trimesh(points, triangles, process=False), plane["normal"], plane["origin"]
    )
    assert ours == pytest.approx(np.linalg.norm(np.diff(theirs, axis=1), axis=2).sum(), rel=1e-12)


# The skin: exact solids


def test_the_skin_of_a_cap_has_the_area_and_volume_of_the_cap() -> None:
    network, spec = cap(radius=500.0, half_angle=0.6)
    found = []
    for step in (24.0, 12.0):
        region = span_region(network, spec, edge_length=step)
        assert np.abs(np.linalg.norm(region.vertices, axis=1) - 500.0).max() < 0.02
        # Divergence theorem; the flat lid at z = R cos a adds nothing to the integral.
        a, b, c = np.moveaxis(region.corners() - [0.0, 0.0, 500.0 * np.cos(0.6)], 1, 0)
        volume = np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0
        found.append((triangle_areas(region.vertices, region.triangles).sum(), volume))
    height = 500.0 * (1.0 - np.cos(0.6))
    exact = (2.0 * np.pi * 500.0 * height, np.pi * height**2 * (1500.0 - height) / 3.0)
    # Chords leave out a share that falls with the square of the edge length.
    assert found[1] == pytest.approx(exact, rel=2e-3)
    without_chords = (4.0 * np.array(found[1]) - np.array(found[0])) / 3.0
    assert without_chords == pytest.approx(np.array(exact), rel=1e-4)


def test_sections_of_the_skin_of_a_ball_are_circles() -> None:
    network, spec = cap(radius=500.0, half_angle=0.6)
    region = span_region(network, spec, edge_length=20.0)
    ((circle, closed),) = section_mesh(
        region.vertices,
        region.triangles,
        origin=np.array([0.0, 0.0, 500.0 * np.cos(0.4)]),
        normal=np.array([0.0, 0.0, 1.0]),
    )
    assert closed
    assert np.linalg.norm(circle[:, :2], axis=1) == pytest.approx(500.0 * np.sin(0.4), abs=0.3)


def test_the_skin_obeys_gauss_and_bonnet() -> None:
    for (network, spec), euler in ((cap(), 1), (tunnel(), 0)):
        region = span_region(network, spec, edge_length=60.0)
        total = angle_defects(region.vertices, region.triangles).sum()
        assert total == pytest.approx(2.0 * np.pi * euler, abs=1e-6)


# The crowned cab of the design notes: an arc of 166 degrees, 1.6 m long, seven by seven lines


def _cab(s: np.ndarray, t: np.ndarray) -> np.ndarray:
    turn = np.radians(166.0) * (t - 0.5)
    radius = (640.0 + 70.0 * (1.0 - (2.0 * s - 1.0) ** 2)) * (1.0 + 0.05 * np.cos(2.0 * turn))
    x = 1600.0 * s + 40.0 * np.sin(np.pi * t) * (2.0 * s - 1.0)
    return np.stack([x, radius * np.sin(turn), 400.0 + radius * np.cos(turn)], axis=-1)


@pytest.mark.parametrize("edge", [25.0, 10.0])
def test_a_crowned_cab_is_spanned_closer_than_the_filling_of_the_design_notes(
    edge: float,
) -> None:
    grid = np.linspace(0.0, 1.0, 7)
    curves = {f"arch {k}": (lambda t, c=c: _cab(c + 0.0 * t, t)) for k, c in enumerate(grid)}
    curves |= {f"long {k}": (lambda t, c=c: _cab(t, c + 0.0 * t)) for k, c in enumerate(grid)}
    inner = tuple(f"{kind} {k}" for kind in ("arch", "long") for k in range(1, 6))
    spec = RegionSpec(name="cab", boundary=("arch 0", "long 6", "arch 6", "long 0"), inner=inner)
    # Up to 30 mm the skin is solved; shorter edges come from dividing its triangles.
    region = span_region(network_of(curves), spec, edge_length=edge)
    s, t = np.meshgrid(np.linspace(0, 1, 401), np.linspace(0, 1, 401), indexing="ij")
    true = _cab(s.ravel(), t.ravel())
    number = np.arange(len(true)).reshape(s.shape)
    a, b, c, d = number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]
    triangles = np.vstack([np.stack(q, -1).reshape(-1, 3) for q in ((a, b, c), (a, c, d))])
    off = MeshLocator(true, triangles).closest(region.vertices)[0]
    # Open CASCADE's filling on such lines: greatest 0.47, rms 0.11 mm, no wrong sign.
    assert np.abs(off).max() < 0.47
    assert np.sqrt(np.mean(off**2)) < 0.11
    rim = boundary_loops(region.triangles)[0]
    inside = np.setdiff1d(np.arange(len(region.vertices)), rim)
    gauss = angle_defects(region.vertices, region.triangles)[inside]
    areas = vertex_areas(region.vertices, region.triangles)[inside]
    assert areas[gauss <= 0.0].sum() / areas.sum() < 1e-3


# The example's true surfaces, written by others


def _grid(surface: Surface, u: np.ndarray, v: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    uu, vv = np.meshgrid(u, v, indexing="ij")
    number = np.arange(uu.size).reshape(uu.shape)
    a, b, c, d = number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]
    triangles = np.vstack([np.stack(q, -1).reshape(-1, 3) for q in ((a, b, c), (a, c, d))])
    return surface(uu.ravel(), vv.ravel()), triangles


@pytest.fixture(scope="module", name="example")
def _example() -> tuple[Job, LineNetwork]:
    """The example's job, and its lines without error."""
    job = Job.model_validate_json((WREN / "job.json").read_text(encoding="utf-8"))
    used = {n for r in job.regions for n in (*r.boundary, *r.inner, *r.holes)}
    lines = {name: line for name, line in truelines.lines().items() if name in used}
    closed = frozenset(name for name, (_, ring) in lines.items() if ring)
    curves = {name: curve for name, (curve, _) in lines.items()}
    return job, network_of(curves, closed=closed, points=241)


@pytest.mark.parametrize(
    ("name", "wing"), [("front wing", shape.FRONT_WING), ("rear wing", shape.REAR_WING)]
)
def test_the_examples_wings_are_found_from_three_lines(
    example: tuple[Job, LineNetwork], name: str, wing: Any
) -> None:
    job, network = example
    (spec,) = (r for r in job.regions if r.name == name)
    region = span_region(network, spec, edge_length=25.0)
    reach, half = 1.03 * wing.reach, 1.04 * wing.half_width
    u = np.linspace(wing.middle - reach, wing.middle + reach, 500)
    off = MeshLocator(*_grid(wing.point, u, np.linspace(-half, half, 160))).closest(
        region.vertices
    )[0]
    assert np.abs(off).max() < 0.2
    assert np.sqrt(np.mean(off**2)) < 0.06


@pytest.mark.slow
def test_the_examples_body_and_scuttle_are_found_and_meet(
    example: tuple[Job, LineNetwork],
) -> None:
    job, network = example
    chosen = tuple(r for r in job.regions if r.name in ("body", "scuttle", "rear panel"))
    skin = span_skin(network, chosen, edge_length=25.0)
    x, turn = np.linspace(400.0, 2930.0, 420), np.linspace(0.0, np.pi, 900)
    scuttle, body = (skin.region(name).vertices for name in ("scuttle", "body"))
    over = _grid(shape.scuttle_top, np.linspace(400.0, 720.0, 160), turn)
    off = np.abs(MeshLocator(*over).closest(scuttle)[0])
    assert off.max() < 0.7
    assert np.sqrt(np.mean(off**2)) < 0.25
    above = body[:, 2] >= shape.belt_height(body[:, 0])
    parts = [(above, _grid(shape.body_upper, x, turn))]
    for side in (-1.0, 1.0):

        def low(x: np.ndarray, w: np.ndarray, side: float = side) -> np.ndarray:
            return np.asarray(shape.body_lower(x, shape.belt_height(x) - w, side))

        mine = ~above & (body[:, 1] * side > 0.0)
        parts.append((mine, _grid(low, x, np.linspace(0.0, 720.0, 300))))
    off = np.concatenate([np.abs(MeshLocator(*m).closest(body[asked])[0]) for asked, m in parts])
    # Behind the doors no line crosses 1.4 m of the body, which its findings say.
    assert off.max() < 4.0
    assert np.sqrt(np.mean(off**2)) < 0.8
    shared = []
    for name in ("body", "rear panel"):
        region = skin.region(name)
        (track,) = (t for t in region.boundary if t.line == "rear edge")
        shared.append({tuple(p) for p in region.vertices[track.vertices].tolist()})
    assert len(shared[0]) > 100
    assert shared[0] == shared[1]
    assert "long-field" in {f.code for f in skin.region("body").findings}
