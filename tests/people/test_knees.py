"""Room before the knees, in a tunnel whose walls are known."""

import numpy as np
import pytest

from buckwright.model.package import Box, Clearance, PackageSpec
from buckwright.model.skin import Skin
from buckwright.people.knees import KNEE_ROOM, knee_clearances
from buckwright.people.rooms import Lining
from buckwright.people.seating import Seated, seat_people
from people.test_fit_people import QUESTION, tunnel
from people.test_package import HALF, asked, flat_roof, solve

SHEET = QUESTION.sheet_thickness
SEAT = 1650.0
"""Far enough back that all of the legs is inside the tunnel."""


def seated(spec: PackageSpec) -> tuple[Seated, ...]:
    question = QUESTION.model_copy(update={"seat_x": SEAT})
    return seat_people(question, spec, floor=300.0)


def knees(spec: PackageSpec, half: float = HALF) -> tuple[Clearance, ...]:
    metal = Lining(tunnel(flat_roof(half)), depth=SHEET)
    return knee_clearances(seated(spec), spec, metal)


def test_between_walls_alone_the_outer_knee_is_nearest_to_its_wall() -> None:
    spec = PackageSpec()
    for person, room in zip(seated(spec), knees(spec), strict=True):
        apart = max(0.5 * person.body["hip_breadth"] - 110.0, 0.0) + 110.0
        assert room.value == pytest.approx(HALF - SHEET - abs(person.y) - apart, abs=0.1)
        assert room.words == "from the knees to the metal before them"
        assert np.sign(room.at[1]) == np.sign(person.y)


def test_a_dashboard_is_measured_along_the_car_and_may_be_lacking() -> None:
    person = seated(PackageSpec())[0]
    near = knees(PackageSpec(dash=person.knee[0] - 30.0))[0]
    assert near.value == pytest.approx(30.0)
    assert near.words.endswith("dashboard")
    assert knees(PackageSpec(dash=person.knee[0] + 12.0))[0].value == pytest.approx(-12.0)


def test_an_engine_box_is_measured_in_space() -> None:
    person = seated(PackageSpec())[0]
    low = (person.knee[0] - 400.0, person.y - 300.0, 0.0)
    level = person.knee[1] - 40.0
    box = Box(low=low, high=(person.knee[0] - 30.0, person.y + 300.0, level))
    room = knees(PackageSpec(engine=box))[0]
    assert room.value == pytest.approx(50.0, abs=1e-6)
    inside = Box(low=low, high=(person.knee[0] + 25.0, person.y + 300.0, level + 200.0))
    assert knees(PackageSpec(engine=inside))[0].value == pytest.approx(-25.0)


def wall(station: float) -> Skin:
    """A flat plate across the car."""
    region = tunnel(flat_roof()).regions[0]
    count = len(flat_roof())
    rows = len(region.vertices) // count
    across, up = np.linspace(-700.0, 700.0, count), np.linspace(200.0, 1200.0, rows)
    vertices = np.array([[station, y, z] for z in up for y in across])
    return Skin(regions=(region.model_copy(update={"vertices": vertices}),))


@pytest.mark.parametrize("room", [80.0, -40.0])
def test_a_wall_in_front_is_measured_and_one_that_knees_poke_through_is_lacking(
    room: float,
) -> None:
    spec = PackageSpec()
    foremost = min(one.knee[0] for one in seated(spec))
    found = knee_clearances(seated(spec), spec, Lining(wall(foremost - room), depth=0.0))
    assert min(one.value for one in found) == pytest.approx(room, abs=0.5)


def test_too_little_room_is_a_doubt_with_what_to_do_and_a_zone_that_helps() -> None:
    spec = PackageSpec(floor=300.0)
    free = solve(asked(spec, seat_x=SEAT), tunnel(flat_roof()))
    dash = seated(spec)[0].knee[0] - KNEE_ROOM + 15.0
    tight = solve(asked(spec.model_copy(update={"dash": dash}), seat_x=SEAT), tunnel(flat_roof()))
    codes = [(f.code, f.where) for f in tight.findings]
    assert ("too-near", f"{QUESTION.people[0].name}'s knees") in codes
    assert not [f for f in free.findings if f.where.endswith("knees")]
    assert tight.package is not None
    assert [s.name for s in tight.package.stretches if s.axis == "x"] == ["longer for the legs"]
