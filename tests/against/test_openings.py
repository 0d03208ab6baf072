"""Openings held to closed forms, SciPy, NumPy, trimesh and libigl."""

import igl
import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from buckwright.geometry.cylinder import Cylinder, fit_cylinder, flat_cylinder, lay_cylinder
from buckwright.geometry.turning import Axis, first_meetings, fit_axis, turn_about
from buckwright.openings import OpeningMaker
from buckwright.openings.hinges import axis_of
from buckwright.openings.near import Near
from buckwright.openings.outline import join_outline
from buckwright.openings.part import cut_part
from openings_on_paper import (
    BARREL,
    DOOR,
    SIDE,
    WINDOW,
    barrel_side,
    door_spec,
    make_paper,
    side_glass,
)

GAP = 5.0


@pytest.fixture(scope="module")
def flat():
    paper = make_paper()
    return OpeningMaker(paper.skin, paper.network)


@pytest.fixture(scope="module")
def barrel():
    paper = make_paper(barrel_side)
    return OpeningMaker(paper.skin, paper.network)


def some_axis(seed):
    rng = np.random.default_rng(seed)
    way = rng.normal(size=3)
    return Axis(rng.normal(size=3) * 100.0, way / np.linalg.norm(way))


@pytest.mark.parametrize("seed", range(5))
def test_turning_agrees_with_scipys_rotation(seed):
    axis, angle = some_axis(seed), 0.3 + seed
    points = np.random.default_rng(seed).normal(size=(40, 3)) * 500.0
    turn = Rotation.from_rotvec(angle * axis.direction)
    expected = turn.apply(points - axis.point) + axis.point
    np.testing.assert_allclose(turn_about(points, axis, angle), expected, atol=1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_the_axis_of_pins_is_that_of_numpys_covariance(seed):
    rng = np.random.default_rng(seed)
    axis = some_axis(seed)
    points = axis.point + np.outer(rng.uniform(-400, 400, 7), axis.direction)
    points += rng.normal(scale=0.4, size=points.shape)
    found, off = fit_axis(points)
    values, ways = np.linalg.eigh(np.cov(points.T))
    assert abs(found.direction @ ways[:, 2]) == pytest.approx(1.0, abs=1e-12)
    # The sum of squared distances from it is what the two lesser spreads hold.
    assert (off**2).sum() == pytest.approx(values[:2].sum() * (len(points) - 1))


@pytest.mark.parametrize("seed", range(4))
def test_a_turning_point_enters_trimeshs_ball_just_where_it_is_said_to_meet_it(seed):
    """Inside a convex mesh every face lies outward: the sign needs only trimesh's normals."""
    ball = trimesh.creation.icosphere(subdivisions=2, radius=90.0)
    ball.apply_translation([300.0, 40.0, 20.0])
    normals, corner = ball.face_normals, ball.triangles[:, 0]

    def outside(points):
        return (points @ normals.T - (normals * corner).sum(axis=1)).max(axis=1)

    rng = np.random.default_rng(seed)
    axis = Axis(np.zeros(3), np.array([0.0, 0.0, 1.0]))
    heights = rng.uniform(-80, 120, 60)
    points = np.column_stack([rng.uniform(200, 400, 60), np.full(60, -150.0), heights])
    angles, _ = first_meetings(points, ball.triangles, axis, sense=1.0, most=2.5)
    assert 10 < np.isfinite(angles).sum() < 60
    for point, angle in zip(points, angles, strict=True):
        until = angle if np.isfinite(angle) else 2.5
        way = [turn_about(point[None], axis, t) for t in np.linspace(0.0, until, 200)[:-1]]
        assert outside(np.vstack(way)).min() > 0.0
        if np.isfinite(angle):
            assert outside(turn_about(point[None], axis, angle))[0] == pytest.approx(0.0, abs=1e-9)
            assert outside(turn_about(point[None], axis, angle + 1e-4))[0] < 0.0


@pytest.mark.parametrize(("behind", "inside"), [(10.0, 25.0), (20.0, 20.0), (15.0, 40.0)])
def test_a_square_door_touches_its_jamb_at_the_angle_on_paper(flat, behind, inside):
    """The leading corner runs on a circle: it meets the jamb where r cos t = behind + gap."""
    made = flat.make(door_spec(hinge_x=DOOR[0][0] + 0.5 * GAP + behind, hinge_y=SIDE + inside))
    radius = np.hypot(behind, inside)
    expected = np.arctan2(inside, behind) - np.arccos((behind + GAP) / radius)
    touch = made.swing.touch
    assert np.degrees(touch.angle) == pytest.approx(np.degrees(expected), abs=1e-6)
    assert touch.part == "its front edge"
    assert touch.against == "the jamb at its front edge"
    assert touch.point[0] == pytest.approx(DOOR[0][0] - 0.5 * GAP, abs=1e-6)
    assert made.swing.clearances[-1] == 0.0


def test_a_square_door_on_outside_hinges_clears_by_what_its_circles_leave(flat):
    """Free edge: its inner corner runs out to hypot(length, depth), the jamb stays where it is."""
    out, behind = 5.0, 10.0
    made = flat.make(door_spec(hinge_x=DOOR[0][0] + 0.5 * GAP + behind, hinge_y=SIDE - out))
    assert made.swing.touch is None
    length = DOOR[1][0] - DOOR[0][0] - GAP - behind
    depth = 51.2 + out
    # From the edge's own arc; the corner of the jamb is nearest once the corner passes it.
    expected = GAP - (np.hypot(length, depth) - length)
    assert made.swing.least >= expected - 1e-6
    assert made.swing.least == pytest.approx(expected, abs=0.25)
    assert made.swing.least_against == "the jamb at its rear edge"


def test_the_way_in_of_a_square_door_is_that_of_its_plan(flat):
    made = flat.make(door_spec(hinge_x=DOOR[0][0] + 20.0, hinge_y=SIDE - 5.0))
    axis = axis_of(made.axis)
    inner = np.array(
        [[DOOR[0][0] + 2.5, SIDE + 51.2, 600.0], [DOOR[1][0] - 2.5, SIDE + 51.2, 600.0]]
    )
    turned = turn_about(inner, axis, made.swing.sense * made.swing.reached)[:, :2]
    jamb = np.array([DOOR[1][0] + 2.5, SIDE])
    # Return edges only are metal on the inside of a door: its two ends, and its skin.
    ends = [np.linalg.norm(turned - jamb, axis=1).min(), DOOR[1][0] - DOOR[0][0] + 5.0]
    assert made.swing.width <= min(ends) + 1e-6
    assert made.swing.width > 0.9 * min(ends)


def test_least_distances_agree_with_trimesh(flat):
    sphere = trimesh.creation.icosphere(subdivisions=3, radius=200.0)
    points = np.random.default_rng(3).normal(size=(300, 3))
    points *= (260.0 + 30.0 * np.random.default_rng(4).random(300))[:, None] / np.linalg.norm(
        points, axis=1
    )[:, None]
    near = Near(np.asarray(sphere.vertices), np.asarray(sphere.faces))
    gap, which, foot, _ = near.least(points)
    feet, distances, _ = trimesh.proximity.closest_point_naive(sphere, points)
    assert gap == pytest.approx(distances.min(), abs=1e-9)
    assert which == int(np.argmin(distances))
    np.testing.assert_allclose(foot, feet[which], atol=1e-6)


def test_the_clearance_over_the_swing_is_that_of_libigl(flat):
    """Every point of the turned part to all of the body, and of the body to the part."""
    spec = door_spec(hinge_x=DOOR[0][0] + 12.5, hinge_y=SIDE - 5.0)
    swing = flat.make(spec).swing
    loop = join_outline(spec.outline, flat.network, of=spec.name)
    part, body = cut_part(
        loop, flat.skin, flat.skin.regions[0], of="it", gap=GAP, drain=GAP, depth=51.2
    )
    axis = axis_of(flat.make(spec).axis)
    for k in (1, 4, 9):
        angle = float(swing.sense * swing.angles[k])
        onward = measured(body, turn_about(part.vertices, axis, angle))
        back = measured(part, turn_about(body.vertices, axis, -angle))
        assert swing.clearances[k] == pytest.approx(min(onward, back), abs=1e-6)


def measured(still, points):
    """The least distance by libigl."""
    square = igl.point_mesh_squared_distance(points, still.vertices, still.triangles)[0]
    return float(np.sqrt(square.min()))


def rolled(curvature, count=60, half=0.5):
    axes = Rotation.from_rotvec([0.3, -0.8, 0.5]).as_matrix()
    surface = Cylinder(np.array([100.0, -640.0, 900.0]), axes, curvature)
    rng = np.random.default_rng(11)
    flat = rng.uniform(-1.0, 1.0, (count, 2)) * [half / max(abs(curvature), 1e-3), 200.0]
    return surface, flat


@pytest.mark.parametrize("radius", [180.0, 900.0, 4000.0, -1500.0])
def test_a_cylinder_is_found_again_from_its_points(radius):
    surface, flat = rolled(1.0 / radius, half=0.5 if abs(radius) < 1000 else 0.2)
    points = surface.roll(flat)
    found = fit_cylinder(points)
    assert np.abs(found.off(points)).max() < 1e-7
    assert abs(1.0 / found.curvature) == pytest.approx(abs(radius), rel=1e-6)
    assert abs(found.axes[1] @ surface.axes[1]) == pytest.approx(1.0, abs=1e-9)


def test_a_plane_is_the_cylinder_without_curvature():
    surface, flat = rolled(0.0)
    points = surface.roll(flat)
    np.testing.assert_allclose(surface.develop(points), flat, atol=1e-9)
    assert np.abs(fit_cylinder(points).off(points)).max() < 1e-6
    assert np.abs(flat_cylinder(points).off(points)).max() < 1e-9


@pytest.mark.parametrize("radius", [180.0, 2500.0])
def test_a_developed_helix_has_its_length_on_paper(radius):
    """A helix of radius R and pitch 2 pi c is hypot(R, c) t long, and straight when laid flat."""
    turn = np.linspace(-0.6, 0.6, 2001)
    rise = 150.0
    helix = np.column_stack([radius * np.cos(turn), radius * np.sin(turn), rise * turn])
    surface = Cylinder(
        np.array([radius, 0.0, 0.0]),
        np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]]) * [[-1.0], [1.0], [-1.0]],
        1.0 / radius,
    )
    flat = surface.develop(helix)
    length = np.linalg.norm(flat[-1] - flat[0])
    assert length == pytest.approx(np.hypot(radius, rise) * 1.2, rel=1e-12)
    bow = np.cross(
        np.append(flat[-1] - flat[0], 0.0), np.column_stack([flat - flat[0], np.zeros(len(flat))])
    )
    assert np.abs(bow).max() / length < 1e-9
    np.testing.assert_allclose(surface.roll(flat), helix, atol=1e-9)


def test_glass_bent_to_a_typed_radius_lies_as_on_paper():
    """Four corners of a square on a plane: the cylinder's crown lies between, never off both."""
    flat = np.array([[-200.0, -100.0], [200.0, -100.0], [200.0, 100.0], [-200.0, 100.0]])
    points = np.column_stack([flat[:, 0], np.zeros(4), flat[:, 1]])
    laid = lay_cylinder(points, along=np.array([1.0, 0.0, 0.0]), curvature=1.0 / 1000.0)
    np.testing.assert_allclose(laid.off(points), 0.0, atol=1e-9)
    crown = laid.roll(laid.develop(np.zeros((1, 3))))
    assert np.linalg.norm(crown) == pytest.approx(1000.0 - np.sqrt(1000.0**2 - 100.0**2), rel=1e-9)


def test_flat_glass_in_a_flat_door_keeps_its_set_in_and_its_size(flat):
    made = flat.make(
        door_spec(hinge_x=510.0, hinge_y=SIDE - 5.0, glass=side_glass(set_in=7.0, overlap=0.0))
    )
    (x0, z0), (x1, z1) = WINDOW
    drop = made.pane.drop
    np.testing.assert_allclose(drop.outer[1:], 7.0, atol=1e-6)
    np.testing.assert_allclose(drop.inner[1:], 50.0 - 7.0 - 5.0, atol=1e-6)
    assert drop.reached == drop.wanted == pytest.approx(z1 - z0)
    assert made.pane.area == pytest.approx((x1 - x0) * (z1 - z0))
    assert drop.stopped_by == ""
    assert drop.edge[-1] == pytest.approx(min(z0 - (z1 - z0) - DOOR[0][1], x0 - DOOR[0][0]) - 2.5)


def test_glass_stops_at_the_bottom_of_the_door_where_paper_says(flat):
    glass = side_glass(drop=500.0, overlap=10.0)
    made = flat.make(door_spec(hinge_x=510.0, hinge_y=SIDE - 5.0, glass=glass))
    drop = made.pane.drop
    assert drop.stopped_by == "the edge of the door"
    # The band of overlap and half the gap above the bottom of the outline.
    assert drop.reached == pytest.approx(WINDOW[0][1] - 10.0 - DOOR[0][1] - 2.5, abs=0.1)


def test_a_cylinder_of_the_doors_own_radius_drops_beside_its_skin_all_the_way(barrel):
    glass = side_glass(shape="cylinder", set_in=6.0, drop=250.0)
    made = barrel.make(door_spec(hinge_x=510.0, hinge_y=SIDE - 20.0, hinge=None, glass=glass))
    drop, pane = made.pane.drop, made.pane
    # The metal's inner face, the set-in and half the glass lie between the skin and its middle.
    assert 1.0 / pane.curvature == pytest.approx(BARREL - 1.2 - 6.0 - 2.5, rel=2e-3)
    assert drop.reached == pytest.approx(250.0)
    # Chords of 25 mm on 2,000 mm stand 0.04 mm inside.
    np.testing.assert_allclose(drop.outer, 6.0, atol=0.08)
    assert pane.off_most < 0.01
    assert pane.off_other > 1.0


def test_flat_glass_in_a_barrel_side_goes_as_far_as_its_section_says(barrel):
    """In section a straight chord let down tangentially runs into the circle's other side."""
    glass = side_glass(set_in=0.0, overlap=0.0, drop=200.0)
    made = barrel.make(door_spec(hinge_x=510.0, hinge_y=SIDE - 20.0, hinge=None, glass=glass))
    drop, pane = made.pane.drop, made.pane
    origin, down = np.array(pane.origin), -np.array(pane.axes)
    centre = np.array([0.0, SIDE + BARREL, 600.0])
    flat = np.asarray(pane.outline)
    way = np.array(drop.direction)
    lowest = flat[np.argmax(flat @ way)]
    for step, outer in zip(drop.steps[::6], drop.outer[::6], strict=True):
        spot = origin - (lowest + step * way) @ down[:2]
        radius = np.hypot(spot[1] - centre[1], spot[2] - centre[2])
        expected = BARREL - radius - 2.5 - 1.2
        assert outer == pytest.approx(expected, abs=0.12)
