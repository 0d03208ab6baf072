import numpy as np
import pytest

from buckwright.lines import make_reference
from buckwright.lines.agreement import view_agreement
from buckwright.model.job import Reference
from buckwright.model.lines import Departure
from buckwright.model.offsets import Disagreement
from small_cab import DATUM, SPECS, measured_lines

LIFT = 3.0
LONGER = Departure(name="longer", reason="load", axis="x", start=1600.0, end=1800.0, by=60.0)


def lifted(name: str, move: tuple[float, float, float]) -> Reference:
    """The exact cab with one line moved, in mm at full size, stated as good to 0.4 mm."""
    measured = tuple(
        line.model_copy(
            update={
                "points": np.asarray(line.points)
                + (np.array([0.0, 0.0, move[2]]) / 8.0 if line.name == name else 0.0),
                "sigma": np.full(len(line.points), 0.4 / 8.0),
            }
        )
        for line in measured_lines()
    )
    return make_reference(measured, SPECS, DATUM, (LONGER,), scale=8.0, scale_sigma=3e-4)


@pytest.fixture(scope="module")
def roof() -> Reference:
    return lifted("roof centre", (0.0, 0.0, LIFT))


@pytest.fixture(scope="module")
def exact() -> Reference:
    return lifted("", (0.0, 0.0, 0.0))


def heights(found: tuple[Disagreement, ...]) -> dict[frozenset[str], float]:
    """By how much the roof's centre line lies above the arch that it meets."""
    told = {}
    for one in found:
        if "roof centre" in (one.line, one.other) and one.quantity == "height":
            sign = 1.0 if one.line == "roof centre" else -1.0
            told[frozenset((one.line, one.other))] = sign * (one.says[0] - one.says[1])
    return told


def test_a_line_that_went_astray_stands_first_with_what_each_view_says(
    roof: Reference, exact: Reference
) -> None:
    found = view_agreement(roof, SPECS)
    assert "roof centre" in (found[0].line, found[0].other)
    views = dict(zip((found[0].line, found[0].other), found[0].views, strict=True))
    assert views.pop("roof centre") == "side elevation"
    assert set(views.values()) == {"section"}
    apart, before = heights(found), heights(view_agreement(exact, SPECS))
    assert len(apart) == 2
    for pair, height in apart.items():
        assert height - before.get(pair, 0.0) == pytest.approx(LIFT, abs=0.3)
    assert [one.by for one in found] == sorted((one.by for one in found), reverse=True)


def test_the_place_and_the_figures_are_those_after_departures(roof: Reference) -> None:
    rear = next(one for one in view_agreement(roof, SPECS) if {one.line, one.other}
                == {"roof centre", "rear arch"})  # fmt: skip
    assert rear.point[0] == pytest.approx(1900.0 + 60.0, abs=1.0)


def test_views_of_exact_lines_agree_and_none_is_called_unlikely(exact: Reference) -> None:
    found = view_agreement(exact, SPECS)
    assert len(found) > 10
    # What is left is what a batten gives away at 0.4 mm.
    assert max(one.by for one in found) < 3.0 * 2.0**0.5 * 0.4
    assert not any(one.unlikely for one in found)


def test_left_is_compared_with_right_at_even_stations() -> None:
    found = view_agreement(lifted("belt right", (0.0, 0.0, 4.0)), SPECS)
    sides = [one for one in found if (one.line, one.other) == ("belt left", "belt right")]
    assert len(sides) > 5
    for one in sides:
        assert one.views == ("left side", "right side")
        assert one.says[1] - one.says[0] == pytest.approx(4.0, abs=0.3)
        assert one.unlikely
