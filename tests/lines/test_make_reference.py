import numpy as np
import pytest

from buckwright.geometry.circle import fit_circle
from buckwright.lines import make_reference
from buckwright.model.job import Reference
from buckwright.model.lines import Departure
from small_cab import DATUM, SPECS, WHEEL, WHEELBASE, measured_lines

LONGER = Departure(name="longer", reason="load", axis="x", start=600.0, end=1000.0, by=60.0)


@pytest.fixture(scope="module")
def reference() -> Reference:
    lines = measured_lines(sigma=1.2)
    return make_reference(lines, SPECS, DATUM, (LONGER,), scale=8.0, scale_sigma=3e-4)


def test_the_wheelbase_grows_by_the_departure(reference: Reference) -> None:
    assert reference.wheelbase == pytest.approx(reference.placement.wheelbase + 60.0)
    assert reference.placement.wheelbase == pytest.approx(WHEELBASE, abs=3.0)


def test_reference_and_network_hold_the_same_lines(reference: Reference) -> None:
    names = [line.name for line in reference.reference.lines]
    assert names == [line.name for line in reference.network.lines]
    assert names == [line.name for line in reference.placed]
    assert len(reference.network.crossings) == len(reference.reference.crossings) == 14


def test_rims_stay_circles_about_the_axles(reference: Reference) -> None:
    for name, x in (("front rim", 0.0), ("rear rim", reference.wheelbase)):
        centre, _, radius, rms = fit_circle(reference.network.line(name).points(200))
        assert centre[0] == pytest.approx(x, abs=1.0)
        assert radius == pytest.approx(WHEEL, abs=2.0)
        assert rms < 2.0


def test_the_same_question_has_the_same_answer(reference: Reference) -> None:
    lines = measured_lines(sigma=1.2)
    again = make_reference(lines, SPECS, DATUM, (LONGER,), scale=8.0, scale_sigma=3e-4)
    for one, other in zip(reference.network.lines, again.network.lines, strict=True):
        np.testing.assert_array_equal(one.control, other.control)


def test_the_answer_survives_being_written_and_read(reference: Reference) -> None:
    again = Reference.model_validate_json(reference.model_dump_json())
    np.testing.assert_array_equal(
        again.network.line("belt left").control, reference.network.line("belt left").control
    )
    assert again.network.crossings[3].lines == reference.network.crossings[3].lines
