import numpy as np
import pytest
import shapely

from buckwright.model.panels import Blank, EdgeSpec, PanelSpec, SheetStock
from buckwright.panels import make_panels
from buckwright.panels.margins import Margin, beside, uneven_opening, uneven_outline
from discs_on_paper import as_skin, wing

SHEET = SheetStock(alloy="3003-O", thickness=1.27)
SKIN = as_skin(wing(8), "wing", side="whole")
SQUARE = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]])


def sides(*allowances: float, turned: tuple[int, ...] = ()) -> list[Margin]:
    return [
        Margin(SQUARE[[k, (k + 1) % 4]], allowance, False, k in turned)
        for k, allowance in enumerate(allowances)
    ]


def area(ring: np.ndarray) -> float:
    return float(shapely.Polygon(ring).area)


def test_each_side_gets_its_own_metal_and_plain_corners_are_filled() -> None:
    ring = uneven_outline(SQUARE, sides(5.0, 10.0, 5.0, 10.0))
    assert ring.min(axis=0) == pytest.approx([-10.0, -5.0])
    assert ring.max(axis=0) == pytest.approx([110.0, 105.0])
    assert area(ring) == pytest.approx(120.0 * 110.0, rel=1e-6)


def test_corners_beside_a_turned_edge_are_left_open() -> None:
    ring = uneven_outline(SQUARE, sides(10.0, 10.0, 10.0, 10.0, turned=(0,)))
    assert area(ring) == pytest.approx(120.0 * 120.0 - 2.0 * 100.0, rel=1e-6)


def test_a_side_without_allowance_stays_where_it_is() -> None:
    ring = uneven_outline(SQUARE, sides(0.0, 10.0, 0.0, 0.0))
    assert ring.max(axis=0) == pytest.approx([110.0, 100.0])
    assert ring.min(axis=0) == pytest.approx([0.0, 0.0])


def test_an_opening_keeps_metal_inside_its_edge() -> None:
    hole = [Margin(SQUARE[[k, k - 1]], 10.0, False, False) for k in (0, 3, 2, 1)]
    assert area(uneven_opening(SQUARE, hole)) == pytest.approx(80.0 * 80.0, rel=1e-6)
    wide = [Margin(SQUARE[[k, k - 1]], 60.0, False, False) for k in (0, 3, 2, 1)]
    assert uneven_opening(SQUARE, wide) is None


def test_a_bend_line_runs_beside_the_edge_on_the_outside() -> None:
    moved = beside(sides(0, 0, 0, 0)[0], 4.0)
    assert moved == pytest.approx(np.array([[0.0, -4.0], [100.0, -4.0]]))


def test_less_than_no_allowance_is_refused() -> None:
    with pytest.raises(ValueError, match="negative"):
        uneven_outline(SQUARE, sides(-1.0, 0.0, 0.0, 0.0))


def made(*edges: EdgeSpec, **fields: object) -> Blank:
    spec = PanelSpec(name="half", region="wing", above=(("x", 0.0),), edges=edges, **fields)
    return make_panels((spec,), SKIN, SHEET).blanks[0]


def test_without_edges_the_rim_is_trimmed_and_the_seam_welded() -> None:
    blank = made(trim_allowance=7.0)
    assert {(e.name, e.treatment, e.allowance) for e in blank.edges} == {
        ("wing edge", "trim", 7.0),
        ("x = 0", "weld", 7.0),
    }


def test_an_edge_is_named_by_its_line_or_plane_and_the_rest_by_nothing() -> None:
    blank = made(
        EdgeSpec(along="x = 0", treatment="weld", width=4.0),
        EdgeSpec(along="", treatment="hem", width=6.0),
    )
    by_name = {edge.name: edge for edge in blank.edges}
    assert by_name["x = 0"].allowance == 4.0
    assert by_name["wing edge"].treatment == "hem"
    assert by_name["wing edge"].allowance == 6.0
    gap = shapely.Polygon(blank.net_outline).hausdorff_distance(shapely.Polygon(blank.outline))
    # A corner reaches farther out than either side.
    assert 6.0 <= gap < 9.0


def test_the_blank_weighs_what_its_outline_holds() -> None:
    blank = made(EdgeSpec(along="wing edge", treatment="wired edge", wire=5.0))
    assert blank.mass == pytest.approx(area(blank.outline) * 1.27 * 2.73e-6, rel=1e-6)


def test_a_flange_round_a_convex_edge_must_shrink_and_says_by_how_much() -> None:
    blank = made(EdgeSpec(along="wing edge", treatment="flange", width=10.0))
    edge = next(edge for edge in blank.edges if edge.treatment == "flange")
    assert edge.strain[0] < -0.03
    assert f"shrink its free edge by up to {-100.0 * edge.strain[0]:.0f} %" in edge.words
    assert edge.step in ("with care", "will not take it")
    assert len(blank.bend_lines) == 2
    assert "0.01743 R" in edge.source
    assert [step.what for step in blank.work][-2:] == ["trim", "flange"]


def test_a_flange_that_is_too_short_or_too_tight_is_a_finding() -> None:
    hard = SheetStock(alloy="5052-H32", thickness=2.0)
    spec = PanelSpec(
        name="half",
        region="wing",
        above=(("x", 0.0),),
        edges=(EdgeSpec(along="wing edge", treatment="flange", width=6.0, radius=1.0),),
    )
    blank = make_panels((spec,), SKIN, hard).blanks[0]
    codes = [finding.code for finding in blank.findings]
    assert "flange-too-short" in codes
    assert "edge-will-not-take-it" in codes
    assert "cracks below 3.0 mm" in blank.edges[0].words + blank.edges[-1].words


def test_an_edge_that_the_panel_does_not_have_is_a_finding() -> None:
    blank = made(EdgeSpec(along="belt", treatment="flange"))
    finding = next(f for f in blank.findings if f.code == "edge-not-on-panel")
    assert "'belt'" in finding.message
    assert "wing edge" in finding.remedy
