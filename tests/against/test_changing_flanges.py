"""Flanges whose width or angle changes along their edge, held to closed forms."""

import numpy as np
import pytest
import shapely
from pydantic import ValidationError
from scipy.interpolate import PchipInterpolator

from buckwright.errors import JobError
from buckwright.geometry.along_edge import shares_along, sizes_between
from buckwright.model.panels import EdgeSpec, EdgeStation, PanelSpec, SheetStock
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from buckwright.model.treatments import EdgeTreatment
from buckwright.panels import make_panels
from buckwright.skin.edge_strips import edge_strips
from buckwright.tables.bending import bend_allowance, setback
from skins_on_paper import cylinder, grid_region

SHEET = SheetStock(alloy="3003-H14", thickness=1.2)


def stations(*given: tuple[float, ...]) -> tuple[EdgeStation, ...]:
    return tuple(EdgeStation(at=at, width=w, angle_deg=a) for at, w, a in given)


def flange(along: str, *given: tuple[float, ...], **more: object) -> EdgeTreatment:
    asked = {"along": along, "treatment": "flange", "stations": stations(*given), **more}
    return EdgeTreatment(region="plate", edge=EdgeSpec.model_validate(asked))


def region(surface, u, v, outward) -> SkinRegion:
    rows = np.arange(len(u) * len(v)).reshape(len(u), len(v))
    sides = {"low": rows[:, 0], "end": rows[-1], "high": rows[::-1, -1], "start": rows[0, ::-1]}
    tracks = [LineTrack(line=k, vertices=n, closed=False) for k, n in sides.items()]
    return grid_region("plate", surface, u, v, outward=outward, boundary=tracks)


def plate() -> SkinRegion:
    """Flat, 600 by 200 mm, outside up."""
    return region(
        lambda u, v: np.column_stack([u, v, np.zeros_like(u)]),
        np.linspace(0.0, 600.0, 25),
        np.linspace(0.0, 200.0, 9),
        lambda p: np.tile([0.0, 0.0, 1.0], (len(p), 1)),
    )


@pytest.mark.parametrize("angle", [90.0, 40.0])
@pytest.mark.parametrize("along", ["low", "high"])
def test_a_flange_that_widens_on_a_straight_edge_is_a_trapezium(angle, along) -> None:
    # exact: area l (a + b) / 2, free edge sqrt(l^2 + (b - a)^2); its front end is the narrow one.
    treatment = flange(along, (0.0, 12.0, angle), (1.0, 30.0, angle))
    (strip,) = edge_strips(Skin(regions=(plate(),)), (treatment,))
    assert strip.area == pytest.approx(600.0 * 21.0)
    assert strip.free_length == pytest.approx(np.hypot(600.0, 18.0))
    rows = strip.vertices.reshape(-1, 2, 3)
    rows = rows[np.argsort(rows[:, 0, 0])]
    width = np.linalg.norm(rows[:, 1] - rows[:, 0], axis=1)
    np.testing.assert_allclose(width, 12.0 + 18.0 * rows[:, 0, 0] / 600.0)
    assert "12 to 30 mm flange" in strip.words


def test_at_the_end_of_a_tube_it_is_a_cone_that_opens_as_it_should() -> None:
    # exact: at angle a the free edge lies w cos a beyond the end, at the radius R - w sin a.
    ends = np.linspace(0.5 * np.pi - 0.7, 0.5 * np.pi + 0.7, 57)
    tube = region(cylinder(300.0), np.linspace(0.0, 200.0, 9), ends, lambda p: p * [0.0, 1.0, 1.0])
    treatment = flange("end", (0.0, 10.0, 30.0), (0.5, 20.0, 60.0), (1.0, 20.0, 90.0))
    (strip,) = edge_strips(Skin(regions=(tube,)), (treatment,))
    rows = strip.vertices.reshape(-1, 2, 3)
    # Both ends lie level in x and z: the left one is its front.
    share = (np.arctan2(rows[:, 0, 1], rows[:, 0, 2]) + 0.7) / 1.4
    width = np.interp(share, [0.0, 0.5, 1.0], [10.0, 20.0, 20.0])
    angle = np.radians(np.interp(share, [0.0, 0.5, 1.0], [30.0, 60.0, 90.0]))
    np.testing.assert_allclose(rows[:, 1, 0], 200.0 + width * np.cos(angle), atol=0.02)
    radius = np.hypot(rows[:, 1, 1], rows[:, 1, 2])
    np.testing.assert_allclose(radius, 300.0 - width * np.sin(angle), atol=0.02)


def test_smooth_sizes_are_monotone_cubics_and_do_not_swing_out() -> None:
    given = ((0.0, 10.0, 90.0), (0.4, 30.0, 90.0), (1.0, 30.0, 90.0))
    (strip,) = edge_strips(Skin(regions=(plate(),)), (flange("low", *given, between="smooth"),))
    rows = strip.vertices.reshape(-1, 2, 3)
    width = np.linalg.norm(rows[:, 1] - rows[:, 0], axis=1)
    curve = PchipInterpolator([0.0, 0.4, 1.0], [10.0, 30.0, 30.0])
    np.testing.assert_allclose(width, curve(rows[:, 0, 0] / 600.0))
    assert width.max() <= 30.0 + 1e-9


def test_shares_are_counted_from_the_front_whichever_way_the_edge_runs() -> None:
    edge = np.array([[500.0, 0.0, 0.0], [300.0, 0.0, 0.0], [100.0, 0.0, 0.0]])
    place = np.array([[200.0, 0.0, 5.0]])
    for run in (edge, edge[::-1]):
        assert shares_along(place, run, closed=False) == pytest.approx(0.25)
    turn = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    ring = 100.0 * np.column_stack([np.cos(turn), np.zeros(400), np.sin(turn)])
    top = np.array([[0.0, 0.0, 100.0], [100.0, 0.0, 0.0]])
    for run in (ring, ring[::-1]):
        np.testing.assert_allclose(shares_along(top, run, closed=True), [0.25, 0.5], atol=1e-6)
    around = sizes_between(
        np.array([0.0, 0.5]),
        np.array([[10.0], [20.0]]),
        np.array([0.25, 0.75, 0.9999]),
        smooth=False,
        closed=True,
    )
    np.testing.assert_allclose(around[:, 0], [15.0, 15.0, 10.0], atol=0.01)


def test_the_blank_has_the_metal_of_each_place_and_bend_lines_that_follow() -> None:
    # exact on a flat plate: w - 2 setback + bend beyond the edge, as in the table of bends.
    skin = Skin(regions=(plate(),))
    halves = (
        PanelSpec(name="front", region="plate", below=(("x", 300.0),), trim_allowance=0.0),
        PanelSpec(name="rear", region="plate", above=(("x", 300.0),), trim_allowance=0.0),
    )
    treatment = flange("low", (0.0, 12.0, 90.0), (1.0, 30.0, 90.0), radius=2.0)
    made = make_panels(halves, skin, SHEET, treatments=(treatment,))
    back, bend = setback(2.0, 1.2, 0.5 * np.pi), bend_allowance(2.0, 1.2, 0.5 * np.pi)
    for blank, first, last in zip(made.blanks, (12.0, 21.0), (21.0, 30.0), strict=True):
        extra = shapely.Polygon(blank.outline).area - shapely.Polygon(blank.net_outline).area
        assert extra == pytest.approx(300.0 * (0.5 * (first + last) - 2.0 * back + bend), rel=2e-3)
        (edge,) = [e for e in blank.edges if e.name == "low"]
        assert edge.allowance == pytest.approx(last - 2.0 * back + bend, abs=1e-3)
        assert edge.allowance_least == pytest.approx(first - 2.0 * back + bend, abs=1e-3)
        assert f"flange of {first:g} to {last:g} mm" in edge.words
        assert len(blank.bend_lines) == 2
        # The free edge runs askew: longer by the secant of its slope, on the blank and turned.
        assert max(map(abs, edge.strain)) < 1e-6


def test_a_changing_angle_moves_the_bend_lines_and_stretches_nothing_on_a_plate() -> None:
    skin = Skin(regions=(plate(),))
    whole = (PanelSpec(name="all", region="plate", trim_allowance=0.0),)
    treatment = flange("low", (0.0, 20.0, 30.0), (1.0, 20.0, 90.0), radius=2.0)
    (blank,) = make_panels(whole, skin, SHEET, treatments=(treatment,)).blanks
    first, second = blank.bend_lines
    gap = np.linalg.norm(second - first, axis=1)
    ends = sorted(bend_allowance(2.0, 1.2, np.radians(a)) for a in (30.0, 90.0))
    assert sorted((gap[0], gap[-1])) == pytest.approx(ends, abs=1e-3)


def test_an_edge_that_runs_round_has_one_size_where_it_closes() -> None:
    ring = np.concatenate([np.arange(0, 225, 9), np.arange(217, 225)])
    loop = np.concatenate([ring, np.arange(215, 0, -9), np.arange(7, 0, -1)])
    tracks = (LineTrack(line="rim", vertices=loop, closed=True),)
    skin = Skin(regions=(plate().model_copy(update={"boundary": tracks}),))
    with pytest.raises(JobError, match="runs round") as refusal:
        edge_strips(skin, (flange("rim", (0.0, 12.0, 90.0), (1.0, 30.0, 90.0)),))
    assert refusal.value.remedy.endswith(".")


@pytest.mark.parametrize(
    "wrong",
    [
        {"treatment": "hem"},
        {"stations": ({"at": 0.5, "width": 9}, {"at": 0.5, "width": 12})},
        {"stations": ({"at": -0.1, "width": 9},)},
    ],
)
def test_stations_that_cannot_be_are_refused(wrong) -> None:
    asked = {"along": "low", "treatment": "flange", "stations": ({"at": 0.0, "width": 9},)}
    with pytest.raises(ValidationError):
        EdgeSpec.model_validate({**asked, **wrong})


def test_an_edge_without_stations_is_written_as_it_always_was() -> None:
    plain = EdgeSpec(along="low", treatment="flange", width=12.0)
    assert "stations" not in plain.model_dump_json()
    changing = plain.model_copy(update={"stations": stations((0.0, 9.0, 90.0))})
    read = EdgeSpec.model_validate_json(changing.model_dump_json())
    assert read.model_dump() == changing.model_dump()
