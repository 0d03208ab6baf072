import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.panels import SheetStock
from buckwright.panels import flatten_panel
from discs_on_paper import as_panel, bumpy, cylinder, opened, wing

SHEET = SheetStock(alloy="3003-H14", thickness=1.27)


@pytest.mark.parametrize("mesh", [wing(10), bumpy(4, rings=9)], ids=["wing", "bumpy"])
def test_one_sided_blanks_ask_only_for_what_the_shop_can_do(
    mesh: tuple[np.ndarray, np.ndarray],
) -> None:
    panel = as_panel(mesh)
    stretch = flatten_panel(panel, SHEET, allowance=0.0, aim="stretch-only")
    shrink = flatten_panel(panel, SHEET, allowance=0.0, aim="shrink-only")
    free = flatten_panel(panel, SHEET, allowance=0.0)
    assert stretch.strain_minor.min() > -0.002
    assert shrink.strain_major.max() < 0.002
    assert stretch.blank_area < free.blank_area < shrink.blank_area
    assert min(stretch.work_density, shrink.work_density) > free.work_density
    assert stretch.flipped == shrink.flipped == 0
    assert stretch.aim_words.startswith("Stretch only: no place need shrink by more than 0.20 %")
    assert shrink.aim_words.startswith("Shrink only: no place need stretch by more than 0.20 %")


def test_a_panel_that_only_bends_is_the_same_for_every_aim() -> None:
    panel = as_panel(cylinder(250.0, 1.5, 500.0, 15))
    for aim in ("least-work", "least-greatest", "stretch-only", "shrink-only"):
        blank = flatten_panel(panel, SHEET, allowance=0.0, aim=aim)
        assert np.abs(blank.strain_major).max() < 2.1e-3
        assert blank.aim == aim


def test_an_r_value_above_one_changes_the_area_less() -> None:
    panel = as_panel(wing(10))
    changes = [
        np.abs(
            flatten_panel(panel, SHEET.model_copy(update={"r_value": r}), allowance=0.0).area_change
        ).mean()
        for r in (0.6, 1.0, 2.1)
    ]
    assert changes[0] > changes[1] > changes[2]


def test_an_r_value_of_one_is_isotropic_metal_to_the_last_bit() -> None:
    panel = as_panel(wing(6))
    typed = flatten_panel(panel, SHEET.model_copy(update={"r_value": 1.0}), allowance=0.0)
    left_out = flatten_panel(panel, SHEET, allowance=0.0)
    assert np.array_equal(typed.flat, left_out.flat)
    assert (typed.r_source, left_out.r_value) == ("typed", 1.0)


def test_steel_takes_its_r_value_from_the_tables() -> None:
    panel = as_panel(wing(6))
    blank = flatten_panel(panel, SheetStock(alloy="DC04", thickness=1.0), allowance=0.0)
    assert blank.r_value == 1.6
    assert "EN 10130" in blank.r_source


def test_an_r_value_that_no_metal_has_is_refused() -> None:
    for wrong in (0.0, -1.0, 40.0):
        with pytest.raises(JobError, match="No sheet metal has an r-value"):
            flatten_panel(
                as_panel(wing(4)), SHEET.model_copy(update={"r_value": wrong}), allowance=0.0
            )


def test_an_aim_that_does_not_exist_is_the_callers_fault() -> None:
    with pytest.raises(ValueError, match="no aim 'least-fun'"):
        flatten_panel(as_panel(wing(4)), SHEET, allowance=0.0, aim="least-fun")


def test_openings_are_free_edges_and_are_cut_smaller_by_the_allowance() -> None:
    mesh = opened(wing(24), (0.0, -715.0, 60.0))
    blank = flatten_panel(as_panel(mesh), SHEET, allowance=8.0)
    whole = flatten_panel(as_panel(wing(24)), SHEET, allowance=8.0)
    assert len(blank.openings) == len(blank.opening_cuts) == 1
    assert blank.work_density < whole.work_density
    assert blank.blank_area < whole.blank_area
    assert blank.mass < whole.mass
    assert blank.flipped == 0
