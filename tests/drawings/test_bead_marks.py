"""Where beads lie on the blanks."""

import numpy as np
import pytest

from buckwright.drawings.blanks import blank_sheets
from buckwright.model.job import Job
from buckwright.model.panels import PanelSpec, SheetStock
from buckwright.model.skin import LineTrack, Skin
from buckwright.model.treatments import BeadSpec
from buckwright.panels import make_panels
from buckwright.skin.beads import beads_beside, make_bead
from skins_on_paper import cylinder, grid_region

SHEET = SheetStock(alloy="3003-O", thickness=1.0)
RIB = BeadSpec(
    name="rib",
    region="tube",
    through=((60.0, 0.0, 400.0), (540.0, 0.0, 400.0)),
    width=24.0,
    depth=3.0,
    radius=9.0,
    setback=0.0,
)


def tube() -> Skin:
    u, v = np.linspace(0.0, 600.0, 25), np.linspace(1.1, 2.04, 17)
    low = LineTrack(line="low", vertices=np.arange(0, 425, 17), closed=False)
    region = grid_region(
        "tube", cylinder(400.0), u, v, outward=lambda p: p * [0.0, 1.0, 1.0], boundary=(low,)
    )
    return Skin(regions=(region,))


def test_a_bead_is_drawn_on_each_blank_that_it_crosses_in_its_true_length() -> None:
    # exact: a tube lays flat without any change of length.
    specs = (
        PanelSpec(name="front", region="tube", below=(("x", 200.0),)),
        PanelSpec(name="rear", region="tube", above=(("x", 200.0),)),
    )
    panels = make_panels(specs, tube(), SHEET)
    skin = tube().model_copy(update={"beads": beads_beside(make_bead(tube(), RIB))})
    lengths = {}
    for sheet in blank_sheets(Job(name="Tube", sheet=SHEET), panels, skin):
        (middle,) = [s for s in sheet.strokes if s.name == "rib" and s.ink == "centre"]
        feet = [s for s in sheet.strokes if s.name == "rib" and s.ink == "mark"]
        assert len(feet) == 2
        gap = np.linalg.norm(feet[0].points.mean(axis=0) - feet[1].points.mean(axis=0))
        assert gap == pytest.approx(24.0, abs=0.2)
        lengths[sheet.title.split(" for ")[1]] = np.linalg.norm(
            middle.points[-1] - middle.points[0]
        )
        assert any("bead rib: 24 wide, 3 out, R 9" in label.text for label in sheet.labels)
        assert "pressed once the panel is formed" in sheet.notes[0]
    # Sections lie every 4 mm: one may fall on the other side of the seam.
    assert lengths["front"] == pytest.approx(140.0, abs=4.1)
    assert lengths["rear"] == pytest.approx(340.0, abs=4.1)


def test_a_blank_without_beads_says_nothing_of_them() -> None:
    panels = make_panels((PanelSpec(name="all", region="tube"),), tube(), SHEET)
    plain, elsewhere = (
        blank_sheets(Job(name="Tube", sheet=SHEET), panels, skin)[0]
        for skin in (None, tube().model_copy(update={"beads": _moved(*make_bead(tube(), RIB))}))
    )
    assert plain.notes == elsewhere.notes
    assert len(plain.strokes) == len(elsewhere.strokes)


def _moved(bead):
    up = np.array([0.0, 0.0, 500.0])
    arrays = {"axis": bead.axis + up, "vertices": bead.vertices + up}
    return (bead.model_copy(update=arrays),)
