"""The room a wheel takes on its lock, held to turning it by brute force."""

import numpy as np
import pytest

from buckwright.model.package import SweptWheel
from buckwright.people.metal import wheel_clearance
from buckwright.people.swept import clearance_to_swept, make_swept, swept_plan, tyre_mesh
from people.test_fit_people import tunnel, walls

LEFT = np.array([0.0, -690.0, 330.0])


def wheel(**changes: float) -> SweptWheel:
    sizes = {
        "radius": 330.0,
        "width": 125.0,
        "lock": 0.6,
        "kingpin": 60.0,
        "bump": 50.0,
        "rebound": 40.0,
    }
    return make_swept("front wheel left", LEFT, **(sizes | changes))


def in_tyre(one: SweptWheel, points: np.ndarray, angle: float, lift: float) -> np.ndarray:
    """Whether points (n, 3) are in the tyre at one place: by turning the points back."""
    off = points - LEFT - np.array([0.0, one.kingpin, lift])
    c, s = np.cos(-angle), np.sin(-angle)
    back = np.column_stack([c * off[:, 0] - s * off[:, 1], s * off[:, 0] + c * off[:, 1]])
    across = back[:, 1] + one.kingpin
    return (np.hypot(back[:, 0], off[:, 2]) <= one.radius) & (np.abs(across) <= one.width / 2)


def swept_by_force(one: SweptWheel, points: np.ndarray) -> np.ndarray:
    inside = np.zeros(len(points), dtype=bool)
    for angle in np.linspace(-one.lock, one.lock, 121):
        for lift in np.linspace(-one.rebound, one.bump, 31):
            inside |= in_tyre(one, points, angle, lift)
    return inside


def test_points_are_inside_just_where_turning_the_tyre_reaches_them() -> None:
    one = wheel()
    rng = np.random.default_rng(4)
    points = LEFT + rng.uniform(-1.0, 1.0, (4000, 3)) * [420.0, 300.0, 420.0]
    ours = clearance_to_swept(one, points)
    force = swept_by_force(one, points)
    # Steps of the brute force leave slivers: 0.01 rad at 330 mm, 3 mm of lift.
    sure = np.abs(ours) > 2.5
    assert sure.mean() > 0.9
    np.testing.assert_array_equal((ours < 0.0)[sure], force[sure])
    assert force.any()


def test_the_volume_is_the_share_of_random_points_that_the_tyre_reaches() -> None:
    one = wheel()
    rng = np.random.default_rng(5)
    half = np.array([420.0, 330.0, 420.0])
    points = LEFT + rng.uniform(-1.0, 1.0, (20_000, 3)) * half
    share = float(swept_by_force(one, points).mean())
    box = 8.0 * float(np.prod(half))
    error = box * np.sqrt(share * (1.0 - share) / len(points))
    assert one.volume == pytest.approx(share * box, abs=4.0 * error + 0.004 * one.volume)


def test_a_wheel_that_neither_steers_nor_springs_sweeps_its_own_cylinder() -> None:
    still = wheel(lock=0.0, bump=0.0, rebound=0.0)
    assert still.volume == pytest.approx(np.pi * 330.0**2 * 125.0, rel=1e-6)
    sprung = wheel(lock=0.0)
    assert sprung.volume == pytest.approx(still.volume + 90.0 * 660.0 * 125.0, rel=1e-6)


def test_distances_to_a_still_wheel_are_those_to_a_cylinder() -> None:
    still = wheel(lock=0.0, bump=0.0, rebound=0.0)
    points = LEFT + np.array(
        [
            [0.0, 0.0, 400.0],
            [500.0, 0.0, 0.0],
            [0.0, 100.0, 0.0],
            [0.0, 0.0, 0.0],
            [360.0, 102.5, 0],
        ]
    )
    expected = [70.0, 170.0, 37.5, -62.5, 50.0]
    np.testing.assert_allclose(clearance_to_swept(still, points), expected, atol=1e-9)


def test_bump_and_rebound_come_off_the_room_above_and_below() -> None:
    sprung = wheel(lock=0.0)
    above, below = LEFT + np.array([[0.0, 0.0, 400.0], [0.0, 0.0, -400.0]])
    assert clearance_to_swept(sprung, above[None])[0] == pytest.approx(20.0)
    assert clearance_to_swept(sprung, below[None])[0] == pytest.approx(30.0)


def test_the_plan_reaches_as_far_as_the_turned_corner() -> None:
    one = wheel()
    plan = swept_plan(one, LEFT[2])
    reach = np.hypot(plan[:, 0], plan[:, 1] - (LEFT[1] + one.kingpin)).max()
    assert reach == pytest.approx(np.hypot(330.0, 60.0 + 62.5), abs=1e-6)
    assert len(swept_plan(one, LEFT[2] + 330.0 + one.bump + 1.0)) == 0


def test_the_right_wheel_mirrors_the_left() -> None:
    left = wheel()
    mirror = np.array([1.0, -1.0, 1.0])
    right = make_swept(
        "right", LEFT * mirror, radius=330.0, width=125.0, lock=0.6, kingpin=60.0, bump=50.0,
        rebound=40.0,
    )  # fmt: skip
    points = LEFT + np.random.default_rng(6).uniform(-500.0, 500.0, (300, 3))
    np.testing.assert_allclose(
        clearance_to_swept(left, points), clearance_to_swept(right, points * mirror), atol=1e-9
    )
    assert right.volume == pytest.approx(left.volume)


def test_the_tyre_s_mesh_is_closed_and_holds_nearly_its_cylinder() -> None:
    vertices, triangles = tyre_mesh(wheel(), angle=0.3, lift=20.0)
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    volume = np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0
    # A prism on 32 sides.
    assert volume == pytest.approx(16.0 * np.sin(np.pi / 16.0) * 330.0**2 * 125.0, rel=1e-9)


def test_the_nearest_metal_is_found_through_the_middle_of_a_triangle() -> None:
    straight = wheel(lock=0.0, bump=0.0, rebound=0.0)
    skin = tunnel(walls(600.0))
    moved = make_swept(
        "w", np.array([1213.0, -690.0, 733.0]), radius=330.0, width=125.0, lock=0.0, kingpin=0.0,
        bump=0.0, rebound=0.0,
    )  # fmt: skip
    found = wheel_clearance(moved, skin, wanted=25.0)
    assert found.value == pytest.approx(90.0 - 62.5, abs=1e-9)
    assert wheel_clearance(straight, skin, wanted=25.0).value > found.value
