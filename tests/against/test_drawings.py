"""Sheets read back by readers we did not write: 1,000 mm is 1,000 mm on paper and in metal.

Readers: pdfplumber (PDF vectors), ezdxf's audit and the raw group codes of the DXF reference,
svgpathtools. Mathematics: circle, ellipse perimeter by SciPy's complete elliptic integral (DLMF
19.9.9). Sizes: ISO 216 by its formula, ISO 32000-1 Annex C.2 (14,400 units), 1 pt = 25.4/72 mm.
"""

from io import BytesIO, StringIO

import ezdxf
import numpy as np
import pdfplumber
import pytest
import svgpathtools
from scipy.spatial import cKDTree
from scipy.special import ellipe

from buckwright.files.dxf import dxf_text
from buckwright.files.pdf import PAPERS, roll_pdf, tiled_pdf
from buckwright.files.svg import svg_text
from buckwright.geometry.biarc import arc_points, fit_arcs
from buckwright.model.drawings import Label, Sheet, Stroke

MM = 25.4 / 72.0
WITHIN = 0.05
ANGLE = np.linspace(0.0, 2.0 * np.pi, 1440, endpoint=False)
ELLIPSE = np.column_stack([600.0 * np.cos(ANGLE), 250.0 * np.sin(ANGLE)])


def ruler_sheet(angle_deg=0.0, length=1000.0):
    """A ruler in the cutting ink at an odd place, and an ellipse to cut."""
    along = np.array([np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))])
    start = np.array([123.4, -56.7])
    return Sheet(
        name="ruler",
        title="Ruler",
        strokes=(
            Stroke(ink="cut", points=np.stack([start, start + length * along]), name="ruler"),
            Stroke(ink="outline", points=ELLIPSE, closed=True, name="ellipse"),
        ),
        labels=(Label(at=(0.0, 0.0), text="ruler 1000 é"),),
        notes=("A note.",),
        cut_file=True,
    )


def straight_pieces(page, width=0.7):
    """(n, 2, 2) mm: straight lines of two points on a page, drawn that wide."""
    return [
        np.array([(x, y) for x, y in one["pts"]]) * MM
        for one in page.lines
        if abs(one["linewidth"] * MM - width) < 0.01
    ]


def longest(pieces):
    return max(pieces, key=lambda piece: np.linalg.norm(piece[1] - piece[0]))


def length_of(piece):
    return float(np.linalg.norm(piece[1] - piece[0]))


@pytest.mark.parametrize("angle_deg", [0.0, 90.0, 36.87])
def test_a_thousand_millimetres_on_the_roll(angle_deg):
    data = roll_pdf([ruler_sheet(angle_deg)], roll_width=1600.0, title="t")
    with pdfplumber.open(BytesIO(data)) as pdf:
        (page,) = pdf.pages
        assert abs(length_of(longest(straight_pieces(page))) - 1000.0) <= WITHIN


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("angle_deg", [0.0, 90.0])
def test_a_thousand_millimetres_joined_from_tiles(paper, angle_deg):
    """Each neighbour repeats 10 mm: the pieces less the repeats are the ruler."""
    data = tiled_pdf([ruler_sheet(angle_deg)], paper=paper, title="t")
    with pdfplumber.open(BytesIO(data)) as pdf:
        pieces = [piece for page in pdf.pages[1:] for piece in straight_pieces(page)]
    assert len(pieces) >= 3
    total = sum(map(length_of, pieces)) - 10.0 * (len(pieces) - 1)
    assert abs(total - 1000.0) <= WITHIN


def test_every_tile_and_roll_page_carries_true_check_bars():
    tiles = tiled_pdf([ruler_sheet()], paper="A4", title="t")
    roll = roll_pdf([ruler_sheet(length=3000.0)], title="t")
    with pdfplumber.open(BytesIO(tiles)) as pdf:
        for page in pdf.pages:
            assert_bars(page, [100.0])
    with pdfplumber.open(BytesIO(roll)) as pdf:
        for page in pdf.pages:
            assert_bars(page, [100.0, 254.0])


def assert_bars(page, lengths):
    marks = straight_pieces(page, width=0.5)
    for length in lengths:
        for axis in (0, 1):
            true = [
                m
                for m in marks
                if abs(length_of(m) - length) <= WITHIN and abs(m[0] - m[1])[1 - axis] < 1e-3
            ]
            assert true, f"no bar of {length} mm along axis {axis}"


def test_no_page_of_a_roll_is_longer_than_the_standard_allows():
    data = roll_pdf([ruler_sheet(length=11_700.0)], title="t")
    with pdfplumber.open(BytesIO(data)) as pdf:
        assert len(pdf.pages) >= 3
        assert all(max(page.width, page.height) <= 14_400.0 for page in pdf.pages)
        pieces = [longest(straight_pieces(page)) for page in pdf.pages if straight_pieces(page)]
    # Lengths of a roll share 20 mm with their match line in the middle.
    total = sum(map(length_of, pieces)) - 20.0 * (len(pieces) - 1)
    assert abs(total - 11_700.0) <= WITHIN


def test_paper_sizes_are_those_of_iso_216_and_ansi():
    def side(number):
        return np.floor(1000.0 / 2.0 ** ((2.0 * number - 1.0) / 4.0) + 0.2)

    for name, number in (("A4", 4), ("A3", 3)):
        assert PAPERS[name] == (side(number + 1), side(number))
    assert PAPERS["Letter"] == pytest.approx((215.9, 279.4), abs=1e-9)
    for name, size in PAPERS.items():
        data = tiled_pdf([ruler_sheet()], paper=name, title="t")
        with pdfplumber.open(BytesIO(data)) as pdf:
            page = pdf.pages[0]
            assert (page.width * MM, page.height * MM) == pytest.approx(size, abs=0.01)


def test_a_thousand_millimetres_in_svg_and_its_unit_is_the_millimetre():
    text = svg_text(ruler_sheet(36.87))
    paths, attributes, svg = svgpathtools.svgstr2paths(text, return_svg_attributes=True)
    by_name = {
        a["data-name"]: p for p, a in zip(paths, attributes, strict=True) if "data-name" in a
    }
    assert abs(by_name["ruler"].length() - 1000.0) <= WITHIN
    perimeter = 4.0 * 600.0 * ellipe(1.0 - (250.0 / 600.0) ** 2)
    assert abs(by_name["ellipse"].length() - perimeter) <= WITHIN
    box = [float(v) for v in svg["viewBox"].split()]
    assert (svg["width"], svg["height"]) == (f"{box[2]:.3f}mm", f"{box[3]:.3f}mm")


def group_codes(text):
    lines = text.splitlines()
    return [(int(code), value.strip()) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def raw_polylines(text):
    """(layer, points (n, 2), bulges (n,), closed) straight from the group codes."""
    found, entity, inside = [], None, False
    for code, value in group_codes(text):
        if (code, value) == (2, "ENTITIES"):
            inside = True
        if code == 0:
            if entity:
                found.append(entity)
            entity = {"xy": [], "bulge": {}} if inside and value == "LWPOLYLINE" else None
            inside = inside and value != "ENDSEC"
        elif entity is not None:
            read_vertex(entity, code, value)
    return [
        (
            e["layer"],
            np.array(e["xy"]),
            [e["bulge"].get(i, 0.0) for i in range(len(e["xy"]))],
            e["shut"],
        )
        for e in found
    ]


def read_vertex(entity, code, value):
    if code == 8:
        entity["layer"] = value
    elif code == 70:
        entity["shut"] = bool(int(value) & 1)
    elif code == 10:
        entity["xy"].append([float(value)])
    elif code == 20:
        entity["xy"][-1].append(float(value))
    elif code == 42:
        entity["bulge"][len(entity["xy"]) - 1] = float(value)


def length_with_bulges(points, bulges, closed):
    ends = np.vstack([points, points[:1]]) if closed else points
    total = 0.0
    for a, b, bulge in zip(ends[:-1], ends[1:], bulges, strict=False):
        chord, sweep = np.linalg.norm(b - a), 4.0 * np.arctan(abs(bulge))
        total += chord if sweep < 1e-12 else 0.5 * chord / np.sin(0.5 * sweep) * sweep
    return total


def test_a_thousand_millimetres_in_the_raw_group_codes_of_the_dxf():
    lines = {layer: rest for layer, *rest in raw_polylines(dxf_text(ruler_sheet(36.87)))}
    assert abs(length_with_bulges(*lines["CUT"]) - 1000.0) <= WITHIN
    perimeter = 4.0 * 600.0 * ellipe(1.0 - (250.0 / 600.0) ** 2)
    points, bulges, closed = lines["OUTLINE"]
    assert closed
    assert abs(length_with_bulges(points, bulges, closed) / perimeter - 1.0) < 1e-4
    assert len(points) < 80


def test_the_dxf_is_without_fault_and_says_millimetres():
    text = dxf_text(ruler_sheet(36.87))
    assert text.isascii()
    document = ezdxf.read(StringIO(text))
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    codes = group_codes(text)
    header = {codes[i][1]: codes[i + 1] for i in range(len(codes) - 1) if codes[i][0] == 9}
    assert header["$ACADVER"] == (1, "AC1024")
    assert header["$INSUNITS"] == (70, "4")
    assert float(header["$EXTMIN"][1]) == pytest.approx(-600.0, abs=0.1)
    assert float(header["$EXTMAX"][1]) == pytest.approx(123.4 + 800.0, abs=0.1)


def test_the_dxf_outline_is_within_a_tenth_of_the_true_ellipse_by_ezdxfs_own_arcs():
    document = ezdxf.read(StringIO(dxf_text(ruler_sheet())))
    (outline,) = document.modelspace().query('LWPOLYLINE[layer=="OUTLINE"]')
    points = []
    for piece in outline.virtual_entities():
        if piece.dxftype() == "ARC":
            points += [(v.x, v.y) for v in piece.flattening(0.001)]
        else:
            points += [(v.x, v.y) for v in (piece.dxf.start, piece.dxf.end)]
    away = distance_to_ellipse(np.array(points), 600.0, 250.0)
    # 0.1 mm for the arcs and the sagitta of the 1,440 sides that were drawn (0.003 mm).
    assert away.max() <= 0.103


def distance_to_ellipse(points, a, b):
    """Distances by Newton's method on the foot's angle, from the nearest of 2,000 places."""
    places = np.linspace(0.0, 2.0 * np.pi, 2000, endpoint=False)
    tree = cKDTree(np.column_stack([a * np.cos(places), b * np.sin(places)]))
    at = places[tree.query(points)[1]]
    x, y = points.T
    for _ in range(8):
        cosine, sine = np.cos(at), np.sin(at)
        slope = (a * a - b * b) * cosine * sine - a * x * sine + b * y * cosine
        bend = (a * a - b * b) * (cosine**2 - sine**2) - a * x * cosine - b * y * sine
        at = at - slope / bend
    return np.hypot(x - a * np.cos(at), y - b * np.sin(at))


def test_a_circle_comes_back_as_arcs_of_its_own_radius():
    radius = 437.5
    circle = radius * np.column_stack([np.cos(ANGLE), np.sin(ANGLE)])
    path = fit_arcs(circle, tolerance=0.09, closed=True)
    assert len(path.vertices) <= 8
    chords = np.linalg.norm(np.roll(path.vertices, -1, axis=0) - path.vertices, axis=1)
    sweep = 4.0 * np.arctan(path.bulges)
    np.testing.assert_allclose(chords / (2.0 * np.sin(0.5 * sweep)), radius, atol=0.02)
    assert sweep.sum() == pytest.approx(2.0 * np.pi, abs=1e-4)


@pytest.mark.parametrize("tolerance", [0.5, 0.09, 0.01])
def test_an_ellipse_keeps_its_perimeter_and_the_tolerance(tolerance):
    path = fit_arcs(ELLIPSE, tolerance=tolerance, closed=True)
    dense = arc_points(path, step=0.5)
    # the ellipse was drawn with 1,440 sides, each within 0.003 mm
    assert distance_to_ellipse(dense, 600.0, 250.0).max() <= tolerance + 0.003
    exact = 4.0 * 600.0 * ellipe(1.0 - (250.0 / 600.0) ** 2)
    found = length_with_bulges(path.vertices, path.bulges, closed=True)
    # Convex outlines no farther apart than d differ by at most 2 pi d in perimeter (Steiner).
    assert np.all(path.bulges >= 0.0)
    assert abs(found - exact) <= 2.0 * np.pi * tolerance
