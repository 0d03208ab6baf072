"""Rolled and flat fields that a trim leaves, held to the surfaces they were on."""

import numpy as np
import pytest

from buckwright.model.skin import RegionSpec, Skin, SkinRegion
from buckwright.model.treatments import TrimSpec
from buckwright.skin.exactly import with_rolled_fields
from buckwright.skin.trimming import trim_skin
from skins_on_paper import cylinder, grid_region, sphere

CUT = TrimSpec(name="cut", region="side", by="plane", axis="x", value=431.0, away=(590, 0, 500))
ASKEW = TrimSpec(
    name="askew",
    region="side",
    by="drawn",
    through=((100.0, -260.0, 427.0), (530.0, 260.0, 427.0)),
    along=(0.0, 0.0, 1.0),
    away=(590.0, -200.0, 450.0),
)


def region(radius: float = 500.0) -> SkinRegion:
    u, v = np.linspace(0.0, 600.0, 25), 0.5 * np.pi + np.linspace(-0.5, 0.5, 21)
    made = grid_region("side", cylinder(radius), u, v, outward=lambda p: p * [0.0, 1.0, 1.0])
    return made.model_copy(update={"chart": np.array(made.chart) * [1.0, radius]})


def trimmed(trim: TrimSpec, rolled: float) -> SkinRegion:
    specs = (RegionSpec(name="side", boundary=(), rolled=rolled),)
    skin = with_rolled_fields(Skin(regions=(region(),)), specs)
    return trim_skin(skin, trim, None).regions[0]


@pytest.mark.parametrize("trim", [CUT, ASKEW])
def test_a_region_made_exact_is_so_up_to_the_edge_of_its_trim(trim) -> None:
    left = trimmed(trim, rolled=1.0)
    (field,) = left.rolled
    assert (field.kind, field.exact) == ("cylinder", True)
    assert field.radius == pytest.approx((500.0, 500.0), abs=1e-3)
    # Sides of the triangles cut the tube short by 0.16 mm; the new edge lies on it.
    out = np.hypot(left.vertices[:, 1], left.vertices[:, 2])
    assert np.abs(out - 500.0).max() < 1e-6
    if trim is CUT:
        assert field.area == pytest.approx(431.0 * 500.0, rel=1e-3)
        for ruling in field.rulings:
            assert sorted(ruling[:, 0]) == pytest.approx([0.0, 431.0], abs=0.01)


def test_a_field_that_was_found_is_found_again_with_what_is_left_of_it() -> None:
    left = trimmed(CUT, rolled=0.0)
    (field,) = left.rolled
    assert (field.kind, field.exact) == ("cylinder", False)
    assert field.area == pytest.approx(431.0 * 500.0, rel=1e-3)
    assert field.off_most < 0.2


def test_a_ball_has_no_such_field_before_or_after() -> None:
    ticks = np.linspace(-0.5, 0.5, 21)
    made = grid_region("side", sphere(500.0), ticks, ticks, outward=lambda p: p)
    ball = made.model_copy(update={"chart": 500.0 * np.array(made.chart)})
    skin = with_rolled_fields(Skin(regions=(ball,)), ())
    level = CUT.model_copy(update={"axis": "z", "value": 60.0, "away": (450.0, 0.0, 200.0)})
    assert trim_skin(skin, level, None).regions[0].rolled == ()
