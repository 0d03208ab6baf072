import numpy as np
import pytest
import shapely

from buckwright.drawings import blank_sheets, working_sheets
from buckwright.drawings.edgemarks import way_arrow
from buckwright.model.drawings import Sheet
from buckwright.model.job import Job
from buckwright.model.panels import EdgeSpec, Panels, PanelSpec, SheetStock
from buckwright.panels import make_panels
from discs_on_paper import as_skin, wing

STOCK = SheetStock(alloy="3003-H14", thickness=1.27)
SPEC = PanelSpec(
    name="wing",
    region="wing",
    edges=(EdgeSpec(along="wing edge", treatment="flange", width=12.0),),
)
JOB = Job(name="Wren", sheet=STOCK, panels=(SPEC,))


@pytest.fixture(scope="module")
def made() -> Panels:
    return make_panels((SPEC,), as_skin(wing(12), "wing"), STOCK)


@pytest.fixture(scope="module")
def working(made: Panels) -> Sheet:
    return working_sheets(JOB, made)[0]


def texts(sheet: Sheet) -> list[str]:
    return [label.text for label in sheet.labels]


def test_each_cross_has_its_strains_radii_and_thickness(working: Sheet) -> None:
    strains = [t for t in texts(working) if " / " in t and t[0] in "+-"]
    radii = [t for t in texts(working) if t.startswith("R ")]
    thick = [t for t in texts(working) if t.startswith("t ")]
    assert len(strains) == len(radii) == len(thick) >= 10
    for text in strains:
        along, across = (float(part) for part in text.split(" / "))
        assert along >= across
    assert all(1.1 < float(text[2:]) < 1.4 for text in thick)


def test_radii_are_those_of_the_torus_it_is(working: Sheet) -> None:
    tight = [float(t[2:].split(" / ")[0]) for t in texts(working) if t.startswith("R ")]
    assert np.median(tight) == pytest.approx(230.0, abs=10.0)


def test_crosses_stand_on_the_blank_and_their_arms_at_right_angles(
    working: Sheet, made: Panels
) -> None:
    shape = shapely.Polygon(made.blanks[0].net_outline)
    arms = [s for s in working.strokes if s.ink in ("stretch", "shrink")]
    assert len(arms) >= 10
    assert all(shape.contains(shapely.LineString(arm.points)) for arm in arms)


def test_words_beside_a_cross_stay_on_the_blank(working: Sheet, made: Panels) -> None:
    shape = shapely.Polygon(made.blanks[0].net_outline)
    beside = [w for w in working.labels if w.text.startswith(("R ", "t ", "+"))]
    assert all(shape.contains(shapely.Polygon(label.corners())) for label in beside)


def test_stretch_and_shrink_have_their_own_inks_by_sign(working: Sheet, made: Panels) -> None:
    inks = {stroke.ink for stroke in working.strokes}
    assert {"stretch", "shrink"} <= inks


def test_the_order_of_work_stands_on_both_sheets_and_annealing_in_the_notes(
    working: Sheet, made: Panels
) -> None:
    blank = made.blanks[0]
    (sheet, _) = blank_sheets(JOB, made)
    for drawn in (sheet, working):
        words = " ".join(texts(drawn))
        for step in blank.work:
            assert f"{step.number}. " in words
        assert blank.verdict.anneal in drawn.notes
    assert "order of work" in texts(sheet)


def test_bend_lines_are_drawn_as_creases_beside_the_trim_line(made: Panels) -> None:
    (sheet, _) = blank_sheets(JOB, made)
    creases = [stroke for stroke in sheet.strokes if stroke.ink == "crease"]
    assert len(creases) == 2
    net = shapely.LinearRing(made.blanks[0].net_outline)
    gaps = [net.distance(shapely.Point(stroke.points[7])) for stroke in creases]
    bends = [abs(distance) for distance in made.blanks[0].edges[0].bend_lines]
    assert sorted(gaps) == pytest.approx(sorted(bends), abs=0.1)


def test_the_arrow_points_forward_on_the_body(made: Panels) -> None:
    for panel, blank in zip(made.panels, made.blanks, strict=True):
        strokes, labels = way_arrow(panel, blank)
        tail, tip = strokes[0].points
        way = (tip - tail) / np.linalg.norm(tip - tail)
        along = (blank.flat - blank.flat.mean(axis=0)) @ way
        # Forward is towards smaller x.
        assert np.corrcoef(along, panel.vertices[:, 0])[0, 1] < -0.9
        assert labels[0].text.startswith("FORWARD")
        assert min(tail[1], tip[1]) > blank.outline[:, 1].max()


def test_a_panel_of_no_region_has_no_arrow(made: Panels) -> None:
    loose = made.panels[0].model_copy(update={"region": ""})
    assert way_arrow(loose, made.blanks[0]) == ([], [])


def test_words_of_one_cross_never_lie_over_those_of_another(working: Sheet) -> None:
    beside = [w for w in working.labels if w.text.startswith(("R ", "t ", "+"))]
    rooms = [shapely.Polygon(label.corners()) for label in beside]
    blocks = [shapely.union_all(rooms[k : k + 3]) for k in range(0, len(rooms), 3)]
    for number, block in enumerate(blocks):
        assert not any(block.intersects(other) for other in blocks[:number])
