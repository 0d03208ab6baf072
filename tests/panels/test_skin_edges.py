"""Treatments of the skin's edges, taken over by the panels that end there."""

import numpy as np

from buckwright.model.panels import EdgeSpec, PanelSpec, SheetStock
from buckwright.model.skin import LineTrack, Skin
from buckwright.model.treatments import EdgeTreatment
from buckwright.panels import make_panels
from skins_on_paper import cylinder, grid_region

SHEET = SheetStock(alloy="3003-H14", thickness=1.2)


def skin() -> Skin:
    u, v = np.linspace(0.0, 400.0, 17), np.linspace(0.4, 1.4, 17)
    sides = {
        "low": np.arange(0, 289, 17),
        "end": np.arange(272, 289),
        "high": np.arange(288, -1, -17),
        "start": np.arange(16, -1, -1),
    }
    tracks = tuple(LineTrack(line=k, vertices=n, closed=False) for k, n in sides.items())
    region = grid_region(
        "side", cylinder(500.0), u, v, outward=lambda p: p * [0.0, 1.0, 1.0], boundary=tracks
    )
    return Skin(regions=(region,))


def treated(along: str, **sizes: object) -> EdgeTreatment:
    edge = EdgeSpec.model_validate({"along": along, "treatment": "flange", **sizes})
    return EdgeTreatment(region="side", edge=edge)


def test_a_panel_takes_the_skins_edge_over_unless_it_names_its_own() -> None:
    halves = (
        PanelSpec(name="front", region="side", below=(("x", 200.0),)),
        PanelSpec(
            name="rear",
            region="side",
            above=(("x", 200.0),),
            edges=(EdgeSpec(along="low", treatment="hem", width=9.0),),
        ),
    )
    edges = (treated("low", width=14.0), treated("end", width=11.0))
    made = make_panels(halves, skin(), SHEET, treatments=edges)
    told = {b.panel: {e.name: e for e in b.edges} for b in made.blanks}
    assert told["front"]["low"].treatment == "flange"
    assert "14 mm" in told["front"]["low"].words
    assert told["rear"]["low"].treatment == "hem"
    assert told["rear"]["end"].treatment == "flange"
    assert "end" not in told["front"]
    # The front panel does not end there, and nobody asked it to.
    assert [f for b in made.blanks for f in b.findings if f.code == "edge-not-on-panel"] == []


def test_a_treatment_of_another_region_changes_nothing() -> None:
    whole = (PanelSpec(name="all", region="side"),)
    elsewhere = treated("low").model_copy(update={"region": "roof"})
    plain, treated_too = (
        make_panels(whole, skin(), SHEET, treatments=t) for t in ((), (elsewhere,))
    )
    np.testing.assert_array_equal(plain.blanks[0].outline, treated_too.blanks[0].outline)
