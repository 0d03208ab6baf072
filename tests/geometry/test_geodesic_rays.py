import numpy as np
import pytest

from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.geodesic_rays import surface_rays
from discs_on_paper import cap, cylinder

RADIUS, ANGLE = 500.0, 0.6


def test_on_a_sphere_lines_are_great_circles_that_reach_the_rim() -> None:
    surface = CurvedMesh(*cap(24, ANGLE, RADIUS))
    start = np.array([[0.0, 0.0, RADIUS], [0.0, 80.0, np.sqrt(RADIUS**2 - 80.0**2)]])
    rays = surface_rays(surface, start, np.tile([1.0, 0.0, 0.0], (2, 1)), step=5.0, longest=900.0)
    assert rays.reach[0] == pytest.approx(RADIUS * ANGLE, abs=0.3)
    # The second runs in the plane through the centre and its start: y / z stays what it was.
    slope = rays.points[:40, 1, 1] / rays.points[:40, 1, 2]
    assert np.ptp(slope) < 1e-4


def test_on_a_cylinder_lines_are_straight_on_the_unrolled_sheet() -> None:
    radius = 300.0
    surface = CurvedMesh(*cylinder(radius, 1.4, 700.0, 40))
    round_ = 0.3
    start = np.array([[100.0, radius * np.sin(round_), radius * np.cos(round_)]])
    turned = np.radians(25.0)
    side = np.array([0.0, np.cos(round_), -np.sin(round_)])
    way = np.cos(turned) * np.eye(3)[:1] + np.sin(turned) * side
    rays = surface_rays(surface, start, way, step=4.0, longest=200.0)
    x, y, z = rays.points[:, 0].T
    unrolled = radius * (np.arctan2(y, z) - round_)
    assert np.abs(unrolled - (x - 100.0) * np.tan(turned)).max() < 0.05


def test_a_line_that_starts_at_the_rim_outward_has_no_length() -> None:
    surface = CurvedMesh(*cap(12, ANGLE, RADIUS))
    start = RADIUS * np.array([[np.sin(ANGLE), 0.0, np.cos(ANGLE)]])
    rays = surface_rays(surface, start, np.array([[1.0, 0.0, -0.5]]), step=5.0, longest=100.0)
    assert rays.reach[0] < 0.5
    assert np.allclose(rays.points, rays.points[0])
