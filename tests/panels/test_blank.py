import numpy as np
import pytest
import shapely

from buckwright.errors import JobError
from buckwright.model.panels import Panel, PanelSpec, SheetStock
from buckwright.panels import blank_summary, flatten_panel, make_panels
from discs_on_paper import (
    as_panel,
    as_skin,
    bumpy,
    cap,
    cone,
    cylinder,
    grid,
    torus_with_a_window,
    tube,
    wing,
)

SHEET = SheetStock(alloy="3003-H14", thickness=1.27)


def test_the_blank_of_a_wing_in_three_panels_is_complete() -> None:
    specs = (
        PanelSpec(name="nose", region="front wing", below=(("x", -160.0),)),
        PanelSpec(name="top", region="front wing", above=(("x", -160.0),), below=(("x", 150.0),)),
        PanelSpec(name="tail", region="front wing", above=(("x", 150.0),), trim_allowance=0.0),
    )
    made = make_panels(specs, as_skin(wing(8), "front wing"), SHEET)
    names = [f"{name} {side}" for name in ("nose", "top", "tail") for side in ("left", "right")]
    assert [panel.name for panel in made.panels] == names
    assert [blank.panel for blank in made.blanks] == names
    for panel, blank, rim in zip(made.panels, made.blanks, made.edge_vertices, strict=True):
        assert blank.flipped == 0
        assert len(blank.flat) == len(panel.vertices)
        assert len(blank.area_change) == len(panel.triangles)
        assert np.array_equal(blank.net_outline, blank.flat[rim])
        assert blank.blank_area == pytest.approx(shapely.Polygon(blank.net_outline).area)
        assert (blank.strain_major >= blank.strain_minor).all()
        # Strains count from blank to panel: their sum is the log of the area's change.
        assert blank.strain_major + blank.strain_minor == pytest.approx(
            np.log1p(blank.area_change), abs=1e-12
        )
        assert np.linalg.norm(blank.major_direction, axis=1) == pytest.approx(1.0)
    for tail in made.blanks[4:]:
        assert np.array_equal(tail.outline, tail.net_outline)


def test_strains_are_what_a_grid_on_the_blank_would_show() -> None:
    panel = as_panel(wing(6))
    blank = flatten_panel(panel, SHEET, allowance=0.0)
    for k in range(0, len(panel.triangles), 17):
        corners = panel.triangles[k]
        here, there = blank.flat[corners], panel.vertices[corners]
        plane = np.column_stack([here[1] - here[0], here[2] - here[0]])
        lift = np.column_stack([there[1] - there[0], there[2] - there[0]]) @ np.linalg.inv(plane)
        _, values, turn = np.linalg.svd(lift)
        assert np.log(values) == pytest.approx(
            [blank.strain_major[k], blank.strain_minor[k]], abs=1e-9
        )
        if values[0] - values[1] > 1e-4:
            assert abs(turn[0] @ blank.major_direction[k]) == pytest.approx(1.0, abs=1e-6)


def test_the_mass_is_that_of_the_blank_as_cut() -> None:
    blank = flatten_panel(as_panel(cylinder(200.0, 1.0, 300.0, 9)), SHEET, allowance=0.0)
    assert blank.mass == pytest.approx(blank.blank_area * 1.27 * 2.73e-6, rel=1e-9)
    wide = flatten_panel(as_panel(cylinder(200.0, 1.0, 300.0, 9)), SHEET, allowance=10.0)
    assert wide.mass == pytest.approx(shapely.Polygon(wide.outline).area * 1.27 * 2.73e-6)


def test_thickness_follows_the_area_because_the_volume_stays() -> None:
    blank = flatten_panel(as_panel(wing(6)), SHEET, allowance=0.0)
    low, high = blank.thickness
    assert low == pytest.approx(1.27 / (1.0 + blank.area_change.max()))
    assert high == pytest.approx(1.27 / (1.0 + blank.area_change.min()))


def test_the_blank_lies_along_x_with_its_rear_to_the_right_outside_up() -> None:
    panel = as_panel(wing(8))
    blank = flatten_panel(panel, SHEET, allowance=0.0)
    size = np.ptp(blank.flat, axis=0)
    assert size[0] > size[1]
    assert np.corrcoef(blank.flat[:, 0], panel.vertices[:, 0])[0, 1] > 0.9
    assert shapely.LinearRing(blank.outline).is_ccw
    assert blank.flat.min() == pytest.approx(0.0, abs=1e-9)


def test_mirrored_panels_have_mirrored_blanks() -> None:
    vertices, triangles = wing(6)
    left = flatten_panel(as_panel((vertices, triangles)), SHEET, allowance=0.0)
    mirrored = as_panel((vertices * [1.0, -1.0, 1.0], triangles[:, [0, 2, 1]]))
    right = flatten_panel(mirrored, SHEET, allowance=0.0)
    assert right.blank_area == pytest.approx(left.blank_area, rel=1e-9)
    gaps = [np.linalg.norm(b.flat[:, None] - b.flat[None], axis=2) for b in (left, right)]
    assert np.abs(gaps[0] - gaps[1]).max() < 1e-3
    assert right.area_change == pytest.approx(left.area_change, abs=1e-7)


def test_the_bend_radius_is_the_tighter_one() -> None:
    blank = flatten_panel(as_panel(wing(30)), SHEET, allowance=0.0)
    assert np.median(blank.bend_radius) == pytest.approx(230.0, rel=0.02)
    flat = flatten_panel(
        as_panel(grid(level, np.arange(0.0, 300.0, 20.0), np.arange(0.0, 200.0, 20.0))),
        SHEET,
        allowance=0.0,
    )
    assert flat.bend_radius.min() == 1e6


def level(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    return np.column_stack([u, v, np.zeros_like(u)])


def test_a_cylinder_is_bend_only_and_a_plate_is_flat() -> None:
    rolled = flatten_panel(as_panel(cylinder(250.0, 2.0, 400.0, 15)), SHEET, allowance=5.0)
    assert [area.words for area in rolled.areas] == [
        "bend only: roll to a radius of 250 mm, hollow side out"
    ]
    assert rolled.verdict.step == "takes it"
    plate = flatten_panel(
        as_panel(grid(level, np.arange(0.0, 300.0, 20.0), np.arange(0.0, 200.0, 20.0))),
        SHEET,
        allowance=5.0,
    )
    assert [area.words for area in plate.areas] == ["leave flat"]


def test_least_greatest_lowers_the_greatest_strain() -> None:
    panel = as_panel(wing(6))
    work = blank_summary(flatten_panel(panel, SHEET, allowance=0.0), panel)
    greatest = flatten_panel(panel, SHEET, allowance=0.0, aim="least-greatest")
    told = blank_summary(greatest, panel)
    assert told["log_strain"]["max_abs"] < 0.9 * work["log_strain"]["max_abs"]
    assert told["work_density"] > work["work_density"]


def test_the_summary_has_the_keys_of_the_command() -> None:
    panel = as_panel(bumpy(5, rings=6))
    blank = flatten_panel(panel, SHEET, allowance=0.0)
    told = blank_summary(blank, panel)
    assert list(told) == [
        "triangles", "area_mm2", "blank_area_mm2", "blank_outline_mm", "work_density",
        "log_strain", "area_change", "flipped", "aim", "aim_words", "grain", "r_value",
        "openings_mm", "verdict", "thickness_mm", "areas", "work", "mass_kg", "findings",
    ]  # fmt: skip
    strain = told["log_strain"]
    assert list(strain) == ["max_abs", "rms", "stretch_max", "shrink_max"]
    assert strain["max_abs"] == max(strain["stretch_max"], strain["shrink_max"])
    assert strain["rms"] < strain["max_abs"]
    assert told["triangles"] == len(panel.triangles)
    assert shapely.Polygon(told["blank_outline_mm"]).area == pytest.approx(told["blank_area_mm2"])


def refused(panel: Panel, words: str, sheet: SheetStock = SHEET) -> None:
    with pytest.raises(JobError, match=words) as caught:
        flatten_panel(panel, sheet, allowance=0.0)
    assert caught.value.remedy.endswith(".") or caught.value.remedy.endswith("?")


def test_what_is_not_a_disc_is_refused_in_a_sentence() -> None:
    vertices, triangles = cap(6, 0.8)
    shell = np.array([[0.0, 0, 0], [100, 0, 0], [0, 100, 0], [0, 0, 100]])
    sides = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
    refused(as_panel((shell, sides)), "closed all round")
    refused(as_panel((vertices, triangles[6:])), "belong to no triangle: 1 of them")
    refused(as_panel(tube(100.0, 400.0, 24, 12)), "2 edges that do not meet and is a tube")
    refused(as_panel(torus_with_a_window(20)), "handle")
    refused(as_panel((vertices, np.vstack([triangles, triangles[:2]]))), "2 triangles lie twice")
    apart = np.vstack([vertices, vertices + np.array([2000.0, 0.0, 0.0])])
    refused(as_panel((apart, np.vstack([triangles, triangles + len(vertices)]))), "2 pieces")
    refused(as_panel((vertices, triangles[:0])), "no metal")


def test_a_panel_that_touches_itself_is_refused_with_the_place() -> None:
    vertices, triangles = cap(6, 0.8)
    # Two triangles taken out leave two that meet at the middle only.
    refused(
        as_panel((vertices, np.delete(triangles, [0, 3], axis=0))), "touches itself at x 0, y 0"
    )


def test_a_third_sheet_at_an_edge_is_refused() -> None:
    vertices, triangles = cap(4, 0.8)
    fin = np.vstack([vertices, [[0.0, 0.0, 900.0]]])
    more = np.vstack([triangles, [[triangles[0, 0], triangles[0, 1], len(vertices)]]])
    refused(as_panel((fin, more)), "more than two triangles meet")


def test_unknown_metal_is_refused_with_what_is_known() -> None:
    panel = as_panel(cylinder(200.0, 1.0, 300.0, 5))
    refused(panel, "no alloy '6061-T6'", SheetStock(alloy="6061-T6", thickness=1.6))
    refused(panel, "no 3003-H14 of 0.063 mm", SheetStock(alloy="3003-H14", thickness=0.063))


def codes(panel: Panel, **sheet: object) -> list[str]:
    stock = SHEET.model_copy(update=sheet)
    return [f.code for f in flatten_panel(panel, stock, allowance=0.0).findings]


def test_inches_taken_for_millimetres_are_a_finding() -> None:
    vertices, triangles = wing(5)
    assert codes(as_panel((vertices, triangles))) == []
    small = as_panel((vertices / 25.4, triangles))
    blank = flatten_panel(small, SHEET, allowance=0.0)
    assert [f.code for f in blank.findings] == ["likely-wrong-units"]
    assert "inches" in blank.findings[0].message
    metres = flatten_panel(as_panel((vertices / 1000.0, triangles)), SHEET, allowance=0.0)
    assert "metres" in metres.findings[0].message
    assert codes(as_panel((vertices * 25.4, triangles))) == [
        "likely-wrong-units",
        "larger-than-sheet",
    ]


def test_a_blank_larger_than_the_sheet_is_a_finding_with_what_to_buy() -> None:
    roof = as_panel(cylinder(2000.0, 0.7, 2000.0, 9))
    found = flatten_panel(roof, SHEET, allowance=0.0).findings
    assert [f.code for f in found] == ["larger-than-sheet"]
    assert found[0].remedy == "Buy 5x10 ft."
    long = as_panel(cylinder(2000.0, 0.5, 4000.0, 9))
    assert "seam" in flatten_panel(long, SHEET, allowance=0.0).findings[0].remedy
    assert codes(roof, size=(1524.0, 3048.0)) == []


def test_a_blank_that_lies_over_itself_is_a_finding() -> None:
    funnel = as_panel(cone(1.3, 200.0, 300.0, 6.2, 40))
    assert codes(funnel) == []
    # A screw of more than one turn, flat within itself, laps over its own start.
    turn = np.linspace(0.0, 8.5, 90)
    ramp = grid(
        lambda u, v: np.column_stack([v * np.cos(u), v * np.sin(u), 3.0 * u]),
        turn,
        np.linspace(300.0, 200.0, 5),
    )
    assert codes(as_panel(ramp)) == ["blank-overlaps"]
