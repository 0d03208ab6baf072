import numpy as np
import pytest

from buckwright.model.panels import SheetStock
from buckwright.panels.verdict import judge, known_metal
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
