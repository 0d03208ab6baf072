"""Flat and singly curved fields, on surfaces that are known."""

import numpy as np
import pytest
from numpy.typing import NDArray

from buckwright.geometry.cone import Cone, fit_cone
from buckwright.geometry.mesh import triangle_areas
from buckwright.model.skin import LineTrack, RegionSpec, Skin, SkinRegion
from buckwright.skin.exactly import with_rolled_fields
from buckwright.skin.rolled import rolled_fields, rolled_whole

Array = NDArray[np.float64]

COLUMNS, ROWS = 41, 25


def sheet(name: str, vertices: Array, *, parted_at: int | None = None) -> SkinRegion:
    """A grid of COLUMNS x ROWS vertices, perhaps parted by a line along one of its columns."""
    corner = np.arange(COLUMNS - 1)[:, None] * ROWS + np.arange(ROWS - 1)
    a = corner.ravel()
    b = a + ROWS
    triangles = np.vstack([np.column_stack([a, b, b + 1]), np.column_stack([a, b + 1, a + 1])])
    rim = np.concatenate(
        [
            np.arange(COLUMNS) * ROWS,
            (COLUMNS - 1) * ROWS + np.arange(1, ROWS),
            np.arange(COLUMNS - 2, -1, -1) * ROWS + ROWS - 1,
            np.arange(ROWS - 2, 0, -1),
        ]
    )
    inner = ()
    if parted_at is not None:
        column = parted_at * ROWS + np.arange(ROWS)
        inner = (LineTrack(line="shoulder", vertices=column, closed=False),)
    return SkinRegion(
        name=name,
        side="whole",
        vertices=vertices,
        triangles=triangles,
        chart=vertices[:, :2],
        boundary=(LineTrack(line="rim", vertices=rim, closed=True),),
        inner=inner,
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )


def grid() -> tuple[Array, Array]:
    u, v = np.meshgrid(np.linspace(0, 1, COLUMNS), np.linspace(0, 1, ROWS), indexing="ij")
    return u.ravel(), v.ravel()


def tube(radius: float = 500.0) -> Array:
    """A quarter of a tube about the x axis, 800 mm long."""
    u, v = grid()
    turn = 1.2 * (u - 0.5)
    return np.column_stack([800.0 * v, radius * np.sin(turn), radius * np.cos(turn)])


def funnel() -> Array:
    """A piece of a cone of half angle 0.3 with its apex 1 m ahead of it."""
    u, v = grid()
    turn, down = 1.2 * (u - 0.5), 1000.0 + 700.0 * v
    out = np.column_stack([np.zeros_like(u), np.sin(turn), np.cos(turn)])
    return down[:, None] * (np.cos(0.3) * np.array([1.0, 0, 0]) + np.sin(0.3) * out)


def plate() -> Array:
    u, v = grid()
    return np.column_stack([900.0 * u, 500.0 * v, 100.0 + 90.0 * u])


def dome() -> Array:
    u, v = grid()
    x, y = 600.0 * (u - 0.5), 500.0 * (v - 0.5)
    return np.column_stack([x, y, np.sqrt(900.0**2 - x**2 - y**2)])


def test_a_plate_is_flat_and_a_dome_nothing_that_can_be_rolled() -> None:
    (field,) = rolled_fields(sheet("floor", plate()))
    assert (field.kind, field.rulings) == ("flat", ())
    normal = np.array([-90.0, 0.0, 900.0]) / np.hypot(90.0, 900.0)
    np.testing.assert_allclose(np.abs(np.array(field.axis) @ normal), 1.0, atol=1e-12)
    assert field.off_most < 1e-9
    assert rolled_fields(sheet("roof", dome())) == ()


def test_a_tube_tells_its_radius_its_axis_and_rulings_along_it() -> None:
    (field,) = rolled_fields(sheet("bonnet side", tube()))
    assert field.kind == "cylinder"
    assert field.radius[0] == field.radius[1] == pytest.approx(500.0, rel=1e-7)
    assert abs(field.axis[0]) == pytest.approx(1.0, abs=1e-9)
    assert field.area == pytest.approx(800.0 * 1.2 * 500.0, rel=2e-4)
    assert len(field.rulings) == 9
    for ruling in field.rulings:
        np.testing.assert_allclose(np.ptp(ruling, axis=0), [800.0, 0.0, 0.0], atol=1e-4)
        assert np.hypot(*ruling[0, 1:]) == pytest.approx(500.0, abs=1e-4)
    assert "radius 500 mm: roll it" in field.words


def test_a_funnel_tells_its_apex_and_both_radii() -> None:
    (field,) = rolled_fields(sheet("bonnet", funnel()))
    assert field.kind == "cone"
    assert field.apex == pytest.approx((0.0, 0.0, 0.0), abs=1e-4)
    exact = (1000.0 * np.tan(0.3), 1700.0 * np.tan(0.3))
    assert field.radius == pytest.approx(exact, rel=1e-6)
    for ruling in field.rulings:
        ways = ruling / np.linalg.norm(ruling, axis=1, keepdims=True)
        np.testing.assert_allclose(ways[0], ways[1], atol=1e-7)


def test_the_cone_fit_gets_back_any_cone_and_keeps_to_the_five_moves() -> None:
    rng = np.random.default_rng(7)
    for _ in range(12):
        axis = rng.normal(size=3)
        cone = Cone(rng.normal(0, 300, 3), axis / np.linalg.norm(axis), rng.uniform(0.08, 1.2))
        across = np.linalg.svd(cone.axis[None])[2][1:]
        turn, down = rng.uniform(-1.0, 1.0, 150), rng.uniform(500.0, 1100.0, 150)
        out = np.cos(turn)[:, None] * across[0] + np.sin(turn)[:, None] * across[1]
        c, s = np.cos(cone.half_angle), np.sin(cone.half_angle)
        points = cone.apex + down[:, None] * (c * cone.axis + s * out)
        found = fit_cone(points, c * out - s * cone.axis)
        np.testing.assert_allclose(found.apex, cone.apex, atol=1e-5)
        assert found.half_angle == pytest.approx(cone.half_angle, abs=1e-9)
        np.testing.assert_allclose(found.foot(points), points, atol=1e-6)
        np.testing.assert_allclose(found.radius(points), down * np.tan(cone.half_angle), rtol=1e-6)


def test_a_line_parts_a_flat_field_from_a_rolled_one() -> None:
    vertices = tube()
    half = COLUMNS // 2
    edge = vertices[half * ROWS : half * ROWS + ROWS]
    away = np.arange(COLUMNS - half)[:, None, None] * np.array([0.0, 14.0, 0.0])
    vertices[half * ROWS :] = (edge + away).reshape(-1, 3)
    fields = rolled_fields(sheet("side", vertices, parted_at=half))
    assert sorted(field.kind for field in fields) == ["cylinder", "flat"]
    assert all(field.lines == ("rim", "shoulder") for field in fields)


def test_a_region_asked_for_is_made_exactly_so_and_its_neighbour_stays_joined() -> None:
    rough = tube()
    u, v = grid()
    rough[:, 2] += 0.4 * np.sin(5.0 * u) * np.sin(4.0 * v)
    beside = dome()
    beside[:ROWS] = rough[-ROWS:]
    skin = Skin(regions=(sheet("side", rough), sheet("roof", beside)))
    spec = RegionSpec(name="side", boundary=("rim",), rolled=1.0)
    after = with_rolled_fields(skin, (spec,))
    side, roof = after.regions
    (field,) = side.rolled
    assert field.exact
    (again,) = rolled_fields(side, near=1e-6)
    assert again.kind == "cylinder"
    assert np.abs(side.vertices - rough).max() < 1.0
    assert np.array_equal(roof.vertices[:ROWS], side.vertices[-ROWS:])
    assert np.array_equal(roof.vertices[ROWS:], beside[ROWS:])
    assert np.all(triangle_areas(side.vertices, side.triangles) > 0.0)


def test_one_that_cannot_be_rolled_stays_as_it_is_and_says_so() -> None:
    skin = Skin(regions=(sheet("roof", dome()),))
    spec = RegionSpec(name="roof", boundary=("rim",), rolled=2.0)
    (roof,) = with_rolled_fields(skin, (spec,)).regions
    assert [finding.code for finding in roof.findings] == ["not-rolled"]
    assert np.array_equal(roof.vertices, skin.regions[0].vertices)
    assert rolled_whole(skin.regions[0], near=2.0) is None
