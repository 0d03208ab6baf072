import numpy as np
import pytest

from buckwright.geometry.mesh import boundary_loops, triangle_areas
from buckwright.model.panels import Blank, SheetStock
from buckwright.panels import flatten_panel
from discs_on_paper import as_panel, cap, cylinder, grid, wing

SHEET = SheetStock(alloy="3003-O", thickness=1.27)


def test_a_dome_is_shrunk_all_round_its_edge_and_stretched_in_the_middle() -> None:
    vertices, triangles = cap(24, np.radians(30.0))
    blank = flatten_panel(as_panel((vertices, triangles)), SHEET, allowance=0.0)
    assert [area.kind for area in blank.areas] == ["shrink", "stretch", "leave"]
    shrink, stretch, _ = blank.areas
    rim = boundary_loops(triangles)[0]
    after = np.linalg.norm(vertices[rim] - np.roll(vertices[rim], 1, 0), axis=1).sum()
    before = np.linalg.norm(blank.flat[rim] - np.roll(blank.flat[rim], 1, 0), axis=1).sum()
    share = 100.0 * (1.0 - after / before)
    assert shrink.words == (
        f"shrink the edge all round by {share:.1f} %: "
        f"{before:.0f} mm of blank edge become {after:.0f} mm"
    )
    assert stretch.words.startswith("stretch the middle by 1.")
    assert np.linalg.norm(stretch.centre - [0.0, 0.0, 500.0]) < 30.0


def test_a_saddle_is_stretched_at_its_edge_and_shrunk_in_the_middle() -> None:
    side = np.linspace(-250.0, 250.0, 30)
    saddle = grid(lambda u, v: np.column_stack([u, v, (u * u - v * v) / 900.0]), side, side)
    blank = flatten_panel(as_panel(saddle), SHEET, allowance=0.0)
    shrink, stretch = blank.areas[:2]
    assert shrink.words.startswith("shrink the middle")
    assert stretch.words.startswith("stretch the edge here by ")
    assert " over 340 mm: " in stretch.words


def test_what_to_shrink_most_comes_first() -> None:
    blank = flatten_panel(as_panel(wing(16)), SHEET, allowance=0.0)
    order = {"shrink": 0, "stretch": 1, "leave": 2}
    ranks = [order[area.kind] for area in blank.areas]
    assert ranks == sorted(ranks)
    peaks = [area.peak for area in blank.areas if area.kind == "shrink"]
    assert peaks == sorted(peaks)


def test_both_long_edges_of_a_wing_are_shrunk_over_the_same_length() -> None:
    blank = flatten_panel(as_panel(wing(24)), SHEET, allowance=0.0)
    first, second = blank.areas[:2]
    assert first.words == second.words
    assert first.words.startswith("shrink the edge here by 4.")
    assert " over 950 mm: " in first.words


def test_areas_and_their_means_add_up_to_the_panel() -> None:
    blank = flatten_panel(as_panel(cap(20, np.radians(35.0))), SHEET, allowance=0.0)
    assert sum(a.area for a in blank.areas) == pytest.approx(blank.area, rel=0.02)
    flat = sum(a.area / (1.0 + a.mean) for a in blank.areas)
    assert flat == pytest.approx(blank.blank_area, rel=0.02)


def test_an_area_that_only_changes_its_shape_is_not_called_bend_only() -> None:
    blank = flatten_panel(as_panel(cap(24, np.radians(75.0))), SHEET, allowance=0.0)
    leave = next(area for area in blank.areas if area.kind == "leave")
    assert leave.words.startswith("keep the area: lengthen one way by")


def saddle_blank() -> Blank:
    side = np.linspace(-250.0, 250.0, 30)
    saddle = grid(lambda u, v: np.column_stack([u, v, (u * u - v * v) / 900.0]), side, side)
    return flatten_panel(as_panel(saddle), SHEET, allowance=0.0)


def test_bend_is_told_apart_from_stretch_with_its_radii() -> None:
    dome = flatten_panel(as_panel(cap(24, np.radians(30.0))), SHEET, allowance=0.0)
    assert {area.bend for area in dome.areas} == {"crowned"}
    for area in dome.areas:
        assert area.radii == pytest.approx((500.0, 500.0), rel=0.01)
    rolled = flatten_panel(as_panel(cylinder(250.0, 2.0, 400.0, 40)), SHEET, allowance=0.0)
    (area,) = rolled.areas
    assert area.bend == "rolled"
    assert abs(area.radii[0]) == pytest.approx(250.0, rel=0.01)
    assert area.radii[1] == 0.0
    assert {area.bend for area in saddle_blank().areas} == {"reverse"}


def test_the_wheels_anvil_has_the_tighter_radius_and_none_is_named_for_shrinking() -> None:
    blank = flatten_panel(as_panel(wing(16)), SHEET, allowance=0.0)
    stretch = next(area for area in blank.areas if area.kind == "stretch")
    assert stretch.anvil == pytest.approx(230.0, rel=0.05)
    assert "lower anvil of 230 mm radius" in stretch.words
    assert all(area.anvil == 0.0 for area in blank.areas if area.kind == "shrink")


def test_thickness_afterwards_keeps_the_volume() -> None:
    blank = flatten_panel(as_panel(wing(12)), SHEET, allowance=0.0)
    panel = wing(12)
    volume = blank.thickness_after @ triangle_areas(*panel)
    assert volume == pytest.approx(1.27 * blank.blank_area, rel=1e-9)
    first = blank.areas[0]
    assert first.thickness == pytest.approx(1.27 / (1.0 + first.peak))
    assert first.thickness > 1.27


def test_curvatures_and_their_directions_lie_on_the_blank() -> None:
    blank = flatten_panel(as_panel(cylinder(250.0, 2.0, 400.0, 40)), SHEET, allowance=0.0)
    assert np.abs(blank.curvature_tight) == pytest.approx(np.full(1600, 1.0 / 250.0), rel=0.01)
    assert np.abs(blank.curvature_slack).max() < 1e-5
    # The cylinder bends across its rulings, and these run along x of a blank 400 long, 500 high.
    across = blank.tight_direction[np.argmax(np.abs(blank.tight_direction).sum(axis=1))]
    turned = np.abs(blank.tight_direction @ across)
    assert turned == pytest.approx(np.ones(1600), abs=1e-3)
    longest = np.ptp(blank.flat, axis=0)
    assert longest @ np.abs(across) == pytest.approx(500.0, rel=0.01)


def test_an_areas_strain_has_the_direction_of_its_triangles() -> None:
    blank = saddle_blank()
    for area in blank.areas:
        inside = area.triangles
        assert area.strain[0] >= area.strain[1]
        assert np.expm1(blank.strain_major[inside]).min() <= area.strain[0]
        assert area.strain[0] <= np.expm1(blank.strain_major[inside]).max()
        assert np.hypot(*area.direction) == pytest.approx(1.0)


def test_every_triangle_belongs_to_one_area_at_most() -> None:
    blank = flatten_panel(as_panel(wing(16)), SHEET, allowance=0.0)
    members = np.concatenate([area.triangles for area in blank.areas])
    assert len(members) == len(set(members.tolist()))


def test_work_begins_with_the_largest_shrink_then_stretch_then_bend() -> None:
    blank = flatten_panel(as_panel(wing(24)), SHEET, allowance=0.0)
    what = [step.what for step in blank.work]
    assert what == sorted(what, key=["anneal", "shrink", "stretch", "gather", "bend"].index)
    assert [step.number for step in blank.work] == list(range(1, len(what) + 1))
    peaks = [blank.areas[s.areas[0]].peak for s in blank.work if s.what == "shrink"]
    assert peaks == sorted(peaks)
    for step in blank.work:
        assert all(blank.areas[k].order == step.number for k in step.areas)


def test_hard_metal_is_annealed_before_the_first_blow() -> None:
    hard = SheetStock(alloy="3003-H14", thickness=1.27)
    blank = flatten_panel(as_panel(wing(24)), hard, allowance=0.0)
    assert blank.verdict.step == "will not take it"
    assert blank.work[0].what == "anneal"
    assert blank.work[0].words == blank.verdict.anneal
    soft = flatten_panel(as_panel(wing(24)), SHEET, allowance=0.0)
    assert "anneal" not in {step.what for step in soft.work}
