import numpy as np
import pytest

from buckwright.drawings import blank_sheets
from buckwright.errors import JobError
from buckwright.model.job import Job
from buckwright.model.panels import Blank, EdgeSpec, Panels, PanelSpec, SheetStock
from buckwright.model.skin import Skin
from buckwright.panels import flatten_panel, make_panels
from buckwright.panels.other_side import other_name
from discs_on_paper import as_skin, ring_disc, wing

SHEET = SheetStock(alloy="3003-H14", thickness=1.27)
SPECS = (
    PanelSpec(
        name="nose",
        region="wing",
        below=(("x", -60.0),),
        edges=(EdgeSpec(along="wing edge", treatment="flange", width=12.0),),
    ),
    PanelSpec(name="tail", region="wing", above=(("x", -60.0),), below=(("y", -650.0),)),
)


@pytest.fixture(scope="module")
def made() -> Panels:
    return make_panels(SPECS, as_skin(wing(8), "wing"), SHEET)


def pairs(made: Panels) -> list[tuple[Blank, Blank]]:
    return list(zip(made.blanks[::2], made.blanks[1::2], strict=True))


def over(points: np.ndarray, top: float) -> np.ndarray:
    return points * [1.0, -1.0] + [0.0, top]


def ring_gap(ring: np.ndarray, other: np.ndarray) -> float:
    """Greatest distance between two rings as sets of points."""
    assert len(ring) == len(other)
    gaps = np.linalg.norm(ring[:, None] - other[None], axis=2)
    return float(max(gaps.min(axis=0).max(), gaps.min(axis=1).max()))


def test_every_panel_of_a_left_region_comes_left_and_right_and_says_so(made: Panels) -> None:
    names = ["nose left", "nose right", "tail left", "tail right"]
    assert [panel.name for panel in made.panels] == names
    assert [blank.panel for blank in made.blanks] == names
    assert [grid.panel for grid in made.grids] == names
    assert [panel.side for panel in made.panels] == ["left", "right", "left", "right"]
    assert {panel.spec for panel in made.panels} == {"nose", "tail"}


def test_a_whole_regions_panel_keeps_its_name() -> None:
    whole = make_panels(SPECS[:1], as_skin(wing(6), "wing", side="whole"), SHEET)
    assert [panel.name for panel in whole.panels] == ["nose"]


def test_right_panels_are_mirror_images_to_a_billionth(made: Panels) -> None:
    for left, right in zip(made.panels[::2], made.panels[1::2], strict=True):
        assert np.abs(left.vertices * [1.0, -1.0, 1.0] - right.vertices).max() <= 1e-9
        assert np.array_equal(left.triangles[:, ::-1], right.triangles)


def test_right_blanks_are_mirror_images_to_a_billionth(made: Panels) -> None:
    for left, right in pairs(made):
        top = float(left.flat[:, 1].max())
        assert np.abs(over(left.flat, top) - right.flat).max() <= 1e-9
        assert ring_gap(over(left.outline, top), right.outline) <= 1e-9
        assert ring_gap(over(left.net_outline, top), right.net_outline) <= 1e-9
        for line, other in zip(left.bend_lines, right.bend_lines, strict=True):
            assert ring_gap(over(line, top), other) <= 1e-9
        assert left.mass == right.mass
        assert np.array_equal(left.strain_major, right.strain_major)
        assert np.array_equal(left.thickness_after, right.thickness_after)
        assert left.flipped == right.flipped == 0


def test_outlines_of_both_sides_run_counter_clockwise(made: Panels) -> None:
    for blank in made.blanks:
        x, y = blank.outline.T
        assert x @ np.roll(y, -1) > y @ np.roll(x, -1)


def test_a_right_panel_laid_flat_by_itself_gives_the_same_blank(made: Panels) -> None:
    for panel, blank in zip(made.panels[1::2], made.blanks[1::2], strict=True):
        again = flatten_panel(panel, SHEET, allowance=12.0)
        assert again.work_density == pytest.approx(blank.work_density, rel=1e-6)
        sides = [np.linalg.norm(b.flat[panel.triangles[:, 0]] - b.flat[panel.triangles[:, 1]],
                                axis=1) for b in (again, blank)]  # fmt: skip
        assert sides[0] == pytest.approx(sides[1], abs=0.02)


def test_marks_of_the_two_sides_are_never_the_same(made: Panels) -> None:
    for left, right in pairs(made):
        ours = {mark.text for mark in left.marks if mark.kind == "match"}
        theirs = {mark.text for mark in right.marks if mark.kind == "match"}
        assert ours
        assert theirs
        assert not ours & theirs
        assert len(ours) == len(theirs)


def test_match_marks_stand_at_mirrored_places(made: Panels) -> None:
    for left, right in pairs(made):
        top = float(left.flat[:, 1].max())
        at = [
            np.array([mark.at for mark in blank.marks if mark.kind == "match"])
            for blank in (left, right)
        ]
        assert ring_gap(over(at[0], top), at[1]) <= 1e-9


def test_datum_marks_of_the_right_have_the_rights_half_breadths(made: Panels) -> None:
    for left, right in pairs(made):
        ours = sorted(m.text for m in left.marks if m.text.startswith("y "))
        theirs = sorted(m.text for m in right.marks if m.text.startswith("y "))
        assert ours == sorted(text.replace("y ", "y -") for text in theirs)


def test_lines_and_planes_have_their_names_on_the_other_side() -> None:
    assert other_name("belt left") == "belt right"
    assert other_name("front wing edge") == "front wing edge"
    assert other_name("y = -650") == "y = 650"
    assert other_name("y = 12.5") == "y = -12.5"
    assert other_name("x = -60") == "x = -60"
    assert other_name("cleft line") == "cleft line"


def barrel() -> Skin:
    """A whole roof, the same on both sides."""
    disc, triangles = ring_disc(10)
    roof = np.column_stack([400.0 * disc, 300.0 - 120.0 * (disc**2).sum(axis=1)])
    return as_skin((roof, triangles), "roof", side="whole")


def test_a_panel_on_one_side_of_a_whole_region_may_be_made_for_both() -> None:
    spec = PanelSpec(name="quarter", region="roof", below=(("y", 0.0),), both_sides=True)
    made = make_panels((spec,), barrel(), SHEET)
    assert [panel.name for panel in made.panels] == ["quarter left", "quarter right"]
    assert made.findings == ()
    left, right = made.panels
    assert np.abs(left.vertices * [1.0, -1.0, 1.0] - right.vertices).max() <= 1e-9
    other = spec.model_copy(update={"below": (), "above": (("y", 0.0),)})
    made = make_panels((other,), barrel(), SHEET)
    assert [panel.side for panel in made.panels] == ["right", "left"]


def test_a_panel_across_the_centre_plane_cannot_be_made_for_both_sides() -> None:
    spec = PanelSpec(name="lid", region="roof", both_sides=True)
    with pytest.raises(JobError, match="lies across the centre plane"):
        make_panels((spec,), barrel(), SHEET)


def test_words_about_an_edge_name_the_edge_of_that_side(made: Panels) -> None:
    right = made.blanks[3]
    assert {edge.name for edge in right.edges} == {"wing edge", "x = -60", "y = 650"}
    plane = next(edge for edge in right.edges if edge.name == "y = 650")
    assert "along y = 650" in plane.words
    assert all("-650" not in edge.words for edge in right.edges)


def test_sheets_say_left_or_right_point_forward_and_are_not_mirror_writing(made: Panels) -> None:
    sheets = blank_sheets(Job(name="Wren", sheet=SHEET, panels=SPECS), made)
    assert [sheet.name for sheet in sheets] == [
        "blank-nose-left", "blank-nose-right", "blank-tail-left", "blank-tail-right",
    ]  # fmt: skip
    for sheet, side in zip(sheets, ("LEFT", "RIGHT", "LEFT", "RIGHT"), strict=True):
        texts = [label.text for label in sheet.labels]
        other = "LEFT" if side == "RIGHT" else "RIGHT"
        assert f"{side} SIDE" in texts
        assert f"FORWARD ({side} SIDE)" in texts
        assert not any(f"{other} SIDE" in text for text in texts)
        assert any(f"for the {side.lower()} side" in note for note in sheet.notes)
        # Words read from below or from the right, never upside down or backwards.
        assert all(-np.pi / 2 <= label.angle <= np.pi / 2 + 1e-9 for label in sheet.labels)
