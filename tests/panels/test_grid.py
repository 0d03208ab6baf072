import numpy as np
import pytest

from buckwright.model.panels import SheetStock
from buckwright.panels import flatten_panel, panel_grid
from discs_on_paper import as_panel, cap, cylinder, opened, wing

SHEET = SheetStock(alloy="3003-H14", thickness=1.27)


def test_on_a_rolled_panel_every_length_stays() -> None:
    panel = as_panel(cylinder(250.0, 1.5, 500.0, 30))
    grid = panel_grid(panel, flatten_panel(panel, SHEET, allowance=0.0))
    assert grid.square == 50.0
    for line in grid.lines:
        assert line.panel_lengths == pytest.approx(line.blank_lengths, abs=1e-6)


def test_lines_run_from_edge_to_edge_in_squares() -> None:
    panel = as_panel(wing(14))
    blank = flatten_panel(panel, SHEET, allowance=0.0)
    grid = panel_grid(panel, blank, square=40.0)
    for line in grid.lines:
        assert line.crossings[0] == line.crossings[-1] == "edge"
        assert len(line.crossings) == len(line.points) == len(line.places)
        assert line.blank_lengths[1:-1] == pytest.approx(40.0)
        across = 1 if line.way == "along" else 0
        assert np.ptp(line.points[:, across]) < 1e-9
        # What is measured in space is at least the straight gap between the marks.
        gaps = np.linalg.norm(np.diff(line.places, axis=0), axis=1)
        assert (line.panel_lengths >= gaps - 1e-9).all()
        assert (line.panel_lengths <= 1.05 * gaps + 0.5).all()


def test_a_crossing_is_one_place_on_both_its_lines() -> None:
    panel = as_panel(wing(14))
    grid = panel_grid(panel, flatten_panel(panel, SHEET, allowance=0.0), square=40.0)
    lines = {line.name: line for line in grid.lines}
    met = 0
    for line in grid.lines:
        for other, place in zip(line.crossings, line.places, strict=True):
            if other != "edge" and line.name in lines[other].crossings:
                there = lines[other].places[lines[other].crossings.index(line.name)]
                assert place == pytest.approx(there, abs=1e-6)
                met += 1
    assert met > 100


def test_lengths_add_up_to_the_stretch_of_the_map() -> None:
    panel = as_panel(cap(20, np.radians(30.0)))
    blank = flatten_panel(panel, SHEET, allowance=0.0)
    grid = panel_grid(panel, blank, square=50.0)
    (middle,) = [line for line in grid.lines if abs(line.points[0, 1] - grid.origin[1]) < 1e-6]
    # A line through the top is a meridian: its length is that of the arc.
    assert middle.panel_lengths.sum() == pytest.approx(2.0 * 500.0 * np.radians(30.0), rel=2e-3)


def test_an_opening_parts_a_line() -> None:
    panel = as_panel(opened(wing(24), (0.0, -715.0, 45.0)))
    blank = flatten_panel(panel, SHEET, allowance=0.0)
    assert len(blank.openings) == 1
    grid = panel_grid(panel, blank, square=40.0)
    names = [line.name for line in grid.lines]
    assert len(set(names)) == len(names)
    parted = [name for name in names if name.endswith("'")]
    assert parted
    first, second = (
        next(x for x in grid.lines if x.name == n) for n in (parted[0][:-1], parted[0])
    )
    along = 0 if first.way == "along" else 1
    assert first.points[-1, along] < second.points[0, along]


def test_strips_are_asked_for_both_ways() -> None:
    panel = as_panel(wing(14))
    grid = panel_grid(panel, flatten_panel(panel, SHEET, allowance=0.0))
    ways = [line.way for line in grid.lines if line.strip]
    assert set(ways) == {"along", "across"}
    assert len(ways) <= 4


def test_squares_suit_the_size_of_the_blank() -> None:
    def side(mesh: tuple[np.ndarray, np.ndarray]) -> float:
        panel = as_panel(mesh)
        return panel_grid(panel, flatten_panel(panel, SHEET, allowance=0.0)).square

    assert side(cap(6, 0.2)) == 25.0
    assert side(wing(6)) == 50.0
    assert side(cylinder(2000.0, 0.8, 1900.0, 9)) == 100.0


def test_squares_without_size_are_refused() -> None:
    panel = as_panel(wing(4))
    blank = flatten_panel(panel, SHEET, allowance=0.0)
    with pytest.raises(ValueError, match="above 0"):
        panel_grid(panel, blank, square=0.0)


def test_the_mirror_image_has_the_same_lengths() -> None:
    vertices, triangles = wing(8)
    left = as_panel((vertices, triangles))
    right = as_panel((vertices * [1.0, -1.0, 1.0], triangles[:, [0, 2, 1]]))
    totals = []
    for panel in (left, right):
        grid = panel_grid(panel, flatten_panel(panel, SHEET, allowance=0.0), square=40.0)
        totals.append(sorted(round(float(line.panel_lengths.sum()), 3) for line in grid.lines))
    assert totals[0] == pytest.approx(totals[1], abs=5e-3)
