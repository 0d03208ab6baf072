import pytest

from buckwright.tables.r_values import find_r_value


@pytest.mark.parametrize(
    ("alloy", "thickness", "value"),
    [("DC03", 1.0, 1.3), ("DC04", 1.0, 1.6), ("dc04", 2.5, 1.4), ("DC06", 0.8, 2.1)],
)
def test_the_standards_least_r_values(alloy: str, thickness: float, value: float) -> None:
    """EN 10130, least r90; 0.2 less above 2 mm."""
    found = find_r_value(alloy, thickness)
    assert found is not None
    assert found.value == pytest.approx(value)
    assert "EN 10130" in found.source


def test_what_the_tables_do_not_have_is_none() -> None:
    assert find_r_value("3003-O", 1.6) is None
    assert find_r_value("unobtainium", 1.6) is None
