"""Sweeps: arcs that touch everywhere, and the areas in which each belongs."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.gauges import choose_sweeps
from buckwright.gauges.sagitta import radius_of, sagitta_of
from buckwright.gauges.sweeps import mirrored_sweeps
from buckwright.geometry.circle import fit_circle
from buckwright.model.gauges import SweepSet, SweepSpec
from buckwright.model.skin import SkinRegion
from skins_on_paper import cylinder, grid_region, sphere, torus


def ball(radius: float = 500.0) -> SkinRegion:
    u, v = np.linspace(-2.2, -0.9, 27), np.linspace(-0.5, 0.6, 23)
    return grid_region("cap", sphere(radius), u, v, outward=lambda p: p, side="left")


def saddle() -> SkinRegion:
    """The inner side of a torus: round one way, hollow the other."""
    return grid_region(
        "saddle",
        torus(700.0, 300.0),
        np.linspace(3.7, 5.7, 50),
        np.linspace(np.pi - 0.7, np.pi + 0.7, 24),
        outward=lambda p: -p * [1.0, 1.0, 0.0],
        side="left",
    )


def test_a_ball_takes_one_sweep_of_about_its_radius() -> None:
    found = choose_sweeps(ball(), SweepSpec(chord=150.0, tolerance=0.3))
    (sweep,) = found.sweeps
    assert sweep.bends == "hollow"
    depth = float(sagitta_of(np.array(1.0 / sweep.radius), 150.0))
    exact = float(sagitta_of(np.array(1.0 / 500.0), 150.0))
    assert depth == pytest.approx(exact, abs=0.3)
    assert np.all(found.greater_sweep == 0)
    assert np.all(found.lesser_sweep == 0)
    assert found.gap <= 0.3


def test_a_tube_takes_a_straight_edge_along_and_an_arc_across() -> None:
    tube = grid_region(
        "tube",
        cylinder(400.0),
        np.linspace(0.0, 1000.0, 41),
        np.linspace(1.7, 2.9, 20),
        outward=lambda p: p * [0.0, 1.0, 1.0],
        side="left",
    )
    found = choose_sweeps(tube, SweepSpec(chord=150.0, tolerance=0.3))
    assert [sweep.bends for sweep in found.sweeps] == ["hollow", "straight"]
    for area in found.areas:
        along = abs(area.direction[0])
        assert along == pytest.approx(1.0 if area.way == "lesser" else 0.0, abs=0.02)
        assert area.sweep == ("B" if area.way == "lesser" else "A")


def test_metal_that_bends_in_takes_round_sweeps() -> None:
    found = choose_sweeps(saddle(), SweepSpec(chord=150.0, tolerance=0.4))
    assert {sweep.bends for sweep in found.sweeps} == {"hollow", "round"}
    for sweep in found.sweeps:
        middle = sweep.edge[len(sweep.edge) // 2, 1]
        assert (middle < 0.0) == (sweep.bends == "hollow")


def test_every_edge_is_the_arc_that_it_is_named_for() -> None:
    for sweep in choose_sweeps(saddle(), SweepSpec(chord=150.0, tolerance=0.4)).sweeps:
        edge = np.column_stack([sweep.edge, np.zeros(len(sweep.edge))])
        _, _, radius, off = fit_circle(edge)
        assert radius == pytest.approx(sweep.radius, rel=1e-6)
        assert off < 1e-6
        assert np.ptp(sweep.edge[:, 0]) == pytest.approx(150.0)


def covered(found: SweepSet) -> bool:
    own = np.array([s.edge[0, 1] - s.edge[len(s.edge) // 2, 1] for s in found.sweeps])
    both = np.concatenate([found.greater, found.lesser])
    return bool((np.abs(both[:, None] - own).min(axis=1) <= found.tolerance + 1e-6).all())


def test_every_place_is_served_both_ways_and_fewer_serve_a_wider_tolerance() -> None:
    tight, wide = (choose_sweeps(saddle(), SweepSpec(chord=150.0, tolerance=t)) for t in (0.1, 0.8))
    assert covered(tight)
    assert covered(wide)
    assert len(wide.sweeps) < len(tight.sweeps)


def test_radii_come_from_the_series_where_one_is_given() -> None:
    series = (250.0, 315.0, 400.0, 500.0, 630.0)
    found = choose_sweeps(ball(), SweepSpec(chord=150.0, tolerance=0.5, series=series))
    assert [sweep.radius for sweep in found.sweeps] == [500.0]


def test_areas_lie_inside_and_add_up_to_nearly_the_region() -> None:
    region = saddle()
    found = choose_sweeps(region, SweepSpec(chord=150.0, tolerance=0.2))
    corners = region.corners()
    whole = 0.5 * np.linalg.norm(
        np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1
    )
    for way in ("greater", "lesser"):
        total = sum(area.area for area in found.areas if area.way == way)
        assert 0.9 * whole.sum() < total <= whole.sum() * (1.0 + 1e-9)
    names = {sweep.name for sweep in found.sweeps}
    assert {area.sweep for area in found.areas} <= names


def test_a_region_turned_shifted_or_mirrored_takes_the_same_sweeps() -> None:
    region = saddle()
    spec = SweepSpec(chord=150.0, tolerance=0.3)
    radii = [sweep.radius for sweep in choose_sweeps(region, spec).sweeps]
    angle = 0.7
    turn = np.array(
        [[np.cos(angle), 0.0, np.sin(angle)], [0.0, 1.0, 0.0], [-np.sin(angle), 0.0, np.cos(angle)]]
    )
    moved = region.model_copy(update={"vertices": region.vertices @ turn.T + [100.0, -50.0, 20.0]})
    other = region.model_copy(
        update={
            "vertices": region.vertices * [1.0, -1.0, 1.0],
            "triangles": region.triangles[:, ::-1].copy(),
        }
    )
    for one in (moved, other):
        assert len(choose_sweeps(one, spec).sweeps) == len(radii)


def test_a_region_twice_as_large_takes_arcs_twice_as_large() -> None:
    region = ball()
    twice = region.model_copy(update={"vertices": 2.0 * region.vertices})
    one = choose_sweeps(region, SweepSpec(chord=100.0, tolerance=0.2)).sweeps
    two = choose_sweeps(twice, SweepSpec(chord=200.0, tolerance=0.4)).sweeps
    assert len(one) == len(two) == 1
    assert two[0].radius == pytest.approx(2.0 * one[0].radius, rel=0.05)


def test_the_right_side_has_the_same_arcs_and_mirrored_areas() -> None:
    left = choose_sweeps(saddle(), SweepSpec())
    right = mirrored_sweeps(left)
    assert right.side == "right"
    assert right.sweeps == left.sweeps
    for one, other in zip(left.areas, right.areas, strict=True):
        assert np.abs(one.centre * [1.0, -1.0, 1.0] - other.centre).max() < 1e-9
        assert one.sweep == other.sweep


def test_metal_too_tight_for_the_chord_is_said() -> None:
    found = choose_sweeps(
        ball(300.0), SweepSpec(chord=150.0, tolerance=0.5, series=(2000.0, 310.0))
    )
    assert found.findings == ()
    with pytest.raises(JobError, match="touches the cap"):
        choose_sweeps(ball(300.0), SweepSpec(chord=150.0, tolerance=0.5, series=(2000.0,)))


def test_depth_and_radius_are_each_others_inverse() -> None:
    radii = np.array([76.0, 200.0, 5e3, 1e6])
    np.testing.assert_allclose(radius_of(sagitta_of(1.0 / radii, 150.0), 150.0), radii, rtol=1e-9)
    assert np.isinf(radius_of(np.array([0.0]), 150.0))[0]
