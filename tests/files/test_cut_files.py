from io import StringIO
from xml.etree import ElementTree as ET

import ezdxf
import numpy as np
import pytest
import shapely

from buckwright.drawings import packet_sheets
from buckwright.files.dxf import dxf_text
from buckwright.files.inks import PENS
from buckwright.files.svg import svg_text
from buckwright.model.drawings import Label, Sheet, Stroke
from drawings import small_job

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def sheets():
    return {sheet.name: sheet for sheet in packet_sheets(small_job.job(), small_job.products())}


def test_the_same_sheet_gives_the_same_dxf(sheets):
    sheet = sheets["gauge-front-wing-x-1200-left"]
    assert dxf_text(sheet) == dxf_text(sheet)


def test_layers_are_short_ascii_words_that_any_controller_takes():
    for pen in PENS.values():
        assert pen.layer.isascii()
        assert pen.layer.isupper()
        assert len(pen.layer) <= 31


def test_widths_are_steps_of_iso_128(sheets):
    steps = {0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0}
    assert {pen.width for pen in PENS.values()} <= steps


@pytest.mark.parametrize("name", ["blank-wing-crown", "gauge-front-wing-y-500-right"])
def test_every_cut_sheet_passes_the_audit_with_its_outline_closed(sheets, name):
    document = ezdxf.read(StringIO(dxf_text(sheets[name])))
    assert not document.audit().errors
    (cut,) = document.modelspace().query('LWPOLYLINE[layer=="CUT"]')
    assert cut.closed
    (stroke,) = [s for s in sheets[name].strokes if s.ink == "cut"]
    drawn = []
    for piece in cut.virtual_entities():
        arc = piece.dxftype() == "ARC"
        drawn += piece.flattening(0.005) if arc else [piece.dxf.start, piece.dxf.end]
    away = shapely.distance(
        shapely.points([(p.x, p.y) for p in drawn]), shapely.LinearRing(stroke.points)
    )
    assert away.max() <= 0.1


def test_words_are_strokes_on_the_text_layer_and_no_text_entity_is_left():
    label = Label(at=(100.0, 50.0), text="belt ½", height=10.0, angle=np.pi / 2.0)
    sheet = Sheet(name="s", title="t", strokes=(), labels=(label,))
    space = ezdxf.read(StringIO(dxf_text(sheet))).modelspace()
    assert not space.query("TEXT MTEXT")
    points = np.vstack([np.array(line.get_points("xy")) for line in space.query("LWPOLYLINE")])
    room = shapely.Polygon(label.corners()).buffer(1e-6)
    assert all(room.covers(shapely.Point(point)) for point in points)


def test_a_stroke_without_length_becomes_a_point_that_a_drill_can_find():
    dot = Stroke(ink="mark", points=np.array([[3.0, 4.0], [3.0, 4.0]]))
    space = ezdxf.read(StringIO(dxf_text(Sheet(name="s", title="t", strokes=(dot,))))).modelspace()
    (point,) = space.query("POINT")
    assert (point.dxf.location.x, point.dxf.location.y) == (3.0, 4.0)


def test_svg_is_well_formed_and_groups_strokes_by_ink(sheets):
    for sheet in sheets.values():
        root = ET.fromstring(svg_text(sheet))
        groups = {g.get("class"): len(g) for g in root.iter(f"{SVG}g")}
        for ink in PENS:
            assert groups.get(ink, 0) == sum(stroke.ink == ink for stroke in sheet.strokes)
        assert groups["words"] > len(sheet.labels)


def test_svg_keeps_names_with_odd_signs():
    stroke = Stroke(ink="cut", points=np.array([[0.0, 0.0], [50.0, 0.0]]), name='<a> & "b"')
    sheet = Sheet(
        name="s", title="<t> & u", strokes=(stroke,), labels=(Label(at=(0, 0), text="<&>"),)
    )
    root = ET.fromstring(svg_text(sheet))
    (path,) = root.iter(f"{SVG}path")
    assert path.get("data-name") == '<a> & "b"'
    assert "<&>" in {text.text for text in root.iter(f"{SVG}text")}


def test_svg_is_not_mirrored():
    corner = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 40.0]])
    sheet = Sheet(name="s", title="t", strokes=(Stroke(ink="cut", points=corner),))
    (path,) = ET.fromstring(svg_text(sheet)).iter(f"{SVG}path")
    points = np.array([[float(v) for v in pair.split(",")] for pair in path.get("d")[1:].split()])
    u, v = points[1] - points[0], points[2] - points[1]
    # y runs down in SVG: a turn to the left on the sheet is negative there
    assert u[0] * v[1] - u[1] * v[0] == pytest.approx(-4000.0, abs=1.0)
