"""Lines read off and drawn back, against exact curves and OpenCV's camera."""

import cv2
import numpy as np
import pytest
from scipy.interpolate import make_interp_spline

from buckwright.capture.drawnback import picture_points
from buckwright.lines.measuring import measure_between, plane_crossings
from buckwright.model.lines import Line, LineNetwork, Placement
from buckwright.model.pictures import Picture

ABOUT = {"closed": False, "sigma": 1.0, "degree": 5}


def helix(radius=400.0, rise=300.0):
    """A turn of a helix about z as a quintic spline; its error is far below a nanometre's worth."""
    at = np.linspace(0.0, 1.0, 400)
    turn = 2.0 * np.pi * at
    points = np.column_stack([radius * np.cos(turn), radius * np.sin(turn), rise * at])
    spline = make_interp_spline(at, points, k=5)
    return Line(name="helix", knots=spline.t, control=spline.c, **ABOUT)


def network(*lines):
    return LineNetwork(lines=lines, crossings=())


def test_a_helix_meets_planes_where_the_angle_says():
    """Exact: x = 400 cos t is cut by x = 200 at t = 60 and 300 degrees, and at no other place."""
    found = plane_crossings(
        network(helix()), origin=np.array([200.0, 0.0, 0.0]), normal=np.array([3.0, 0.0, 0.0])
    )
    assert [one.share for one in found] == pytest.approx([1 / 6, 5 / 6], abs=1e-9)
    for one, sign in zip(found, (1.0, -1.0), strict=True):
        exact = [200.0, sign * 200.0 * np.sqrt(3.0), 300.0 * one.share]
        np.testing.assert_allclose(one.point, exact, atol=1e-6)


def test_a_slanting_plane_meets_a_helix_where_a_root_finder_says():
    """Against scipy's bracketing root finder on the exact helix."""
    from scipy.optimize import brentq

    normal, origin = np.array([0.6, 0.1, 1.0]), np.array([0.0, 0.0, 150.0])

    def height(at):
        turn = 2.0 * np.pi * at
        point = np.array([400.0 * np.cos(turn), 400.0 * np.sin(turn), 300.0 * at])
        return (point - origin) @ normal

    grid = np.linspace(0.0, 1.0, 200)
    signs = np.sign([height(at) for at in grid])
    roots = [brentq(height, grid[k], grid[k + 1]) for k in np.flatnonzero(np.diff(signs))]
    found = plane_crossings(network(helix()), origin=origin, normal=normal)
    assert len(roots) > 0
    assert [one.share for one in found] == pytest.approx(roots, abs=1e-9)


def test_distances_on_a_helix_are_exact():
    """Exact: arc is angle times the root of radius squared plus pitch per radian squared."""
    radius, rise = 400.0, 300.0
    got = measure_between(network(helix()), [("helix", 0.125)], [("helix", 0.625)])
    np.testing.assert_allclose(
        got.steps, [-np.sqrt(2) * radius, -np.sqrt(2) * radius, rise / 2], atol=1e-6
    )
    assert got.true == pytest.approx(np.hypot(2 * radius, rise / 2), abs=1e-6)
    pitch = rise / (2.0 * np.pi)
    assert got.line == "helix"
    assert got.along == pytest.approx(np.pi * np.hypot(radius, pitch), abs=1e-6)


def camera(turn=(1.9, -0.4, 0.3), shift=(-100.0, 60.0, 900.0)):
    return Picture(
        name="a",
        size=(4000, 3000),
        rotation_vector=np.array(turn),
        translation=np.array(shift),
        focal=3200.0,
        principal=(2010.0, 1490.0),
        distortion=np.array([-0.12, 0.05, 0.001, -0.0007, 0.004]),
        residual_px=0.3,
        corners_used=100,
    )


def placement(scale=8.0, angle=0.7):
    c, s = np.cos(angle), np.sin(angle)
    return Placement(
        scale=scale,
        rotation=np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]]),
        origin=np.array([120.0, -80.0, 0.0]),
        wheelbase=2240.0,
        asymmetry_rms=0.0,
    )


def test_points_are_drawn_back_where_opencv_projects_them():
    """Against cv2.projectPoints with the same camera, to a millionth of a pixel."""
    rng = np.random.default_rng(5)
    mat = np.column_stack(
        [rng.uniform(-150, 150, 400), rng.uniform(-150, 150, 400), rng.uniform(0, 200, 400)]
    )
    laid, picture = placement(), camera()
    full = laid.scale * (mat - laid.origin) @ laid.rotation.T
    px, seen = picture_points(full, laid, picture)
    matrix = np.array([[3200.0, 0, 2010.0], [0, 3200.0, 1490.0], [0, 0, 1]])
    theirs, _ = cv2.projectPoints(
        mat, picture.rotation_vector, picture.translation, matrix, picture.distortion
    )
    assert seen.sum() > 300
    np.testing.assert_allclose(px[seen], theirs[:, 0][seen], atol=1e-6)
