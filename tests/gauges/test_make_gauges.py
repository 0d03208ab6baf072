"""Gauge cards fit the skin's section, and each has its exact mirror image."""

import numpy as np
import pytest
import shapely
from scipy.interpolate import make_interp_spline

from buckwright.errors import JobError
from buckwright.gauges import make_gauges
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.gauges import Gauge, Gauges, GaugeSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from skins_on_paper import grid_region, line_through

RADIUS, LENGTH = 420.0, 900.0
NONE = LineNetwork(lines=(), crossings=())


def barrel(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """A barrel about x: u along it, v from the left round the top."""
    radius = RADIUS - u**2 / 4000.0
    return np.column_stack([u, -radius * np.cos(v), 300.0 + radius * np.sin(v)])


def wing(side: str = "left", low: float = 0.3, high: float = 1.3) -> SkinRegion:
    """The left upper part of the barrel, with a line along its middle."""
    u, v = np.linspace(-450.0, 450.0, 41), np.linspace(low, high, 21)
    track = LineTrack(line="crown left", vertices=np.arange(41) * 21 + 10, closed=False)
    return grid_region(
        "wing", barrel, u, v, outward=lambda p: p - [0.0, 0.0, 300.0], tracks=[track], side=side
    )


def crown_line() -> LineNetwork:
    x = np.linspace(-450.0, 450.0, 200)
    points = barrel(x, np.full(200, 0.8))
    return LineNetwork(lines=(line_through("crown left", points),), crossings=())


def cards(
    axis: str = "x", *at: float, region: SkinRegion | None = None, width: float = 60.0
) -> Gauges:
    spec = GaugeSpec(region="wing", axis=axis, at=at or (100.0,), card_width=width)
    return make_gauges((spec,), Skin(regions=(region or wing(),)), crown_line())


def test_left_cards_are_followed_by_their_right_ones() -> None:
    made = cards("x", -200.0, 0.0, 250.0).gauges
    assert [gauge.hand for gauge in made] == ["left", "right"] * 3
    assert [gauge.name for gauge in made[:2]] == ["wing x -200 left", "wing x -200 right"]


@pytest.mark.parametrize(("axis", "value"), [("x", 120.0), ("y", -250.0), ("z", 600.0)])
def test_right_cards_are_exact_mirror_images(axis: str, value: float) -> None:
    for left, right in zip(*[iter(cards(axis, value).gauges)] * 2, strict=True):
        across = np.array([1.0, -1.0, 1.0])
        assert np.abs(left.section * across - right.section).max() < 1e-9
        assert np.abs(left.profile * [-1.0, 1.0] - right.profile).max() < 1e-9
        assert np.abs(left.outline[::-1] * [-1.0, 1.0] - right.outline).max() < 1e-9
        assert np.abs(left.origin * across - right.origin).max() < 1e-9
        assert left.plane[0] == right.plane[0]
        assert left.plane[1] == (-right.plane[1] if axis == "y" else right.plane[1])
        assert [n.replace("left", "right") for n in left.mark_names] == list(right.mark_names)


@pytest.mark.parametrize("value", [-300.0, 0.0, 77.0])
def test_the_section_is_the_circle_that_the_barrel_has_there(value: float) -> None:
    gauge = cards("x", value).gauges[0]
    radius = np.hypot(gauge.section[:, 1], gauge.section[:, 2] - 300.0)
    assert np.abs(radius - (RADIUS - value**2 / 4000.0)).max() < 0.02
    assert np.all(gauge.section[:, 0] == value)


def placed(gauge: Gauge) -> np.ndarray:
    """Vehicle points of a station card's profile: its x is y of the vehicle, its y is z."""
    y = gauge.origin[1] + gauge.profile[:, 0]
    z = gauge.origin[2] + gauge.profile[:, 1]
    return np.column_stack([np.full(len(y), gauge.plane[1]), y, z])


def test_a_station_card_lies_where_its_origin_says_on_both_sides() -> None:
    for gauge in cards("x", 150.0).gauges:
        assert np.abs(placed(gauge) - gauge.section).max() < 1e-9
        assert np.all(gauge.origin[1:] % 10.0 == 0.0)


def test_the_card_lies_outside_the_metal_and_touches_along_its_profile() -> None:
    gauge = cards("x", 150.0).gauges[0]
    shape = shapely.Polygon(gauge.outline)
    assert shape.is_valid
    assert shape.exterior.is_ccw
    radius = RADIUS - 150.0**2 / 4000.0
    disc = shapely.Point(-gauge.origin[1], 300.0 - gauge.origin[2]).buffer(radius, quad_segs=720)
    assert shape.intersection(disc).area < 0.02 * shapely.LineString(gauge.profile).length
    gap, _, _ = closest_on_polyline(gauge.profile, gauge.outline, closed=True)
    assert gap.max() < 1e-9
    arc = shapely.LineString(gauge.profile).length
    assert shape.area == pytest.approx(60.0 * arc * (1.0 + 30.0 / radius), rel=2e-3)


def test_the_crown_line_is_marked_where_it_crosses() -> None:
    for gauge in cards("x", 150.0).gauges:
        assert gauge.mark_names == (f"crown {gauge.hand}",)
        expected = barrel(np.array([150.0]), np.array([0.8]))[0]
        expected[1] *= 1.0 if gauge.hand == "left" else -1.0
        at = gauge.origin[1:] + gauge.marks[0]
        assert np.abs(at - expected[1:]).max() < 0.05
        assert closest_on_polyline(gauge.marks, gauge.profile)[0].max() < 1e-9


def test_a_whole_region_gives_its_left_half_to_the_left_card() -> None:
    region = wing(side="whole", low=0.2, high=np.pi - 0.2)
    left, right = cards("x", 0.0, region=region).gauges
    assert left.section[:, 1].max() == pytest.approx(0.0, abs=1e-9)
    assert right.section[:, 1].min() == pytest.approx(0.0, abs=1e-9)
    assert left.section[:, 2].max() == pytest.approx(300.0 + RADIUS, abs=0.02)


def test_a_window_makes_two_cards() -> None:
    u, v = np.linspace(-450.0, 450.0, 41), np.linspace(0.1, 1.4, 31)
    hole = np.zeros((40, 30), dtype=bool)
    hole[10:30, 10:18] = True
    region = grid_region(
        "wing", barrel, u, v, outward=lambda p: p - [0.0, 0.0, 300.0], side="left", open_cells=hole
    )
    made = make_gauges(
        (GaugeSpec(region="wing", axis="x", at=(10.0,)),), Skin(regions=(region,)), NONE
    )
    names = [gauge.name for gauge in made.gauges]
    assert names == [f"wing x 10 part {k} {hand}" for k in (1, 2) for hand in ("left", "right")]


def test_turned_meshes_and_scaled_ones_give_the_same_profiles() -> None:
    region = wing()
    order = np.roll(np.arange(len(region.vertices)), 7)
    back = np.argsort(order)
    shuffled = region.model_copy(
        update={
            "vertices": region.vertices[order],
            "triangles": back[region.triangles][::-1],
            "chart": region.chart[order],
            "inner": (),
        }
    )
    one, other = cards("x", 90.0).gauges[0], cards("x", 90.0, region=shuffled).gauges[0]
    assert np.abs(one.section[[0, -1]] - other.section[[0, -1]]).max() < 0.02
    assert closest_on_polyline(other.section, one.section)[0].max() < 0.01
    larger = region.model_copy(update={"vertices": 2.0 * region.vertices})
    double = cards("x", 180.0, region=larger, width=120.0).gauges[0]
    assert closest_on_polyline(double.section, 2.0 * one.section)[0].max() < 0.03


def test_an_oblique_card_says_so() -> None:
    assert cards("x", 0.0).findings == ()
    found = cards("z", 690.0).findings
    assert [finding.code for finding in found] == ["card-oblique"]


def test_what_cannot_be_made_is_refused_with_a_sentence() -> None:
    with pytest.raises(JobError, match="does not cut"):
        cards("x", 2000.0)
    with pytest.raises(JobError, match="between x = -450 and 450"):
        cards("x", 2000.0)
    with pytest.raises(JobError, match="Name one of: wing"):
        make_gauges(
            (GaugeSpec(region="bonnet", axis="x", at=(0.0,)),), Skin(regions=(wing(),)), NONE
        )


def test_a_card_too_wide_for_a_hollow_is_refused() -> None:
    def trough(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        return np.column_stack([u, -100.0 + 50.0 * np.cos(v), 300.0 - 50.0 * np.sin(v)])

    region = grid_region(
        "wing",
        trough,
        np.linspace(-100.0, 100.0, 15),
        np.linspace(0.2, np.pi - 0.2, 25),
        outward=lambda p: -(p - [0.0, -100.0, 300.0]) * [0.0, 1.0, 1.0],
        side="left",
    )
    with pytest.raises(JobError, match="too wide for the hollow"):
        cards("x", 0.0, region=region, width=90.0)
    narrow = cards("x", 0.0, region=region, width=20.0).gauges[0]
    assert shapely.Polygon(narrow.outline).is_valid


def barrel_all_round() -> SkinRegion:
    """The barrel closed round its axis."""
    u, v = np.linspace(-450.0, 450.0, 31), np.linspace(0.0, 2.0 * np.pi, 61)
    region = grid_region("wing", barrel, u, v, outward=lambda p: p - [0.0, 0.0, 300.0], side="left")
    seam = {int(k): int(k) - 60 for k in np.arange(31) * 61 + 60}
    triangles = np.vectorize(lambda k: seam.get(int(k), int(k)))(region.triangles)
    used, joined = np.unique(triangles, return_inverse=True)
    return region.model_copy(
        update={
            "vertices": region.vertices[used],
            "triangles": joined.reshape(-1, 3),
            "chart": region.chart[used],
        }
    )


def test_a_section_all_the_way_round_is_gauged_by_two_cards() -> None:
    made = cards("x", 0.0, region=barrel_all_round()).gauges
    assert [g.name for g in made] == [
        f"wing x 0 part {k} {hand}" for k in (1, 2) for hand in ("left", "right")
    ]
    lengths = [shapely.LineString(g.profile).length for g in made]
    assert sum(lengths[::2]) == pytest.approx(2.0 * np.pi * RADIUS, rel=1e-4)
    assert lengths[0] == pytest.approx(np.pi * RADIUS, rel=0.02)


def test_the_profile_is_as_smooth_as_the_circle() -> None:
    gauge = cards("x", 100.0).gauges[0]
    along = np.concatenate([[0.0], np.linalg.norm(np.diff(gauge.profile, axis=0), axis=1).cumsum()])
    curve = make_interp_spline(along, gauge.profile)
    first, second = curve(along[5:-5], 1), curve(along[5:-5], 2)
    bend = np.abs(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
    assert np.abs(bend * (RADIUS - 2.5) - 1.0).max() < 0.05
