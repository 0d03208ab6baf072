import csv
from io import StringIO

import pytest

from buckwright.files.panel_tables import edges_csv, metals_csv, work_csv
from buckwright.model.panels import EdgeSpec, Panels, PanelSpec, SheetStock
from buckwright.panels import make_panels
from discs_on_paper import as_skin, wing

SPEC = PanelSpec(
    name="wing",
    region="wing",
    edges=(EdgeSpec(along="wing edge", treatment="wired edge", wire=5.0),),
)


@pytest.fixture(scope="module")
def made() -> Panels:
    stock = SheetStock(alloy="3003-H14", thickness=1.27)
    return make_panels((SPEC,), as_skin(wing(8), "wing"), stock)


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(text)))


def test_every_step_of_every_panel_has_its_row_with_the_areas_figures(made: Panels) -> None:
    found = rows(work_csv(made))
    assert {row["side"] for row in found} == {"left", "right"}
    left = [row for row in found if row["side"] == "left"]
    assert {int(row["step"]) for row in left} == {step.number for step in made.blanks[0].work}
    shrink = next(row for row in left if row["what"] == "shrink")
    area = made.blanks[0].areas[0]
    assert float(shrink["peak_percent"]) == pytest.approx(100.0 * area.peak, abs=0.05)
    assert float(shrink["tight_radius_mm"]) == pytest.approx(area.radii[0], abs=0.5)
    anneal = next(row for row in left if row["what"] == "anneal")
    assert anneal["area_cm2"] == ""


def test_edges_tell_their_allowance_and_where_the_rule_stands(made: Panels) -> None:
    found = rows(edges_csv(made))
    assert [row["panel"] for row in found] == ["wing left", "wing right"]
    edge = made.blanks[0].edges[0]
    assert float(found[0]["allowance_mm"]) == pytest.approx(edge.allowance, abs=0.05)
    assert "Navy" in found[0]["source"]


def test_other_metals_are_listed_with_their_verdict(made: Panels) -> None:
    found = rows(metals_csv(made))
    assert len(found) == sum(len(blank.verdict.others) for blank in made.blanks)
    assert {row["verdict"] for row in found} <= {"takes it", "with care", "will not take it"}
