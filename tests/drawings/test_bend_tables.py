"""What a bend sheet says in figures: the table, the pushes, and only the wires asked for."""

import csv
from io import StringIO

import numpy as np
import pytest

from buckwright.buck.bending import bend_wires, doubts_about_bends
from buckwright.buck.springback import elastic_radius
from buckwright.drawings.bends import bend_sheets
from buckwright.drawings.bendtable import roll_words
from buckwright.files.bend_tables import bends_csv, left_over_csv, pushes_csv
from buckwright.files.tables import cut_list_csv
from buckwright.model.bending import RodPiece
from buckwright.model.buck import Buck, BuckSpec, Remnant, Tack, WireSpec
from drawings import small_job

SPEC = BuckSpec(wires=(WireSpec(name="any", region="any", line="any"),), rod_yield=370.0)


def arc(radius, length, *, count=200):
    turn = np.linspace(-0.5, 0.5, count) * length / radius
    return radius * np.column_stack([np.sin(turn), 0.0 * turn, np.cos(turn) - 1.0])


def gentle(*held, radius=2400.0):
    """A wire along an arc that stays elastic, tacked at these lengths to wires of those names."""
    bow = small_job.wire("bow", arc(radius, 1200.0), sprung=True).model_copy(
        update={"least_radius": radius}
    )
    tacks = [
        Tack(wires=("bow", f"rib {k}"), at=(at, 10.0), point=np.zeros(3))
        for k, at in enumerate(held)
    ]
    return bend_wires(SPEC, [bow], tacks, ())[0]


@pytest.fixture(scope="module")
def buck():
    wires = [*small_job.buck().wires[1:], gentle(0.0, 300.0, 600.0, 900.0, 1200.0)]
    bent = bend_wires(SPEC, wires, small_job.buck().tacks, small_job.buck().posts)
    return small_job.buck().model_copy(update={"wires": (*bent[:-1], wires[-1])})


def words_of(sheet):
    return " | ".join(label.text for label in sheet.labels)


def sheet_of(buck, name):
    (sheet,) = bend_sheets(small_job.job(), buck, only={name})
    return sheet


def test_only_the_wires_asked_for_get_a_sheet(buck):
    sheets = bend_sheets(small_job.job(), buck, only={"helix", "bow"})
    assert [sheet.name for sheet in sheets] == ["wire-helix", "wire-bow"]
    assert len(bend_sheets(small_job.job(), buck)) == len(buck.wires)


def test_the_bend_table_stands_on_the_sheet_row_for_row(buck):
    helix = next(wire for wire in buck.wires if wire.name == "helix")
    labels = [label.text for label in sheet_of(buck, "helix").labels]
    for number, piece in enumerate(helix.bending.pieces, 1):
        row = [str(number), f"{piece.start:.1f}", f"{piece.length:.1f}"]
        at = next(k for k in range(len(labels)) if labels[k : k + 3] == row)
        assert f"{piece.form_turn_deg:.1f} deg" in labels[at : at + 7]
    assert "roll first" in labels


def test_the_pieces_are_numbered_on_the_inside_of_the_bend(buck):
    ring = next(wire for wire in buck.wires if wire.name == "window left")
    sheet = sheet_of(buck, "window left")
    (axis,) = [s for s in sheet.strokes if s.ink == "centre" and "axis" in s.name]
    centre = axis.points.mean(axis=0)
    numbers = [label for label in sheet.labels if label.text.isdigit()]
    inside = [n for n in numbers if np.linalg.norm(n.corners().mean(axis=0) - centre) < 145.0]
    assert sorted(int(n.text) for n in inside) == list(range(1, len(ring.bending.pieces) + 1))


def test_a_sprung_rod_says_where_and_how_hard_it_pushes(buck):
    sheet = sheet_of(buck, "bow")
    bow = buck.wires[-1].bending
    text = words_of(sheet)
    assert bow.way == "sprung"
    assert "SPRING INTO PLACE" in text
    assert all(f"{push.force:.0f} N" in text for push in bow.pushes)
    assert "bend to R" not in text
    assert bow.pushes[0].words == "up"
    assert bow.pushes[1].words == "down"
    assert sum(push.force * push.direction for push in bow.pushes) == pytest.approx(
        np.zeros(3), abs=1e-6
    )


def test_a_gentle_rod_that_its_tacks_would_not_hold_is_bent_after_all():
    held, loose = gentle(0.0, 600.0, 1200.0, radius=4000.0), gentle(0.0, 1200.0)
    assert (held.sprung, held.bending.way) == (True, "sprung")
    assert (loose.sprung, loose.bending.way) == (False, "bent")
    assert 0.0 < loose.form_radius < elastic_radius(6.35, 370.0)
    assert "would not hold it" in loose.bending.words
    assert gentle(0.0, 30.0, 60.0).bending.way == "bent"


def test_a_sprung_rod_that_stands_off_between_tacks_is_named_with_the_place():
    doubtful = gentle(0.0, 500.0, 1200.0, radius=4000.0)
    assert doubtful.bending.stands_off > 1.0
    (finding,) = doubts_about_bends([doubtful])
    assert (finding.code, finding.where) == ("sprung-off", "bow")
    assert 500.0 < doubtful.bending.stands_off_at < 1200.0
    assert f"near {doubtful.bending.stands_off_at:.0f} mm" in finding.remedy
    assert doubts_about_bends([gentle(*np.linspace(0.0, 1200.0, 9))]) == ()


@pytest.mark.parametrize(("bender", "named"), [(0.0, False), (130.0, False), (170.0, True)])
def test_a_bend_tighter_than_the_bender_makes_is_named(bender, named):
    ring = next(wire for wire in small_job.buck().wires if wire.name == "window left")
    spec = SPEC.model_copy(update={"bender_radius": bender})
    codes = [f.code for f in doubts_about_bends(bend_wires(spec, [ring], (), ()))]
    assert codes == (["tight-bend"] if named else [])


def test_a_wire_with_a_corner_has_no_table_and_says_so():
    bent = [[0.0, 0.0, 0.0], [300.0, 0.0, 0.0], [300.0, 300.0, 0.0]]
    corner = np.vstack([np.linspace(bent[k], bent[k + 1], 40, endpoint=bool(k)) for k in range(2)])
    (wire,) = bend_wires(SPEC, [small_job.wire("corner", corner)], (), ())
    assert wire.bending is None
    assert [f.code for f in doubts_about_bends([wire])] == ["no-bend-table"]


def test_left_and_right_wires_are_rolled_opposite_ways(buck):
    tables = {}
    for side in ("left", "right"):
        (wire,) = [w for w in buck.wires if w.name == f"belt {side}"]
        tables[side] = [(p.length, p.radius, p.rotation_deg) for p in wire.bending.pieces]
    assert tables["right"] == [(a, r, -roll) for a, r, roll in tables["left"]]


@pytest.mark.parametrize(
    ("roll", "said"),
    [(0.0, "no"), (180.0, "half a turn"), (-180.0, "half a turn"), (12.3, "12.3 deg clockwise"),
     (-4.0, "4.0 deg anticlockw."), (350.0, "10.0 deg anticlockw.")],
)  # fmt: skip
def test_rolls_are_said_in_words(roll, said):
    piece = RodPiece(start=0.0, length=1.0, radius=100.0, rotation_deg=roll, turn_deg=1.0)
    assert roll_words(piece) == said


def test_the_cautions_of_wire_sheets_name_what_hurts_and_the_standards(buck):
    notes = " ".join(sheet_of(buck, "helix").notes)
    for said in ("Z87.1", "Z49.1", "zinc", "NFPA 51B", "cap every rod end", "ISO 13715",
                 "ISO 11228-1"):  # fmt: skip
        assert said in notes


def test_the_tables_hold_every_piece_and_every_push(buck):
    bends = list(csv.DictReader(StringIO(bends_csv(buck))))
    assert len(bends) == sum(len(w.bending.pieces) for w in buck.wires)
    assert {row["way"] for row in bends} == {"bent", "sprung"}
    pushes = list(csv.DictReader(StringIO(pushes_csv(buck))))
    assert [row["held_by"] for row in pushes] == [f"rib {k}" for k in range(5)]
    first = buck.wires[-1].bending.pushes[0]
    assert float(pushes[0]["force_n"]) == pytest.approx(first.force, abs=0.05)


def test_the_cut_list_says_what_comes_from_the_rack_and_what_goes_back():
    plan = small_job.buck().rod_plan
    bars = (plan.bars[0].model_copy(update={"from_rack": True}), *plan.bars[1:])
    left = (Remnant(stock=plan.stock, length=998.0, count=2),)
    plan = plan.model_copy(update={"bars": bars, "left_over": left})
    changed: Buck = small_job.buck().model_copy(update={"rod_plan": plan})
    rows = [r for r in csv.DictReader(StringIO(cut_list_csv(changed))) if r["kind"] == "rod"]
    assert [row["from"] for row in rows] == ["rack"] + ["new"] * (len(rows) - 1)
    (back,) = csv.DictReader(StringIO(left_over_csv(changed)))
    assert (back["length_mm"], back["count"]) == ("998", "2")
