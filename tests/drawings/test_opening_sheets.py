"""Sheets of doors and glass, and the table of openings."""

import csv
from io import StringIO

import ezdxf
import numpy as np
import pytest
import shapely

from buckwright.drawings import door_sheets, glass_sheets
from buckwright.files.contents import contents_rows
from buckwright.files.dxf import dxf_text
from buckwright.files.opening_tables import openings_csv
from buckwright.geometry.cylinder import Cylinder
from buckwright.model.job import Job
from buckwright.model.openings import GlassSpec, OpeningSpec, Pane
from buckwright.openings import make_openings
from openings_on_paper import DOOR, SIDE, WINDOW, barrel_side, door_spec, make_paper, side_glass


@pytest.fixture(scope="module")
def made():
    """A door that touches, with glass bent to its barrel, and a bare pane of flat glass."""
    paper = make_paper(barrel_side)
    job = Job(
        name="Wren",
        openings=(
            door_spec(
                hinge_x=DOOR[0][0] + 12.5,
                hinge_y=SIDE + 35.0,
                glass=side_glass(shape="cylinder", drop=100.0),
            ),
            OpeningSpec(
                name="pane", kind="window", outline=("window",), glass=GlassSpec(overlap=0.0)
            ),
        ),
    )
    return job, paper.skin, make_openings(job.openings, paper.skin, paper.network)


@pytest.fixture(scope="module")
def sheets(made):
    job, skin, openings = made
    drawn = (*door_sheets(job, openings, skin), *glass_sheets(job, openings))
    return {sheet.name: sheet for sheet in drawn}


def test_each_door_has_a_sheet_and_each_pane_two(sheets):
    assert list(sheets) == [
        "swing-left-door", "glass-left-door", "glass-fit-left-door", "glass-pane", "glass-fit-pane",
    ]  # fmt: skip
    assert [name for name, sheet in sheets.items() if sheet.cut_file] == [
        "glass-left-door", "glass-pane",
    ]  # fmt: skip


def test_every_sheet_carries_the_cautions_on_glass_or_hinges(sheets):
    for name, sheet in sheets.items():
        notes = " ".join(sheet.notes)
        assert "UNECE R43" in notes
        assert "Z26.1" in notes
        assert "local codes" in notes
        assert ("FMVSS 206" in notes) == name.startswith("swing")


def test_the_cut_file_holds_the_pane_in_true_size(made, sheets, tmp_path):
    pane = made[2].openings[1].pane
    path = tmp_path / "pane.dxf"
    path.write_text(dxf_text(sheets["glass-pane"]), encoding="ascii")
    cut = [e for e in ezdxf.readfile(path).modelspace() if e.dxf.layer.lower().startswith("cut")]
    (x0, z0), (x1, z1) = WINDOW
    points = np.vstack(
        [[(p[0], p[1]) for p in ezdxf.path.make_path(e).flattening(0.01)] for e in cut]
    )
    assert np.ptp(points[:, 0]) == pytest.approx(x1 - x0, abs=0.05)
    assert np.ptp(points[:, 1]) == pytest.approx(z1 - z0, abs=0.05)
    assert pane.area == pytest.approx((x1 - x0) * (z1 - z0), rel=1e-3)


def test_glass_is_drawn_as_seen_from_outside_with_up_upward(made, sheets):
    """From the left the front is on the left: paper runs across as x does, up as z does."""
    for opening, name in zip(
        made[2].openings, ("glass-fit-left-door", "glass-fit-pane"), strict=True
    ):
        (outline,) = (s for s in sheets[name].strokes if s.name == "outline")
        edge = np.asarray(opening.pane.edge)
        for axis, way in ((0, 0), (1, 2)):
            there = np.corrcoef(outline.points[:, axis], edge[:, way])[0, 1]
            assert there == pytest.approx(1.0, abs=1e-3)


def test_bend_lines_run_along_the_axis_inside_the_pane(made, sheets):
    sheet = sheets["glass-left-door"]
    (cut,) = (s for s in sheet.strokes if s.ink == "cut")
    bends = [s for s in sheet.strokes if s.ink == "thin"]
    assert len(bends) == 9
    whole = shapely.Polygon(cut.points).buffer(0.01)
    for bend in bends:
        assert whole.contains(shapely.LineString(bend.points))
        # The barrel's axis runs fore and aft, level on the paper.
        assert np.ptp(bend.points[:, 1]) < 0.01 * np.ptp(bend.points[:, 0])


def test_the_door_sheet_tells_the_first_touch_and_draws_three_places(made, sheets):
    sheet = sheets["swing-left-door"]
    touch = made[2].openings[0].swing.touch
    words = " ".join(label.text for label in sheet.labels)
    assert f"FIRST TOUCH after {np.degrees(touch.angle):.2f} of 60 degrees" in words
    assert {"0% open", "50% open", "100% open"} <= {s.name for s in sheet.strokes}
    (inner,) = (s for s in sheet.strokes if s.name == "edge of the part")
    (outer,) = (s for s in sheet.strokes if s.name == "edge of the body")
    gap = np.ptp(outer.points[:, 0]) - np.ptp(inner.points[:, 0])
    assert gap == pytest.approx(10.0, abs=0.01)


def test_the_fit_is_drawn_enlarged_to_its_worst(made, sheets):
    (outline,) = (s for s in sheets["glass-fit-pane"].strokes if s.name == "outline")
    (off,) = (s for s in sheets["glass-fit-pane"].strokes if s.name == "distance, enlarged")
    away = np.linalg.norm(off.points - outline.points, axis=1)
    assert away.max() == pytest.approx(25.0)
    pane: Pane = made[2].openings[1].pane
    np.testing.assert_allclose(away / away.max(), np.abs(pane.off) / pane.off_most, atol=1e-9)


def test_the_table_has_a_row_for_each_opening_and_its_columns_line_up(made):
    rows = list(csv.DictReader(StringIO(openings_csv(made[2]))))
    assert [row["opening"] for row in rows] == ["left door", "pane"]
    door, pane = rows
    swing = made[2].openings[0].swing
    assert float(door["swing_reached_deg"]) == pytest.approx(np.degrees(swing.reached), abs=0.01)
    assert door["first_touch"] == "its front edge meets the jamb at its front edge"
    assert float(door["drop_reached_mm"]) == pytest.approx(100.0)
    assert None not in door
    assert pane["swing_wanted_deg"] == pane["drop_wanted_mm"] == ""
    assert pane["glass"] == "flat"


def test_the_cover_lists_the_sheets_of_openings(sheets):
    rows = contents_rows(tuple(sheets.values()), ("openings",), ())
    told = " ".join(" ".join(row) for row in rows)
    assert "Doors, windows, screens and lids, 5 sheets" in told
    assert "each opening: hinge axis, swing, clearances, glass" in told


def test_a_pane_of_the_right_hand_side_is_the_left_one_mirrored():
    from buckwright.drawings.glass import _laid

    axes = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])
    flat = np.array([[10.0, 5.0], [30.0, -7.0], [0.0, 0.0]])
    surface = Cylinder(np.array([0.0, -600.0, 0.0]), axes, 0.0)
    points = surface.roll(flat)
    mirrored = Cylinder(
        np.array([0.0, 600.0, 0.0]), axes * [1.0, -1.0, 1.0] * np.array([[-1.0], [1.0], [1.0]]), 0.0
    )
    pane = make_pane_of(surface)
    other = make_pane_of(mirrored)
    left = _laid(pane, surface.develop(points))
    right = _laid(other, mirrored.develop(points * [1.0, -1.0, 1.0]))
    np.testing.assert_allclose(right, left * [-1.0, 1.0], atol=1e-9)


def make_pane_of(surface: Cylinder) -> Pane:
    return Pane(
        shape="flat", origin=tuple(surface.origin), axes=surface.axes, curvature=0.0,
        edge=np.zeros((3, 3)), off=np.zeros(3), off_rms=0.0, off_most=0.0, off_at=(0.0, 0.0, 0.0),
        off_other=0.0, stands_in=0.0, outline=np.zeros((3, 2)), area=0.0,
    )  # fmt: skip
