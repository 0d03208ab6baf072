"""Sheets and tables of the inner frame: numbers, saw cuts, posts, stand, lift, way out."""

import csv
from functools import cache
from io import StringIO

import numpy as np
import pytest

from buckwright.drawings import frame_sheets
from buckwright.files.frame_tables import frame_csv, posts_csv
from buckwright.model.buck import Buck, FrameMember
from buckwright.model.drawings import Sheet
from buckwright.model.frame import BodyPart, Foot, FrameRooms, InnerFrame, Lift, WayOut, Wheel
from drawings import small_job


@cache
def _buck() -> Buck:
    plain = small_job.buck()
    members = [
        m.model_copy(update={"number": k, "bolted": k == 2}) for k, m in enumerate(plain.members, 1)
    ]
    number = len(members) + 1
    members.append(
        FrameMember(
            name="diagonal",
            start=np.array([1100.0, -400.0, 500.0]),
            end=np.array([1700.0, -400.0, 1100.0]),
            cut_length=880.0,
            mass=1.0,
            number=number,
            role="diagonal",
            start_mitre_deg=41.5,
            end_mitre_deg=41.5,
            mitre_plane="side",
        )
    )
    frame = InnerFrame(
        kind="square tube",
        stock="25.4 x 1.65 mm square tube",
        mass_per_m=1.23,
        rooms=FrameRooms(skin=34.0, wires=12.0, wheels=44.0, people=31.5),
        wheels=(
            Wheel(name="rim", centre=np.array([0.0, -700.0, 300.0]), radius=300.0, width=150.0),
        ),
        people=(
            BodyPart(
                person="Ada",
                part="trunk",
                low=np.array([1200.0, -200.0, 500.0]),
                high=np.array([1500.0, 200.0, 1100.0]),
            ),
        ),
        people_source="measured",
        feet=(
            Foot(
                name="foot 1",
                leg=members[0].name,
                at=np.array([1000.0, -400.0, 20.0]),
                kind="foot",
                load=23.0,
            ),
        ),
        sill_height=331.0,
        tips_at_deg=27.0,
        members_mass=40.0,
        centre_of_gravity=np.array([1500.0, 0.0, 900.0]),
        lifts=(Lift(what="inner frame", mass=40.0, people=4, limit=40.0, rule="ISO 11228-1"),),
        way_out=WayOut(free=True, way="down", direction=np.array([0.0, 0.0, -1.0]), least_gap=27.0),
    )
    return plain.model_copy(
        update={
            "members": tuple(members),
            "frame": frame,
            "centre_of_gravity": np.array([1480.0, 1.0, 850.0]),
        }
    )


@cache
def _sheets() -> dict[str, Sheet]:
    products = small_job.products()
    assert products.lines is not None
    return {s.name: s for s in frame_sheets(small_job.job(), products.lines, _buck())}


def _words(name: str) -> str:
    return " | ".join(label.text for label in _sheets()[name].labels)


def test_three_views_and_four_lists_are_made() -> None:
    assert list(_sheets()) == [
        "frame-side-elevation",
        "frame-plan",
        "frame-front-elevation",
        "cut-list",
        "frame-saw-cuts",
        "posts",
        "frame-stand",
    ]


def test_every_number_of_the_cut_list_stands_on_a_view() -> None:
    shown = ", ".join(
        label.text
        for name in list(_sheets())[:3]
        for label in _sheets()[name].labels
        if label.text.replace(", ", "").isdigit()
    )
    numbers = {int(number) for number in shown.split(", ")}
    assert numbers == {member.number for member in _buck().members}


def test_bolted_members_have_a_pen_of_their_own_and_are_marked_on_the_list() -> None:
    bolted = [m.name for m in _buck().members if m.bolted]
    for name in list(_sheets())[:3]:
        inks = {s.name: s.ink for s in _sheets()[name].strokes if s.ink in ("mark", "outline")}
        assert [member for member in inks if inks[member] == "mark" and member in bolted] == bolted
    assert "bolt" in _words("cut-list").split(" | ")


def test_a_saw_cut_is_drawn_at_full_size_and_at_its_angle() -> None:
    (cut,) = _sheets()["frame-saw-cuts"].strokes
    along = cut.points[2] - cut.points[1]
    assert np.degrees(np.arctan2(along[0], -along[1])) == pytest.approx(41.5)
    assert -along[1] == pytest.approx(25.4)
    assert "41.5 deg off square" in _words("frame-saw-cuts")


def test_the_stand_sheet_tells_feet_lift_rooms_and_way_out() -> None:
    text = _words("frame-stand")
    for word in ("foot 1", "23", "inner frame", "people", "34.0", "31.5"):
        assert word in text
    notes = " ".join(_sheets()["frame-stand"].notes)
    for word in ("331 mm", "27 degrees", "x 1480, y 1, z 850", "Way out", "ISO 11228-1", "hoist"):
        assert word in notes


def test_people_wheels_floor_and_centre_of_gravity_are_drawn_on_the_side_view() -> None:
    strokes = {stroke.name: stroke for stroke in _sheets()["frame-side-elevation"].strokes}
    assert {"rim", "Ada, trunk", "floor", "centre of gravity"} <= set(strokes)
    radius = np.linalg.norm(strokes["rim"].points - [0.0, 300.0], axis=1)
    assert radius == pytest.approx(300.0)
    assert np.ptp(strokes["Ada, trunk"].points, axis=0) == pytest.approx([300.0, 600.0])
    assert strokes["floor"].points[:, 1] == pytest.approx(0.0)


def test_the_tables_hold_every_member_and_post_with_angles() -> None:
    rows = list(csv.DictReader(StringIO(frame_csv(_buck()))))
    assert [row["member"] for row in rows] == [member.name for member in _buck().members]
    assert rows[-1]["saw_start_deg"] == rows[-1]["saw_end_deg"] == "41.5"
    assert rows[-1]["saw_plane"] == "side"
    assert [row["joint"] for row in rows].count("bolt") == 1
    posts = list(csv.DictReader(StringIO(posts_csv(_buck()))))
    assert [row["post"] for row in posts] == [post.name for post in _buck().posts]
    assert all(float(row["cut_length_mm"]) > 0.0 for row in posts)
