"""Views without a mat against exact cameras, closed forms and OpenCV."""

import cv2
import numpy as np
import pytest

from buckwright.geometry.homography import (
    apply_homography,
    camera_over_plane,
    fit_homography,
    focal_of_homography,
    proportions_of_rectangle,
)
from buckwright.views import square_view, view_curve
from buckwright.views.rays import crown_gap, crown_tangent, parallax, ray_at_depth
from views_on_paper import MIDDLE, Camera, in_space, in_view

SIDES = ("left", "right", "front", "rear", "top")


def test_four_corners_give_opencvs_homography() -> None:
    px = np.array([[310.0, 2600.0], [3620.0, 2410.0], [3480.0, 350.0], [420.0, 520.0]])
    at = np.array([[0.0, 0.0], [2400.0, 0.0], [2400.0, 1500.0], [0.0, 1500.0]])
    ours, theirs = fit_homography(px, at), cv2.findHomography(px, at)[0]
    some = np.random.default_rng(1).uniform(300.0, 2600.0, (50, 2))
    # OpenCV works the matrix of four points out anew in double precision.
    assert np.abs(apply_homography(ours, some) - apply_homography(theirs, some)).max() < 1e-6


def test_a_noisy_grid_is_squared_as_opencv_squares_it() -> None:
    rng = np.random.default_rng(2)
    grid = np.stack(np.meshgrid(np.arange(7.0), np.arange(5.0)), axis=2).reshape(-1, 2) * 100.0
    true = np.array([[3.1, 0.2, 400.0], [0.1, -2.9, 2500.0], [1e-4, 5e-5, 1.0]])
    px = apply_homography(true, grid) + rng.normal(0.0, 0.7, grid.shape)
    ours, theirs = fit_homography(px, grid), cv2.findHomography(px, grid)[0]
    misses = [np.sum((apply_homography(m, px) - grid) ** 2) for m in (ours, theirs)]
    # Both least squares in the target; ours may be nearer the bottom, never above theirs.
    assert misses[0] <= misses[1] * (1.0 + 1e-6)
    assert np.abs(apply_homography(ours, px) - apply_homography(theirs, px)).max() < 0.02


@pytest.mark.parametrize("seen_from", SIDES)
def test_an_askew_picture_tells_where_its_camera_stood(seen_from: str) -> None:
    # Of cv2.projectPoints by an exact pose.
    camera = Camera(seen_from, 6000.0, askew=(0.06, -0.11, 0.02), plane=-300.0)
    at = np.array([[0.0, 200.0], [2400.0, 200.0], [2400.0, 1600.0], [0.0, 1600.0]])
    back = fit_homography(at, camera.px(in_space(seen_from, at, -300.0)))
    assert focal_of_homography(back, MIDDLE) == pytest.approx(5000.0, rel=1e-8)
    place = camera_over_plane(back, MIDDLE, 5000.0)
    assert place == pytest.approx([1200.0, 900.0, 6000.0], rel=1e-9)


def test_the_vanishing_points_tell_the_proportions_of_a_rectangle() -> None:
    camera = Camera("left", 5000.0, askew=(0.15, -0.25, 0.03))
    at = np.array([[0.0, 200.0], [2400.0, 200.0], [2400.0, 1550.0], [0.0, 1550.0]])
    unit = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    back = fit_homography(unit, camera.px(in_space("left", at, 0.0)))
    assert proportions_of_rectangle(back, MIDDLE) == pytest.approx(1350.0 / 2400.0, rel=1e-9)


def test_parallax_is_that_of_the_research_note() -> None:
    assert parallax(np.array(1000.0), np.array(850.0), 10_000.0) == pytest.approx(78.34, abs=0.005)
    assert parallax(np.array(1000.0), np.array(850.0), 5000.0) == pytest.approx(145.30, abs=0.005)


@pytest.mark.parametrize("seen_from", SIDES)
def test_the_band_is_what_an_exact_camera_shows_wrong(seen_from: str) -> None:
    camera = Camera(seen_from, 7000.0, askew=(0.04, 0.09, -0.02), plane=120.0)
    flat = np.column_stack([np.linspace(100.0, 2300.0, 40), np.linspace(500.0, 1500.0, 40)])
    depth = 640.0
    along = 120.0 + depth * (1.0 if seen_from in ("left", "front") else -1.0)
    points = in_space(seen_from, flat, along)
    view = camera.view("v", camera.trace("v", "belt", points, between=(along, along)), distance=0.0)
    curve = view_curve(view, square_view(view), view.traces[0])
    shown = np.linalg.norm(curve.read - in_view(seen_from, points), axis=1)
    assert curve.parallax == pytest.approx(shown, rel=1e-6)
    assert curve.points == pytest.approx(in_view(seen_from, points), abs=1e-4)
    assert curve.band.max() == 0.0


def test_a_typed_distance_stands_for_what_the_picture_does_not_tell() -> None:
    camera = Camera("left", 9000.0, plane=-600.0)
    roof = in_space("left", np.column_stack([np.linspace(0, 2000, 20), np.full(20, 1600.0)]), 0.0)
    view = camera.view("v", camera.trace("v", "roof", roof, between=(-100.0, 100.0)))
    silent = view.model_copy(update={"distance": 0.0})
    assert [f.code for f in square_view(silent).findings] == ["distance-unknown"]
    squared = square_view(view)
    assert squared.distance == 9000.0
    assert squared.foot == pytest.approx((1200.0, 900.0), abs=1e-3)
    curve = view_curve(view, squared, view.traces[0])
    assert curve.points == pytest.approx(in_view("left", roof), abs=1e-3)
    # r' (d_far - d_near) / D: what is seen at r' lies anywhere along that stretch of its ray.
    r = np.linalg.norm(curve.read - np.array(squared.foot), axis=1)
    assert curve.band == pytest.approx(r * 200.0 / 9000.0, rel=1e-9)


def test_a_parabolas_gap_is_that_of_the_research_note() -> None:
    # m^2 R / 2 = 3.75 mm at R = 3 m, m = 0.05; a circle differs in the fourth power of m.
    assert crown_gap(np.array(0.05), 3000.0) == pytest.approx(3.75, abs=0.003)


def test_the_outline_of_a_sphere_is_brought_back_to_its_great_circle() -> None:
    # From distance D over its centre a sphere shows as a circle of R D / sqrt(D^2 - R^2) in the
    # plane of its centre; the ray touches at sin = R / D round the crown.
    radius, distance = 800.0, 4000.0
    seen = radius * distance / np.sqrt(distance**2 - radius**2)
    angle = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    out = np.column_stack([np.cos(angle), np.sin(angle)])
    line, inside = crown_tangent(seen * out, seen * out / distance, out, radius, closed=True)
    assert inside.all()
    # The polyline of 400 sides is itself 0.025 mm inside its circle.
    assert np.linalg.norm(line, axis=1) == pytest.approx(radius, abs=0.04)


def test_the_outline_of_a_lying_cylinder_is_brought_back_to_its_top() -> None:
    # Axis along x at height h, its middle plane at depth 0: the upper tangent from an eye at
    # height e: seen height by the tangent line of a circle from a point.
    radius, height, eye, distance = 1500.0, 100.0, 900.0, 6000.0
    away = np.hypot(distance, height - eye)
    slope = np.arctan2(height - eye, distance) + np.arcsin(radius / away)
    seen = eye + distance * np.tan(slope)
    x = np.linspace(-700.0, 900.0, 60)
    read = np.column_stack([x, np.full(60, seen)])
    rays = (read - np.array([0.0, eye])) / distance
    line, inside = crown_tangent(read, rays, np.tile([0.0, 1.0], (60, 1)), radius)
    assert inside.all()
    assert line[:, 1] == pytest.approx(height + radius, abs=0.01)
    m = (seen - eye) / distance
    assert seen - crown_gap(np.array(m), radius) == pytest.approx(height + radius, abs=1e-6)


def test_a_bodys_outline_that_bends_fore_and_aft_is_brought_back() -> None:
    # A body whose sections square to its middle line are all the same circle, seen by an exact
    # camera: its outline is the upper envelope of what the picture shows of every section.
    radius, distance, foot = 3000.0, 7000.0, np.array([400.0, 1100.0])
    x = np.linspace(-1800.0, 2600.0, 4001)
    middle = np.column_stack([x, 1600.0 - (x - 400.0) ** 2 / 9000.0])
    slope = -2.0 * (x - 400.0) / 9000.0
    up = np.column_stack([-slope, np.ones_like(x)]) / np.sqrt(1.0 + slope**2)[:, None]
    at = np.linspace(-900.0, 1700.0, 260)
    top = np.full(len(at), -np.inf)
    for t in np.linspace(-500.0, 500.0, 2001):
        lower = middle + up * (np.sqrt(radius**2 - t * t) - radius)
        seen = foot + (lower - foot) * distance / (distance + t)
        top = np.maximum(top, np.interp(at, seen[:, 0], seen[:, 1]))
    read = np.column_stack([at, top])
    back = np.gradient(read, axis=0)
    out = np.column_stack([-back[:, 1], back[:, 0]]) / np.linalg.norm(back, axis=1)[:, None]
    line, inside = crown_tangent(read, (read - foot) / distance, out, radius)
    assert inside.all()

    def miss(points: np.ndarray) -> np.ndarray:
        return np.abs(points[:, 1] - 1600.0 + (points[:, 0] - 400.0) ** 2 / 9000.0)[10:-10]

    assert miss(read).max() > 5.0
    assert miss(line).max() < 0.02


def test_rays_meet_the_plane_that_a_line_lies_in() -> None:
    read, foot = np.array([[500.0, 200.0]]), np.array([100.0, 100.0])
    at = ray_at_depth(read, np.array([1000.0]), foot, 5000.0)
    assert at == pytest.approx(np.array([[580.0, 220.0]]))
    with pytest.raises(ValueError, match="behind the camera"):
        ray_at_depth(read, np.array([-5000.0]), foot, 5000.0)
