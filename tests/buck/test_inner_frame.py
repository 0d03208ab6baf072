"""The inner frame part by part: people, wheels, stand, lift, way out, arms, kinds of stock."""

import re
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from buckwright.buck import make_buck
from buckwright.buck.bracing import brace_box, diagonal_angle
from buckwright.buck.frame import Box, frame_members, ring_stations
from buckwright.buck.frame_stock import frame_stock
from buckwright.buck.lifting import people_to_lift, team_limit
from buckwright.buck.obstacles import Obstacles, points_of_wheel
from buckwright.buck.occupants import boxes_of_people
from buckwright.buck.post_room import gaps_to_wheel
from buckwright.buck.standing import feet_of, stand_frame, tipping_slope
from buckwright.buck.way_out import find_way_out
from buckwright.buck.wheels import find_wheels
from buckwright.errors import JobError
from buckwright.geometry.box_gaps import SquareBar, gap_of_boxes, square_gaps_to_boxes
from buckwright.model.buck import Buck, BuckSpec, FrameMember, WireSpec
from buckwright.model.frame import Foot, WayOut, Wheel
from buckwright.model.lines import LineNetwork
from buckwright.model.people import FitQuestion, Person
from skins_on_paper import line_through, tunnel

Array = NDArray[np.float64]
BARE = BuckSpec(wires=())
BOX = Box(600.0, 2600.0, (1200.0, 1900.0), 400.0, 400.0, 1300.0)


def _obstacles(points: Array, *, name: str = "shell") -> Obstacles:
    points = points[np.argsort(points[:, 0])]
    none = np.zeros((0, 3))
    return Obstacles(
        points=points,
        need=np.full(len(points), 31.2),
        spread=np.zeros(len(points)),
        owner=np.zeros(len(points), dtype=np.int64),
        names=(name,),
        kinds=("metal",),
        people_low=none,
        people_high=none,
        clearance=30.0,
    )


def _shell(*open_sides: str) -> Array:
    """Points 20 mm apart on the walls of a room round the box, some walls left out."""
    low, high = np.array([500.0, -500.0, 300.0]), np.array([2700.0, 500.0, 1400.0])
    names = (("front", "rear"), ("left", "right"), ("under", "upper"))
    walls = []
    for axis, pair in enumerate(names):
        for end, name in zip((low, high), pair, strict=True):
            if name in open_sides:
                continue
            others = [k for k in range(3) if k != axis]
            sides = [np.arange(low[k], high[k] + 1.0, 20.0) for k in others]
            wall = np.empty((len(sides[0]) * len(sides[1]), 3))
            wall[:, axis] = end[axis]
            wall[:, others] = np.stack(np.meshgrid(*sides), axis=-1).reshape(-1, 2)
            walls.append(wall)
    return np.vstack(walls)


def _way(points: Array, box: Box = BOX) -> WayOut:
    members = frame_members(box, BARE)
    return find_way_out(members, box, _obstacles(points), section=25.4, rod_radius=3.2)


@pytest.mark.parametrize(
    ("side", "direction"),
    [
        ("under", (0, 0, -1)),
        ("rear", (1, 0, 0)),
        ("front", (-1, 0, 0)),
        ("upper", (0, 0, 1)),
        ("left", (0, -1, 0)),
        ("right", (0, 1, 0)),
    ],
)
def test_a_frame_comes_out_of_the_side_that_is_open(side: str, direction: Array) -> None:
    way = _way(_shell(side))
    assert way.free
    assert way.direction == pytest.approx(direction)
    assert way.least_gap > 50.0


def test_a_frame_in_a_closed_body_stays_in_and_what_holds_it_is_named() -> None:
    way = _way(_shell())
    assert not way.free
    assert way.blocked_by == ("shell",)
    assert all(how == "does not come out" for _, how in way.pieces)


def test_a_frame_under_a_floor_with_one_gap_comes_out_bay_by_bay_or_not_at_all() -> None:
    shell = _shell()
    floor = shell[:, 2] == 300.0
    gap = floor & (shell[:, 0] > 1120.0) & (shell[:, 0] < 1980.0) & (np.abs(shell[:, 1]) < 460.0)
    way = _way(shell[~gap])
    assert not way.free
    ways = dict(way.pieces)
    assert ways["bay 1"] == ways["bay 3"] == "does not come out"
    assert ways["bay 2"].startswith("down")


def test_a_lip_of_the_opening_that_is_nearer_than_5_mm_holds_the_frame() -> None:
    shell = _shell("under")
    for gap, free in ((4.0, False), (7.0, True)):
        y = -(BOX.half_width + 12.7 + gap)
        x = np.arange(600.0, 2600.0, 5.0)
        lip = np.column_stack([x, np.full(len(x), y), np.full(len(x), 320.0)])
        assert _way(np.vstack([shell, lip])).free is free


def test_a_team_lifts_two_thirds_and_then_half_of_what_its_people_lift_alone() -> None:
    limits = [team_limit(people, 30.0) for people in range(1, 7)]
    assert limits == pytest.approx([30.0, 40.0, 45.0, 60.0, 75.0, 90.0])
    assert [
        people_to_lift("frame", mass, reference=30.0).people for mass in (30.0, 31.0, 45.0, 90.0)
    ] == [1, 2, 3, 6]
    assert people_to_lift("frame", 90.1, reference=30.0).people == 0
    assert "ISO 11228-1" in people_to_lift("frame", 20.0, reference=30.0).rule


def test_nobody_and_a_person_without_strength_are_refused() -> None:
    with pytest.raises(ValueError, match="one person"):
        team_limit(0, 20.0)
    with pytest.raises(JobError, match="Nobody lifts"):
        people_to_lift("frame", 10.0, reference=0.0)


def test_legs_reach_the_floor_and_raise_the_sill_to_the_height_asked_for() -> None:
    stock = frame_stock(BARE)
    empty = _obstacles(np.zeros((0, 3)))
    members = frame_members(BOX, BARE)
    right = stand_frame(BARE, stock, BOX, members, empty, lowest=330.0)
    assert right.raised == 0.0
    assert all(leg.end[2] == pytest.approx(BARE.stand_height) for leg in right.legs)
    assert all(leg.start[2] == pytest.approx(BOX.low - 12.7) for leg in right.legs)
    high = BARE.model_copy(update={"sill_height": 700.0, "stand": "castors", "stand_height": 125.0})
    raised = stand_frame(high, stock, BOX, members, empty, lowest=330.0)
    assert raised.raised == pytest.approx(370.0)
    for leg in raised.legs:
        assert leg.end[2] + raised.raised == pytest.approx(125.0)
        assert leg.cut_length == pytest.approx(float(leg.start[2] - leg.end[2]))
    feet = feet_of(high, raised.legs, 60.0)
    assert {foot.kind for foot in feet} == {"castor"}
    assert feet[0].load == pytest.approx(20.0)


def test_a_sill_too_low_for_its_feet_and_a_leg_without_room_are_told() -> None:
    stock = frame_stock(BARE)
    members = frame_members(BOX, BARE)
    low = BARE.model_copy(update={"sill_height": 50.0, "stand_height": 150.0})
    found = stand_frame(low, stock, BOX, members, _obstacles(np.zeros((0, 3))), lowest=330.0)
    assert [finding.code for finding in found.findings] == ["too-low"]
    x = np.arange(500.0, 900.0, 5.0)
    bar = np.column_stack([x, np.full(len(x), -400.0), np.full(len(x), 200.0)])
    found = stand_frame(BARE, stock, BOX, members, _obstacles(bar), lowest=330.0)
    assert [f.where for f in found.findings if f.code == "no-leg"] == ["leg 1 left"]
    none = BARE.model_copy(update={"stand": "none"})
    assert not stand_frame(none, stock, BOX, members, _obstacles(bar), lowest=330.0).legs


def _feet(*places: tuple[float, float]) -> list[Foot]:
    return [
        Foot(name=f"{k}", leg="leg", at=np.array([x, y, 0.0]), kind="foot", load=1.0)
        for k, (x, y) in enumerate(places)
    ]


def test_a_thing_on_four_feet_falls_over_at_the_slope_of_its_nearer_side() -> None:
    """tan slope = distance to the nearest side / height of the centre, as statics has it."""
    feet = _feet((0.0, -400.0), (0.0, 400.0), (2000.0, 400.0), (2000.0, -400.0))
    centre = np.array([1000.0, 100.0, 0.0])
    wanted = np.degrees(np.arctan2(300.0, 800.0))
    assert tipping_slope(feet, centre, height=800.0) == pytest.approx(wanted)
    outside = np.array([1000.0, 500.0, 0.0])
    assert tipping_slope(feet, outside, height=800.0) == 0.0
    assert tipping_slope(feet[:2], centre, height=800.0) == 0.0


def test_a_wheel_is_as_high_as_its_axle_unless_told_and_stands_on_both_sides() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 61)
    rim = np.column_stack([200.0 * np.cos(turn), np.full(61, -700.0), 310.0 + 200.0 * np.sin(turn)])
    network = LineNetwork(lines=(line_through("rim left", rim, closed=True),), crossings=())
    wheels, doubts = find_wheels(BARE, network, ["rim left"])
    assert [wheel.name for wheel in wheels] == ["rim left", "rim right"]
    assert wheels[0].radius == pytest.approx(310.0, abs=0.1)
    assert wheels[0].centre[1] == pytest.approx(-wheels[1].centre[1])
    assert abs(wheels[0].centre[1]) + 0.5 * wheels[0].width > 700.0
    assert [doubt.code for doubt in doubts] == ["tyre-guessed"]
    told = BARE.model_copy(update={"tyre_radius": 333.0, "tyre_width": 140.0})
    wheels, doubts = find_wheels(told, network, ["rim left"])
    assert wheels[0].radius == 333.0
    assert wheels[0].width == pytest.approx(140.0 * 1.15)
    assert not doubts
    assert find_wheels(BARE, network, [])[0] == ()


def test_distances_to_a_wheel_are_those_of_a_cylinder() -> None:
    wheel = Wheel(name="w", centre=np.array([10.0, 20.0, 30.0]), radius=300.0, width=100.0)
    points = np.array([[10.0, 20.0, 430.0], [10.0, 90.0, 30.0], [10.0, 100.0, 370.0], wheel.centre])
    expected = [100.0, 20.0, np.hypot(30.0, 40.0), 0.0]
    assert gaps_to_wheel(points, wheel) == pytest.approx(expected)
    assert gaps_to_wheel(points_of_wheel(wheel), wheel) == pytest.approx(0.0, abs=1e-9)


def test_gaps_to_boxes_and_bars_are_the_same_after_a_turn() -> None:
    low, high = np.array([[-50.0, -10.0, -10.0]]), np.array([[50.0, 10.0, 10.0]])
    points = np.array([[0.0, 40.0, 0.0], [70.0, 25.0, 0.0], [0.0, 0.0, 0.0], [80.0, 50.0, 10.0]])
    plain = np.sqrt(square_gaps_to_boxes(points, low, high))
    assert plain == pytest.approx([30.0, 25.0, 0.0, 50.0])
    turn = np.array([[0.6, -0.8, 0.0], [0.8, 0.6, 0.0], [0.0, 0.0, 1.0]])
    shift = np.array([7.0, -3.0, 11.0])
    ends = np.array([[-50.0, 0.0, 0.0], [50.0, 0.0, 0.0]]) @ turn.T + shift
    bar = SquareBar(ends[0], ends[1], 10.0)
    assert bar.gaps(points @ turn.T + shift) == pytest.approx(plain)
    assert SquareBar(ends[1], ends[0], 10.0).gaps(points @ turn.T + shift) == pytest.approx(plain)
    twice = SquareBar(2.0 * ends[0], 2.0 * ends[1], 20.0)
    assert twice.gaps(2.0 * (points @ turn.T + shift)) == pytest.approx(2.0 * plain)
    assert bar.gaps(bar.surface(5.0)) == pytest.approx(0.0, abs=1e-9)
    aside = np.array([[0.0, 50.0, 0.0]])
    assert gap_of_boxes(low, high, low + aside, high + aside) == 30.0


def test_what_stands_near_a_diagonal_is_seen_between_its_points_too() -> None:
    bar = SquareBar(np.array([0.0, 0.0, 0.0]), np.array([400.0, 0.0, 300.0]), 12.7)
    aside = np.array([[200.0, 12.7 + 31.0, 150.0]])
    assert _obstacles(aside, name="rod").in_way_of(bar) == ("rod",)
    assert _obstacles(aside + np.array([[0.0, 0.5, 0.0]])).in_way_of(bar) == ()


def test_a_face_where_no_diagonal_has_room_is_left_out_and_says_why() -> None:
    stock = frame_stock(BARE)
    members, bare = brace_box(BOX, stock, _obstacles(np.zeros((0, 3))))
    assert len(members) == 4 * 3 + 2
    assert bare == ()
    middle = np.array([[0.5 * (600.0 + 1200.0), 0.0, BOX.high]])
    members, bare = brace_box(BOX, stock, _obstacles(middle, name="lamp"))
    assert bare == (("roof, bay 1", ("lamp",)),)
    assert "diagonal roof, bay 1" not in {member.name for member in members}


def test_a_diagonal_wider_than_its_bay_is_refused() -> None:
    with pytest.raises(ValueError, match="its own width"):
        diagonal_angle(20.0, 500.0, 25.4)


def test_rings_are_moved_out_of_where_people_sit() -> None:
    assert ring_stations(600.0, 2600.0, ()) == pytest.approx(
        (600.0 + 2000.0 / 3.0, 1933.3), abs=0.1
    )
    moved = ring_stations(600.0, 2600.0, (), taken=[(1100.0, 1350.0)])
    assert moved == pytest.approx((1350.0, 1933.3), abs=0.1)


ANNE = Person(
    name="Anne",
    shoulder_breadth=440.0,
    elbow_breadth=480.0,
    sitting_height=880.0,
    shoulder_height=580.0,
    elbow_height=240.0,
)


def _seated(x: float) -> FitQuestion:
    return FitQuestion(people=(ANNE,), seat_x=x, seat_z=500.0)


def test_legs_slant_to_a_high_floor_and_hang_to_a_low_one() -> None:
    for floor in (50.0, 350.0):
        parts = boxes_of_people(_seated(1500.0), floor=floor)
        lowest = min(float(part.low[2]) for part in parts)
        assert lowest == pytest.approx(max(floor, 500.0 - 471.0))
    hanging = min(p.low[0] for p in boxes_of_people(_seated(1500.0), floor=0.0))
    stretched = min(p.low[0] for p in boxes_of_people(_seated(1500.0), floor=350.0))
    assert stretched < hanging - 200.0


@cache
def _tunnel_buck(**change: object) -> Buck:
    skin, network = tunnel(40.0)
    wires = [WireSpec(name=line.name, region="body", line=line.name) for line in network.lines]
    wires.append(WireSpec(name="station 1900", region="body", plane=("x", 1900.0)))
    people = _seated(1500.0) if change.pop("seat", None) else None
    spec = BuckSpec(wires=tuple(wires), frame_x=(600.0, 2600.0), sheet_thickness=1.2)
    return make_buck(spec.model_copy(update=change), network, skin, people=people)


def _gap_to_people(members: list[FrameMember], buck: Buck) -> float:
    assert buck.frame is not None
    points = np.vstack(
        [SquareBar(m.start, m.end, 12.7).surface(5.0) for m in members if m.role != "diagonal"]
    )
    away = [
        np.linalg.norm(np.maximum(np.maximum(p.low - points, points - p.high), 0.0), axis=1).min()
        for p in buck.frame.people
    ]
    return float(min(away))


def test_people_are_kept_off_in_each_of_the_three_ways() -> None:
    bolted = _tunnel_buck(seat=True)
    assert bolted.frame is not None
    assert _gap_to_people([m for m in bolted.members if not m.bolted], bolted) >= 29.9
    clear = _tunnel_buck(seat=True, frame_people="keep clear")
    assert clear.frame is not None
    assert not any(member.bolted for member in clear.members)
    assert _gap_to_people(list(clear.members), clear) >= 29.9
    ignored = _tunnel_buck(seat=True, frame_people="ignore")
    assert ignored.frame is not None
    assert ignored.frame.people == ()
    assert ignored.frame.rooms.people is None


def test_members_that_are_bolted_are_named_with_the_posts_they_carry() -> None:
    buck = _tunnel_buck(seat=True)
    names = {member.name for member in buck.members if member.bolted}
    assert names
    (told,) = (finding for finding in buck.findings if finding.code == "bolted")
    assert all(name in told.message for name in names)
    carried = {post.name for post in buck.posts if post.member in names}
    assert set(re.findall(r"post \d+", told.remedy)) == carried


def test_a_folded_strip_fills_the_same_square_and_weighs_what_an_angle_weighs() -> None:
    tube, strip = _tunnel_buck(), _tunnel_buck(frame_kind="folded strip", frame_wall=2.0)
    assert strip.frame is not None
    assert strip.frame.kind == "folded strip"
    assert strip.frame.mass_per_m == pytest.approx(2.0 * (2.0 * 25.4 - 2.0) * 7.85e-3)
    assert strip.frame.strip_width > 25.4
    assert "folded" in strip.tube_plan.stock
    assert [m.name for m in tube.members if m.role == "rail"] == [
        m.name for m in strip.members if m.role == "rail"
    ]
    with pytest.raises(JobError, match="does not fold"):
        frame_stock(BARE.model_copy(update={"frame_kind": "folded strip", "frame_wall": 8.0}))


def test_a_frame_that_has_no_room_is_refused_with_what_to_change() -> None:
    with pytest.raises(JobError, match="fits between") as refused:
        _tunnel_buck(frame_clearance=700.0)
    assert "less clearance" in refused.value.remedy


def test_the_buck_is_the_same_twice() -> None:
    first, second = _tunnel_buck(seat=True), _tunnel_buck(seat=True, kerf=2.0)
    assert first.model_dump_json() == second.model_dump_json()
