"""Louvres, trims and meetings of skins on the blanks, on every kind of sheet."""

from io import StringIO

import ezdxf
import numpy as np
import pytest

from buckwright.drawings.blanks import blank_sheets
from buckwright.files.dxf import dxf_text
from buckwright.files.svg import svg_text
from buckwright.model.drawings import Sheet
from buckwright.model.job import Job
from buckwright.model.louvres import LouvreSpec
from buckwright.model.panels import Panels, PanelSpec, SheetStock
from buckwright.model.skin import LineTrack, Skin
from buckwright.model.treatments import SkinMeeting, TrimSpec
from buckwright.panels import make_panels
from buckwright.skin.louvres import make_louvres
from buckwright.skin.trimming import trim_skin
from skins_on_paper import cylinder, grid_region

SHEET = SheetStock(alloy="3003-O", thickness=1.0)
VENTS = LouvreSpec(
    name="vents",
    region="tube",
    at=(200.0, 0.0, 400.0),
    rows=2,
    length=90.0,
    width=20.0,
    height=6.0,
    row_pitch=50.0,
    column_pitch=0.0,
)
TURN = np.linspace(1.25, 1.85, 40)
MEETING = SkinMeeting(
    name="fin meets tube",
    regions=("fin", "tube"),
    points=np.column_stack([np.full(40, 330.0), 400 * np.cos(TURN), 400 * np.sin(TURN)]),
    closed=False,
    length=240.0,
)


@pytest.fixture(scope="module", name="made")
def _made() -> tuple[Skin, Panels]:
    u, v = np.linspace(0.0, 600.0, 25), np.linspace(1.1, 2.04, 17)
    rows = np.arange(425).reshape(25, 17)
    sides = {"low": rows[:, 0], "far": rows[-1], "high": rows[::-1, -1], "near": rows[0, ::-1]}
    region = grid_region(
        "tube",
        cylinder(400.0),
        u,
        v,
        outward=lambda p: p * [0.0, 1.0, 1.0],
        boundary=[LineTrack(line=k, vertices=n, closed=False) for k, n in sides.items()],
    )
    chart = np.array(region.chart) * [1.0, 400.0]
    whole = Skin(regions=(region.model_copy(update={"chart": chart}),))
    end = TrimSpec(name="tail cut", region="tube", by="plane", value=420.0, away=(560, 0, 400))
    skin = trim_skin(whole, end, None)
    skin = skin.model_copy(update={"meetings": (MEETING,)})
    panels = make_panels((PanelSpec(name="all", region="tube"),), skin, SHEET)
    return skin, panels


def sheet_of(made: tuple[Skin, Panels], slits: str) -> Sheet:
    skin, panels = made
    asked = VENTS.model_copy(update={"slits": slits})
    with_vents = skin.model_copy(update={"louvres": make_louvres(skin, asked)})
    (sheet,) = blank_sheets(Job(name="Tube", sheet=SHEET), panels, with_vents)
    return sheet


def length(points: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def strokes(sheet: Sheet, name: str, ink: str) -> list[np.ndarray]:
    return [s.points for s in sheet.strokes if (s.name, s.ink) == (name, ink)]


def test_what_is_done_to_the_skin_has_its_true_length_on_the_blank(made) -> None:
    # exact: a tube lays flat without any change of length; its mesh has chords.
    sheet = sheet_of(made, "on the formed panel")
    roots = strokes(sheet, "vents", "crease")
    assert [length(points) for points in roots] == pytest.approx([90.0, 90.0], rel=2e-3)
    assert np.linalg.norm(roots[0].mean(axis=0) - roots[1].mean(axis=0)) == pytest.approx(
        50.0, abs=0.3
    )
    (trim,) = strokes(sheet, "tail cut", "mark")
    assert length(trim) == pytest.approx(400.0 * 0.94, rel=2e-3)
    (meets,) = strokes(sheet, "fin meets tube", "mark")
    assert length(meets) == pytest.approx(400.0 * 0.6, rel=2e-3)
    # The trim lies on the net outline, the meeting 90 mm inside it.
    assert abs(abs(trim.mean(axis=0) - meets.mean(axis=0)).max() - 90.0) < 0.5
    told = " / ".join(label.text for label in sheet.labels)
    assert "louvres vents" in told
    assert any("vents: 2 x 1, 90 by 20 mm, 6 mm high" in note for note in sheet.notes)
    assert "trim tail cut" in told
    assert "fin meets here" in told


@pytest.mark.parametrize(
    ("slits", "ink", "other", "said"),
    [
        ("on the formed panel", "mark", "cut", "struck on the formed panel"),
        ("in the flat", "cut", "mark", "cut in the flat"),
    ],
)
def test_slits_are_cut_lines_only_where_they_are_cut_in_the_flat(
    made, slits, ink, other, said
) -> None:
    sheet = sheet_of(made, slits)
    along = [p for p in strokes(sheet, "vents", ink) if length(p) > 50.0]
    assert [length(points) for points in along] == pytest.approx([90.0, 90.0], rel=2e-3)
    assert [p for p in strokes(sheet, "vents", other) if length(p) > 50.0] == []
    assert any(said in note for note in sheet.notes)
    # The same in the cut file, by layer, and in the vector picture.
    drawing = ezdxf.read(StringIO(dxf_text(sheet)))
    on_cut = [e for e in drawing.modelspace() if e.dxf.layer == "CUT"]
    outline_only = sheet_of(made, "on the formed panel")
    plain = ezdxf.read(StringIO(dxf_text(outline_only)))
    base = [e for e in plain.modelspace() if e.dxf.layer == "CUT"]
    assert len(on_cut) - len(base) == (2 if ink == "cut" else 0)
    assert svg_text(sheet).count("fin meets tube") >= 1
