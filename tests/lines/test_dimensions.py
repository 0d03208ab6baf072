from dataclasses import replace

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.lines.dimensions import Measured, dimension_table
from buckwright.model.lines import Departure, Dimension, DimensionSpec, LineNetwork
from rings import ring, straight

LONGER = Departure(name="longer", reason="", axis="x", start=500.0, end=900.0, by=60.0)
LOWER = Departure(name="lower", reason="", axis="z", start=600.0, end=1000.0, by=-40.0)
AXLE = Departure(name="axle", reason="", kind="move", lines=("rear rim",), move=(25.0, 0.0, 0.0))
NETWORK = LineNetwork(
    lines=(
        straight("roof", (-400, 0, 1200), (2000, 0, 1400)),
        straight("belt", (-400, -640, 900), (2000, -600, 900)),
        straight("belt right", (-400, 640, 900), (2000, 600, 900)),
        ring("rear rim", (1500.0, -500.0, 200.0), 200.0),
    ),
    crossings=(),
)
MEASURED = Measured(
    reference=NETWORK,
    wheelbase=1500.0,
    rear=("rear rim",),
    mirrors={"belt": "belt right", "belt right": "belt"},
    body=("roof", "belt", "belt right"),
)
SPECS = (
    DimensionSpec(name="roof over the crew", of="height", line="roof", at=800.0),
    DimensionSpec(name="breadth at the crew", of="half-breadth", line="belt", at=800.0),
    DimensionSpec(name="belt", of="length", line="belt"),
    DimensionSpec(name="belt fore and aft", of="extent x", line="belt"),
)


def table(*departures: Departure) -> dict[str, Dimension]:
    return {one.name: one for one in dimension_table(MEASURED, departures, SPECS)}


def test_the_reference_is_measured_exactly() -> None:
    found = table()
    assert found["wheelbase"].now == found["wheelbase"].reference == 1500.0
    assert found["length over all"].now == pytest.approx(2400.0)
    assert found["width over all"].now == pytest.approx(1280.0)
    assert found["height over all"].now == pytest.approx(1400.0)
    assert found["roof over the crew"].now == pytest.approx(1300.0)
    assert found["breadth at the crew"].now == pytest.approx(620.0)
    assert found["belt"].now == pytest.approx(float(np.hypot(2400.0, 40.0)))
    assert all(one.steps == () for one in found.values())


def test_each_departure_adds_in_its_turn_and_the_sum_is_what_there_is_now() -> None:
    found = table(LONGER, LOWER, AXLE)
    assert found["wheelbase"].steps == (60.0, 0.0, 25.0)
    assert found["height over all"].steps == (0.0, -40.0, 0.0)
    assert found["belt fore and aft"].steps == pytest.approx((60.0, 0.0, 0.0))
    assert found["roof over the crew"].steps == pytest.approx((0.0, -40.0, 0.0))
    for one in found.values():
        assert one.now == pytest.approx(one.reference + sum(one.steps), abs=1e-5)


def test_a_departure_that_is_off_has_no_column() -> None:
    found = table(LONGER.model_copy(update={"on": False}), LOWER)
    assert found["wheelbase"].steps == (0.0,)


def test_one_watched_in_a_place_that_is_not_there_is_refused() -> None:
    nowhere = DimensionSpec(name="fin", of="height", line="fin", at=0.0)
    beyond = DimensionSpec(name="roof behind", of="height", line="roof", at=2600.0)
    with pytest.raises(JobError, match="no such line"):
        dimension_table(MEASURED, (), (nowhere,))
    with pytest.raises(JobError, match="does not pass station 2600"):
        dimension_table(MEASURED, (), (beyond,))


def test_a_wheelbase_that_nobody_said_is_no_dimension() -> None:
    told = [
        [one.name for one in dimension_table(replace(MEASURED, wheelbase=base), (), ())]
        for base in (0.0, 1500.0)
    ]
    assert [name for name in told[1] if name not in told[0]] == ["wheelbase"]
