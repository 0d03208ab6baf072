"""The treatments of a job done to its skin, listed, and written as tables."""

import csv
from io import StringIO

import numpy as np
import pytest

from buckwright.files.treatment_tables import treatment_lines_csv, treatments_csv
from buckwright.flow.treatment_rows import treatment_rows
from buckwright.flow.treatments import treated_skin
from buckwright.model.job import Job, step_digests
from buckwright.model.louvres import LouvreSpec
from buckwright.model.panels import EdgeSpec, SheetStock
from buckwright.model.skin import LineTrack, Skin
from buckwright.model.treatments import BeadSpec, EdgeTreatment, TrimSpec
from skins_on_paper import cylinder, grid_region

VENTS = LouvreSpec(
    name="vents",
    region="tube",
    at=(300.0, 60.0, 294.0),
    rows=2,
    length=60.0,
    width=20.0,
    height=5.0,
    row_pitch=45.0,
    column_pitch=0.0,
)
JOB = Job(
    name="Tube",
    sheet=SheetStock(alloy="DC04", thickness=1.0),
    trims=(TrimSpec(name="end", region="tube", by="plane", value=600.0, away=(700, 0, 300)),),
    edge_treatments=(
        EdgeTreatment(region="tube", edge=EdgeSpec(along="end", treatment="flange", width=12.0)),
        EdgeTreatment(region="tube", edge=EdgeSpec(along="low", treatment="trim", width=7.0)),
    ),
    beads=(BeadSpec(name="rib", region="tube", line="crown", width=40.0, depth=4.0, radius=20.0),),
    louvres=(VENTS,),
)


def tube() -> Skin:
    u, v = np.linspace(0.0, 800.0, 33), np.linspace(0.6, 2.5, 31)
    sides = {
        "low": np.arange(0, 1023, 31),
        "far": np.arange(992, 1023),
        "high": np.arange(1022, -1, -31),
        "near": np.arange(30, -1, -1),
    }
    tracks = tuple(LineTrack(line=k, vertices=n, closed=False) for k, n in sides.items())
    crown = (LineTrack(line="crown", vertices=np.arange(15, 1023, 31), closed=False),)
    region = grid_region(
        "tube",
        cylinder(300.0),
        u,
        v,
        outward=lambda p: p * [0.0, 1.0, 1.0],
        boundary=tracks,
        tracks=crown,
    )
    chart = np.array(region.chart) * [1.0, 300.0]
    return Skin(regions=(region.model_copy(update={"chart": chart}),))


def test_the_edge_of_a_trim_can_be_turned_and_the_bead_ends_before_it() -> None:
    skin = treated_skin(tube(), JOB, None)
    assert skin.findings == ()
    assert skin.regions[0].vertices[:, 0].max() == pytest.approx(600.0)
    assert skin.strips[0].length == pytest.approx(300.0 * 1.9, rel=1e-3)
    assert skin.beads[0].axis[:, 0].max() == pytest.approx(570.0, abs=0.5)


def test_every_treatment_has_its_row_and_its_line_in_the_tables() -> None:
    rows = treatment_rows(JOB, treated_skin(tube(), JOB, None))
    assert [row.what for row in rows] == ["trim", "edge", "edge", "bead", "louvres"]
    assert rows[0].words.startswith(f"{0.2 * 0.3 * 1.9:.3f} m² taken away")
    assert rows[3].step == "takes it"
    assert rows[4].step == "takes it"
    assert rows[4].length == pytest.approx(120.0, rel=1e-3)
    table = list(csv.DictReader(StringIO(treatments_csv(rows))))
    assert [row["name"] for row in table] == [row.name for row in rows]
    assert table[2]["length_mm"] == ""
    points = list(csv.DictReader(StringIO(treatment_lines_csv(rows))))
    assert len(points) == sum(len(row.line) for row in rows)


def test_what_cannot_be_done_is_left_out_and_told_and_the_rest_is_done() -> None:
    lost = (
        TrimSpec(name="lost", region="tube", by="plane", value=9e3, away=(0, 0, 300)),
        *JOB.trims,
    )
    gone = (EdgeTreatment(region="tube", edge=EdgeSpec(along="fin", treatment="hem")),)
    wide = (JOB.beads[0].model_copy(update={"radius": 900.0}), *JOB.beads)
    torn = (VENTS.model_copy(update={"height": 30.0}),)
    asked = {"trims": lost, "edge_treatments": gone, "beads": wide, "louvres": torn}
    job = JOB.model_copy(update=asked)
    skin = treated_skin(tube(), job, None)
    told = {finding.code: finding.where for finding in skin.findings}
    assert told == {
        "trim-not-done": "lost",
        "edge-not-turned": "fin",
        "bead-not-made": "rib",
        "louvres-not-made": "vents",
    }
    assert len(skin.trims) == len(skin.beads) == 1


def test_answers_from_before_there_were_treatments_stay_fresh_until_one_is_asked() -> None:
    fields = ("trims", "edge_treatments", "beads", "louvres")
    plain = JOB.model_copy(update=dict.fromkeys(fields, ()))
    assert step_digests(plain)["skin"] != step_digests(JOB)["skin"]
    dumped = plain.model_dump(mode="json", exclude=set(fields))
    assert step_digests(Job.model_validate(dumped)) == step_digests(plain)
