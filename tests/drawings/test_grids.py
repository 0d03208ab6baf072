import numpy as np
import pytest
import shapely

from buckwright.drawings import SCOPE, blank_sheets, change_colours, grid_sheets
from buckwright.model.job import Job
from buckwright.model.panels import Panels, SheetStock
from buckwright.panels import flatten_panel, panel_grid
from discs_on_paper import as_panel, opened, wing

SHEET = SheetStock(alloy="3003-H14", thickness=1.27)
JOB = Job(name="Wren", sheet=SHEET)


@pytest.fixture(scope="module")
def panels() -> Panels:
    vertices, triangles = opened(wing(24), (0.0, -715.0, 60.0))
    panel = as_panel((vertices + np.array([0.0, 715.0, 0.0]), triangles), "front wing")
    blank = flatten_panel(panel, SHEET, allowance=10.0)
    grid = panel_grid(panel, blank)
    return Panels(panels=(panel,), blanks=(blank,), edge_vertices=(), grids=(grid,))


def test_a_grid_has_a_sheet_of_squares_and_one_of_strips(panels: Panels) -> None:
    squares, strips = grid_sheets(JOB, panels)
    assert (squares.name, strips.name) == ("grid-front-wing", "strips-front-wing")
    assert not squares.cut_file
    assert strips.cut_file
    for sheet in (squares, strips):
        assert sheet.title.startswith("Wren, revision A: ")
        assert sheet.notes[-1] == SCOPE
    assert grid_sheets(JOB, panels.model_copy(update={"grids": ()})) == ()


def test_every_line_stands_on_the_sheet_with_its_name_and_its_lengths(panels: Panels) -> None:
    squares = grid_sheets(JOB, panels)[0]
    said = [label.text for label in squares.labels]
    for line in panels.grids[0].lines:
        assert line.name in said
        (drawn,) = [stroke for stroke in squares.strokes if stroke.name == f"grid {line.name}"]
        assert drawn.points == pytest.approx(line.points[[0, -1]])
        for length in line.panel_lengths[1:-1]:
            assert f"{length:.1f}" in said


def test_a_strip_is_marked_at_the_finished_lengths_and_at_the_blanks(panels: Panels) -> None:
    strips = grid_sheets(JOB, panels)[1]
    chosen = [line for line in panels.grids[0].lines if line.strip]
    boxes = [stroke for stroke in strips.strokes if stroke.ink == "cut"]
    assert [box.name for box in boxes] == [f"strip {line.name}" for line in chosen]
    for line, box in zip(chosen, boxes, strict=True):
        low, high = box.points.min(axis=0), box.points.max(axis=0)
        own = [
            stroke
            for stroke in strips.strokes
            if stroke.ink in ("mark", "thin") and low[1] <= stroke.points[:, 1].mean() <= high[1]
        ]
        marks = np.array([s.points[0, 0] for s in own if s.ink == "mark"])
        began = np.array([s.points[0, 0] for s in own if s.ink == "thin"])
        assert np.diff(marks) == pytest.approx(line.panel_lengths)
        assert np.diff(began) == pytest.approx(line.blank_lengths)
        assert low[0] < min(marks.min(), began.min())
        assert high[0] > max(marks.max(), began.max())


def test_the_blank_shows_its_opening_its_centre_line_and_its_marks(panels: Panels) -> None:
    (sheet,) = blank_sheets(JOB, panels)
    blank = panels.blanks[0]
    openings = [stroke for stroke in sheet.strokes if stroke.name == "opening"]
    assert sorted(stroke.ink for stroke in openings) == ["cut", "outline"]
    centre = [stroke for stroke in sheet.strokes if stroke.ink == "centre"]
    assert len(centre) == len(blank.centre_line) >= 1
    said = {label.text for label in sheet.labels}
    assert "centre line" in said
    assert {mark.text for mark in blank.marks} <= said | {s.name for s in sheet.strokes}
    inside = shapely.Polygon(blank.net_outline)
    words = [label for label in sheet.labels if label.text.startswith("x ")]
    assert words
    for label in words:
        assert inside.buffer(1.0).contains(shapely.Polygon(label.corners()))


def test_no_words_of_marks_lie_over_each_other(panels: Panels) -> None:
    (sheet,) = blank_sheets(JOB, panels)
    texts = {mark.text for mark in panels.blanks[0].marks}
    rooms = [shapely.Polygon(lb.corners()) for lb in sheet.labels if lb.text in texts]
    for k, room in enumerate(rooms):
        assert not any(room.intersects(other) for other in rooms[:k])


def test_colours_tell_stretch_from_shrink() -> None:
    colours = change_colours(np.array([0.05, -0.05, 0.0, 0.0005]))
    assert colours[0, 0] > colours[0, 2]
    assert colours[1, 2] > colours[1, 0]
    assert colours[2:] == pytest.approx(1.0)
    assert colours.min() >= 0.0
    half = change_colours(np.array([0.05]), full=0.1)
    assert half[0] == pytest.approx(0.5 * (colours[0] + 1.0))


def test_names_of_lines_stand_clear_of_the_edge_and_of_each_other() -> None:
    panel = as_panel(wing(24), "front wing")
    blank = flatten_panel(panel, SHEET, allowance=10.0)
    grid = panel_grid(panel, blank)
    panels = Panels(panels=(panel,), blanks=(blank,), edge_vertices=(), grids=(grid,))
    squares = grid_sheets(JOB, panels)[0]
    names = {line.name for line in grid.lines}
    rooms = [shapely.Polygon(w.corners()) for w in squares.labels if w.text in names]
    edge = shapely.LinearRing(blank.net_outline)
    assert len(rooms) == 2 * len(grid.lines)
    for number, room in enumerate(rooms):
        assert not room.intersects(edge)
        assert not any(room.intersects(other) for other in rooms[:number])
