import pytest

from buckwright.model.panels import PanelSpec, SheetStock
from buckwright.panels import make_panels
from discs_on_paper import as_skin, wing

SKIN = as_skin(wing(12), "wing", side="whole")
HARD = SheetStock(alloy="3003-H14", thickness=1.27)


def test_what_one_seam_more_would_do_is_what_it_does() -> None:
    whole = make_panels((PanelSpec(name="wing", region="wing"),), SKIN, HARD).blanks[0]
    assert whole.verdict.step == "will not take it"
    told = whole.verdict.others[0]
    assert told.words.startswith("with one seam more, across it at ")
    axis, value = told.words.split(" at ")[1].split(",")[0].split(" = ")
    plane = ((axis, float(value)),)
    halves = make_panels(
        (
            PanelSpec(name="a", region="wing", above=plane),
            PanelSpec(name="b", region="wing", below=plane),
        ),
        SKIN,
        HARD,
    ).blanks
    asked = max(blank.verdict.asked for blank in halves)
    assert told.share * 0.04 == pytest.approx(asked, rel=0.1)
    assert asked < whole.verdict.asked


def test_no_seam_is_proposed_where_the_metal_takes_it() -> None:
    soft = SheetStock(alloy="3003-O", thickness=1.27)
    blank = make_panels((PanelSpec(name="wing", region="wing"),), SKIN, soft).blanks[0]
    assert blank.verdict.step == "takes it"
    assert not any("seam" in other.words for other in blank.verdict.others)
