import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.panels import SheetStock
from buckwright.panels import flatten_panel
from buckwright.panels.lie import sheet_turn
from discs_on_paper import as_panel, cylinder, grid

SHEET = SheetStock(alloy="3003-H14", thickness=1.27, size=(1000.0, 2000.0))


def plate(long: float, wide: float) -> tuple[np.ndarray, np.ndarray]:
    return grid(
        lambda u, v: np.column_stack([u, v, np.zeros_like(u)]),
        np.linspace(0.0, long, 9),
        np.linspace(0.0, wide, 5),
    )


def size(**asked: object) -> np.ndarray:
    blank = flatten_panel(as_panel(plate(800.0, 300.0)), SHEET, allowance=0.0, **asked)
    return np.ptp(blank.flat, axis=0)


def test_the_grain_runs_along_the_side_that_was_asked_for() -> None:
    assert size(grain="long") == pytest.approx([800.0, 300.0])
    assert size(grain="short") == pytest.approx([300.0, 800.0])
    assert size(grain="any") == pytest.approx([800.0, 300.0])


def test_the_grain_runs_along_an_axis_of_the_vehicle() -> None:
    vertices, triangles = plate(800.0, 300.0)
    angle = np.radians(30.0)
    turn = np.array(
        [[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1]]
    )
    panel = as_panel((vertices @ turn.T, triangles))
    for axis, name in enumerate("xy"):
        blank = flatten_panel(panel, SHEET, allowance=0.0, grain=name)
        slope = np.polyfit(blank.flat[:, 0], panel.vertices[:, axis], 1)
        rest = panel.vertices[:, axis] - blank.flat[:, 0]
        assert slope[0] > 0.0
        assert np.ptp(rest) < 1e-6
        assert blank.grain == name
    with pytest.raises(JobError, match="does not run along z"):
        flatten_panel(panel, SHEET, allowance=0.0, grain="z")


def test_on_a_rolled_panel_the_grain_follows_the_straight_way() -> None:
    blank = flatten_panel(
        as_panel(cylinder(250.0, 1.0, 400.0, 12)), SHEET, allowance=0.0, grain="x"
    )
    assert np.ptp(blank.flat[:, 0]) == pytest.approx(400.0, rel=1e-6)


def test_a_blank_is_turned_slantwise_where_only_so_the_sheet_holds_it() -> None:
    # A bar of 2,100 x 80 mm is longer than the sheet, but not than its diagonal.
    panel = as_panel(plate(2100.0, 80.0))
    blank = flatten_panel(panel, SHEET, allowance=0.0)
    low, high = blank.outline.min(axis=0), blank.outline.max(axis=0)
    assert (high - low <= [2000.0, 1000.0]).all()
    assert [finding.code for finding in blank.findings] == []
    wide = flatten_panel(panel, SHEET, allowance=20.0)
    assert (np.ptp(wide.outline, axis=0) <= [2000.0, 1000.0]).all()


def test_a_grain_that_the_sheet_cannot_give_is_a_finding_with_the_turn_that_fits() -> None:
    panel = as_panel(plate(1500.0, 300.0))
    found = flatten_panel(panel, SHEET, allowance=0.0, grain="short").findings
    assert [finding.code for finding in found] == ["grain-does-not-fit"]
    assert "1500 mm across" in found[0].message
    assert "Turn it 61" in found[0].remedy
    assert flatten_panel(panel, SHEET, allowance=0.0, grain="long").findings == ()


def test_the_turn_is_the_least_that_fits_and_none_where_nothing_does() -> None:
    square = np.array([[0.0, 0.0], [900.0, 0.0], [900.0, 900.0], [0.0, 900.0]])
    assert sheet_turn(square, SHEET, add=0.0) == 0.0
    assert sheet_turn(square, SHEET, add=51.0) is None
