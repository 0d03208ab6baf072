import numpy as np
import pytest

from buckwright.model.panels import SheetStock
from buckwright.panels.verdict import judge, known_metal
from buckwright.tables.alloys import alloys
from buckwright.tables.forming import forming_limit


def metal(alloy: str = "3003-H14", thickness: float = 1.6):
    return known_metal(SheetStock(alloy=alloy, thickness=thickness))


def one(strain: float) -> tuple[np.ndarray, np.ndarray]:
    """Stretch one way with the width free to follow, as in a tensile test."""
    return np.array([0.0, strain]), np.array([0.0, -0.5 * strain])


@pytest.mark.parametrize(
    ("elongation", "step"),
    [(0.024, "takes it"), (0.026, "with care"), (0.049, "with care"), (0.051, "will not take it")],
)
def test_a_tensile_strip_is_judged_by_its_elongation(elongation: float, step: str) -> None:
    assert judge(metal(), *one(np.log1p(elongation))).step == step


def test_shrinking_counts_as_stretching_does() -> None:
    major, minor = one(-0.04)
    assert judge(metal(), minor, major).step == "with care"


def test_the_reason_names_metal_numbers_and_what_to_do() -> None:
    verdict = judge(metal(), *one(np.log1p(0.08)))
    assert verdict.elongation == 0.05
    assert "needs 8.0 %; 3003-H14 of 1.60 mm gives at least 5.0 %" in verdict.reason
    assert "Anneal it first at 413 °C" in verdict.reason
    assert "as 3003-O it gives at least 25 %" in verdict.reason
    assert "no glow" in verdict.reason
    assert "B209" in verdict.source


def test_soft_metal_beyond_its_elongation_is_annealed_between_passes() -> None:
    assert "between passes" in judge(metal("3003-O"), *one(0.3)).reason
    assert "more than once" in judge(metal("3003-H14"), *one(0.3)).reason


def test_the_forming_limit_is_told_for_steel_only() -> None:
    steel = judge(metal("DC04", 1.0), *one(0.1)).reason
    assert "32 % (low-carbon steel only)" in steel
    assert "glow" not in judge(metal("DC04", 1.0), *one(0.9)).reason
    assert "forming limit" not in judge(metal(), *one(0.1)).reason


def test_the_forming_limit_is_capped_as_it_says() -> None:
    assert forming_limit(5.0, 0.3) == forming_limit(3.0, 0.21)


def test_annealing_comes_with_its_heat_how_to_tell_it_and_the_caution() -> None:
    hard = judge(metal(), *one(np.log1p(0.08)))
    assert hard.anneal.startswith("Anneal before the first blow, at 413 °C.")
    assert "soot" in hard.anneal
    assert "no glow before it melts" in hard.anneal
    assert "before the first blow, and again twice" in judge(metal(), *one(np.log1p(0.6))).anneal
    assert "each time after 25 %" in judge(metal("3003-O"), *one(0.3)).anneal
    assert "595 to 705 °C" in judge(metal("DC01", 1.0), *one(0.4)).anneal
    assert judge(metal("3003-O"), *one(0.02)).anneal == ""


def test_the_soot_of_a_pure_flame_is_not_told_where_it_would_burn_the_metal() -> None:
    magnesium = judge(metal("5052-H32"), *one(np.log1p(0.1))).anneal
    assert "345 °C" in magnesium
    assert "crayons" in magnesium
    assert "light coat of soot" not in magnesium


def test_other_sheets_are_judged_as_the_panel_itself_would_be() -> None:
    strains = one(np.log1p(0.08))
    found = judge(metal("3003-H14"), *strains)
    assert found.asked == pytest.approx(0.08)
    assert len(found.others) > 8
    for other in found.others:
        again = judge(metal(other.alloy, other.thickness), *strains)
        assert again.step == other.step
        assert other.share == pytest.approx(again.asked / again.elongation)
    order = ["takes it", "with care", "will not take it"]
    steps = [order.index(other.step) for other in found.others]
    assert steps == sorted(steps)
    assert found.others[0].alloy == "3003-O"
    assert "3003-O, " in found.reason
    assert "would take it" in found.reason


def test_a_thicker_sheet_is_told_where_it_stretches_farther() -> None:
    found = judge(metal("3003-H14", 1.0), *one(np.log1p(0.045)))
    thicker = next(o for o in found.others if o.alloy == "3003-H14" and o.thickness > 1.29)
    assert found.step == "will not take it"
    assert thicker.step == "with care"


def test_uniform_elongation_and_thinning_are_told() -> None:
    found = judge(metal("1100-O"), np.array([0.1, 0.0]), np.array([0.05, -0.1]))
    assert found.uniform == pytest.approx(np.expm1(0.2))
    assert "begins to neck at about 22 %" in found.reason
    assert found.thinning == pytest.approx(1.0 - np.exp(-0.15))
    assert judge(metal("3003-H14"), *one(0.01)).uniform == 0.0


def test_steel_near_its_forming_limit_is_worked_with_care_though_it_could_be_pulled_farther() -> (
    None
):
    plane = (np.array([0.25]), np.array([0.0]))
    found = judge(metal("DC04", 1.0), *plane)
    assert found.forming_limit == pytest.approx(0.01 * (23.3 + 14.13) * 0.18 / 0.21)
    assert 0.0 < found.margin < 0.1
    assert found.step == "with care"
    assert "low-carbon steel only" in found.reason
    assert "Keeler" in found.source
    assert judge(metal("3003-O"), *plane).forming_limit == 0.0


def test_what_takes_it_does_not_neck_in_any_metal_of_the_tables() -> None:
    for alloy in alloys():
        if alloy.hardening is None:
            continue
        for row in alloy.elongations:
            found = judge(metal(alloy.name, row.start), *one(np.log1p(0.499 * row.least)))
            assert found.uniform >= 0.499 * row.least
