import numpy as np
import pytest

from buckwright.geometry.mesh import boundary_loops
from buckwright.model.panels import SheetStock
from buckwright.panels import flatten_panel
from discs_on_paper import as_panel, cap, grid, wing

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
