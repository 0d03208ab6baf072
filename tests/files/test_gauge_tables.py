"""Tables of gauges: one row for each card and sweep, readable by any spreadsheet."""

import csv
from io import StringIO

import numpy as np
import pytest

from buckwright.files.gauge_tables import gauges_csv, sweeps_csv
from buckwright.gauges import make_gauges
from buckwright.model.gauges import CardPlane, Gauges, GaugeSpec, SweepSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin
from skins_on_paper import grid_region, sphere


@pytest.fixture(scope="module")
def made() -> Gauges:
    region = grid_region(
        "cap",
        sphere(500.0),
        np.linspace(-2.2, -0.9, 27),
        np.linspace(-0.5, 0.6, 23),
        outward=lambda p: p,
        side="left",
    )
    plane = CardPlane(name="corner", point=(0.0, -480.0, 0.0), normal=(1.0, 0.4, 0.0))
    spec = GaugeSpec(
        region="cap", axis="x", at=(0.0, 90.0), planes=(plane,), sweeps=SweepSpec(), stand=True
    )
    return make_gauges((spec,), Skin(regions=(region,)), LineNetwork(lines=(), crossings=()))


def rows(text: str) -> list[dict[str, str]]:
    assert text.endswith("\r\n")
    return list(csv.DictReader(StringIO(text, newline="")))


def test_every_card_has_its_row_with_hand_face_plane_and_length(made: Gauges) -> None:
    table = rows(gauges_csv(made))
    assert [row["card"] for row in table] == [gauge.name for gauge in made.gauges]
    for row, gauge in zip(table, made.gauges, strict=True):
        assert row["hand"] == gauge.hand
        assert row["face"] == "outside"
        length = np.linalg.norm(np.diff(gauge.profile, axis=0), axis=1).sum()
        assert float(row["profile_mm"]) == pytest.approx(length, abs=0.06)
    assert {row["plane"] for row in table} == {"x 0", "x 90", "oblique"}


def test_marks_stand_in_their_order_along_the_profile(made: Gauges) -> None:
    marks = rows(gauges_csv(made))[0]["marks"].split("; ")
    along = [float(mark.rsplit(" ", 1)[1]) for mark in marks]
    assert along == sorted(along)
    assert len(marks) == len(made.gauges[0].mark_names) >= 2


def test_sweeps_stand_once_for_both_sides(made: Gauges) -> None:
    (row,) = rows(sweeps_csv(made.sweeps))
    assert (row["region"], row["sweep"], row["edge"]) == ("cap", "A", "hollow")
    assert float(row["radius_mm"]) == pytest.approx(500.0, rel=0.2)
    assert float(row["light_most_mm"]) <= 0.5
