"""Gauge profiles against exact sections: circles of a sphere, a cylinder, a torus (closed forms).

A plane at distance a from the centre of a sphere of radius R cuts a circle of radius
sqrt(R^2 - a^2); a plane across a cylinder cuts its own circle, one along it two straight lines; a
plane through the axis of a torus cuts circles of the tube, one square to the axis circles about
it; an oblique-standing one the spiric curve (sqrt(x^2 + y^2) - R)^2 + z^2 = r^2 (exact).
"""

import numpy as np
import pytest

from buckwright.gauges import make_gauges
from buckwright.model.gauges import Gauge, GaugeSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion
from skins_on_paper import cylinder, grid_region, off_torus, sphere, torus

NONE = LineNetwork(lines=(), crossings=())
TRUE = 0.02
"""mm on a mesh of 25 mm: its flat triangles lie up to 0.16 mm inside these surfaces."""


def left_cards(region: SkinRegion, axis: str, *at: float) -> list[Gauge]:
    spec = GaugeSpec(region=region.name, axis=axis, at=at)
    made = make_gauges((spec,), Skin(regions=(region,)), NONE)
    return [gauge for gauge in made.gauges if gauge.hand == "left"]


@pytest.mark.parametrize(
    ("axis", "at"), [("x", (-150.0, 0.0, 90.0)), ("y", (-420.0,)), ("z", (-60.0, 120.0))]
)
def test_sections_of_a_sphere_are_its_circles(axis: str, at: tuple[float, ...]) -> None:
    radius = 500.0
    u, v = np.linspace(-2.2, -0.9, 27), np.linspace(-0.5, 0.6, 23)
    region = grid_region("cap", sphere(radius), u, v, outward=lambda p: p, side="left")
    for gauge in left_cards(region, axis, *at):
        flat = np.delete(gauge.section, "xyz".index(axis), axis=1)
        expected = np.sqrt(radius**2 - gauge.plane[1] ** 2)
        assert np.abs(np.linalg.norm(flat, axis=1) - expected).max() < TRUE


def test_sections_of_a_cylinder_are_its_circle_and_straight_lines() -> None:
    radius = 400.0
    u, v = np.linspace(0.0, 1000.0, 41), np.linspace(1.7, 2.9, 20)
    region = grid_region(
        "tube", cylinder(radius), u, v, outward=lambda p: p * [0.0, 1.0, 1.0], side="left"
    )
    (across,) = left_cards(region, "x", 480.0)
    assert np.abs(np.hypot(*across.section[:, 1:].T) - radius).max() < TRUE
    (along,) = left_cards(region, "z", 200.0)
    assert np.abs(along.section[:, 1] + np.sqrt(radius**2 - 200.0**2)).max() < TRUE
    length = np.linalg.norm(np.diff(along.profile, axis=0), axis=1).sum()
    assert length == pytest.approx(1000.0, abs=0.05)


def test_sections_of_a_torus_are_tube_circles_axis_circles_and_spiric_curves() -> None:
    ring, tube = 430.0, 230.0
    u, v = np.linspace(3.3, 6.1, 56), np.linspace(-0.6, 0.6, 12)
    region = grid_region(
        "wing", torus(ring, tube), u, v, outward=lambda p: p * [1.0, 1.0, 0.0], side="left"
    )
    (through_axis,) = left_cards(region, "x", 0.0)
    y, z = through_axis.section[:, 1:].T
    assert np.abs(np.hypot(y + ring, z) - tube).max() < TRUE
    (about_axis,) = left_cards(region, "z", 40.0)
    expected = ring + np.sqrt(tube**2 - 40.0**2)
    assert np.abs(np.hypot(*about_axis.section[:, :2].T) - expected).max() < TRUE
    for spiric in left_cards(region, "x", -310.0, 180.0):
        assert np.abs(off_torus(spiric.section, ring, tube)).max() < TRUE
