import csv
from io import StringIO

import numpy as np
import pytest

from buckwright.files.packet import packet_files
from buckwright.files.tables import (
    bays_csv,
    blanks_csv,
    changes_csv,
    cut_list_csv,
    offsets_csv,
    tasks_csv,
    wires_csv,
)
from buckwright.model.buck import Bay, WireChange
from buckwright.model.job import Products
from buckwright.units import parse_length
from drawings import small_job


def rows(text):
    assert text.isascii()
    return list(csv.DictReader(StringIO(text)))


def test_the_cut_list_holds_every_piece_once_with_its_bar():
    found = rows(cut_list_csv(small_job.buck()))
    pieces = [row["piece"] for row in found]
    expected = [*small_job.buck().wires, *small_job.buck().members]
    assert sorted(pieces) == sorted(part.name for part in expected)
    for row in found:
        mm = float(row["cut_length_mm"])
        assert parse_length(row["cut_length_ft_in"]) == pytest.approx(mm, abs=25.4 / 32.0 + 0.05)
        assert mm + float(row["remnant_mm"]) <= float(row["bar_length_mm"]) + 1.0


def test_the_wire_table_says_which_are_sprung_and_how_many_tacks_each_has():
    found = {row["wire"]: row for row in rows(wires_csv(small_job.buck()))}
    assert found["roof centre line"]["sprung"] == "yes"
    assert found["roof centre line"]["form_radius_mm"] == ""
    assert found["middle section"]["tacks"] == "5"
    assert found["window left"]["closed"] == "yes"


def test_offsets_lie_on_their_stations_and_on_the_line():
    network = small_job.reference().network
    found = rows(offsets_csv(network))
    belt = [row for row in found if row["line"] == "belt left"]
    assert [row["at"] for row in belt][:3] == ["start", "station 500", "station 600"]
    points = network.line("belt left").points(20_001)
    for row in belt:
        x, y, z = (float(row[key]) for key in ("x_mm", "y_half_breadth_mm", "z_height_mm"))
        away = np.linalg.norm(points - (x, y, z), axis=1).min()
        assert away < 0.15
        if row["at"].startswith("station"):
            assert x == float(row["at"].split()[1])


def offsets_of(name):
    return [r for r in rows(offsets_csv(small_job.reference().network)) if r["line"] == name]


def test_a_closed_line_is_cut_twice_at_each_place_and_has_no_ends():
    places = [row["at"] for row in offsets_of("window left")]
    assert len(places) >= 4
    assert all(places.count(place) == 2 for place in places)
    assert "start" not in places


def test_an_arch_is_given_by_buttocks():
    found = offsets_of("middle section")
    assert {row["at"].split()[0] for row in found} <= {"start", "end", "buttock", "level"}
    assert any(row["at"] == "buttock 0" for row in found)


def test_blanks_say_what_the_metal_must_do():
    (row,) = rows(blanks_csv(small_job.panels(), small_job.job().sheet))
    assert row["alloy"] == "3003-H14"
    assert float(row["most_stretch_percent"]) > 0.0 > float(row["most_shrink_percent"])
    assert float(row["cut_area_m2"]) > 0.4


def test_tasks_without_a_session_are_not_lost():
    found = {row["task"]: row for row in rows(tasks_csv(small_job.plan()))}
    assert found["bend middle section"]["session"] == "one"
    assert found["bend middle section"]["people"] == "Ada"
    assert found["weld frame"]["session"] == "not yet"
    assert found["weld frame"]["after"] == "bend middle section"


def test_the_packet_without_sheets_is_cover_and_tables_and_models():
    products = Products(buck=small_job.buck(), plan=small_job.plan())
    names = [
        n for n, _ in packet_files(small_job.job(), products, (), models={"skin.glb": b"glTF"})
    ]
    assert names == [
        "cover.pdf",
        "tables/cut-list.csv",
        "tables/wires.csv",
        "tables/frame.csv",
        "tables/posts.csv",
        "tables/tasks.csv",
        "skin.glb",
    ]


def test_bays_and_changes_are_told_wire_by_wire() -> None:
    bay = Bay(
        wires=("belt", "sill"),
        region="body",
        width=402.4,
        place=[0.0, 1.0, 2.0],
        sagitta=5.25,
        radius=0.0,
        held_sagitta=1.5,
        deflection=4.126,
        shape_held=True,
        stiff=False,
        words="",
    )
    change = WireChange(
        wire="belt",
        verdict="trim",
        most=0.44,
        trim=(2.0, -0.04),
        built_as="waist",
        words="Cut, so.",
    )
    buck = small_job.buck().model_copy(update={"bays": (bay,), "changes": (change,)})
    (row,) = rows(bays_csv(buck))
    assert [row["wire"], row["next_wire"], row["width_mm"]] == ["belt", "sill", "402"]
    assert [row["radius_mm"], row["deflection_mm"]] == ["", "4.13"]
    assert [row["shape_held"], row["stiff"]] == ["yes", "no"]
    (told,) = rows(changes_csv(buck))
    assert [told["wire"], told["built_as"], told["what"], told["words"]] == [
        "belt",
        "waist",
        "trim",
        "Cut, so.",
    ]
    assert [told["most_mm"], told["long_at_start_mm"], told["long_at_end_mm"]] == [
        "0.4",
        "2.0",
        "0.0",
    ]
