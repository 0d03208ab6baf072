from io import BytesIO
from itertools import pairwise

import numpy as np
import pdfplumber
import pytest
from PIL import Image
from pypdf import PdfReader

from buckwright.drawings import every_caution, packet_sheets
from buckwright.errors import FileError
from buckwright.files.pdf import PAPERS, cover_pdf, roll_pdf, tiled_pdf
from buckwright.files.pdfbook import PdfBook
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.finding import Finding
from buckwright.model.job import Job, Products
from drawings import small_job


def square(side, name="square"):
    corners = np.array([[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]])
    return Sheet(
        name=name,
        title=f"Sheet {name}",
        strokes=(Stroke(ink="outline", points=corners, closed=True),),
        labels=(Label(at=(10.0, 10.0), text=f"big {name}", height=18.0),),
        notes=("Wear gloves.",),
    )


@pytest.fixture(scope="module")
def sheets():
    return packet_sheets(small_job.job(), small_job.products())


@pytest.mark.parametrize("write", [roll_pdf, tiled_pdf])
def test_the_same_sheets_give_the_same_bytes(write, sheets):
    some = [sheet for sheet in sheets if sheet.kind in ("gauge", "check")]
    assert write(some, title="t") == write(some, title="t")


@pytest.mark.parametrize("write", [roll_pdf, tiled_pdf])
def test_scaling_is_off_userunit_absent_and_the_one_font_embedded(write):
    reader = PdfReader(BytesIO(write([square(300.0)], title="Wren, revision B")))
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert reader.metadata.title == "Wren, revision B"
    for page in reader.pages:
        assert "/UserUnit" not in page
        fonts = [f.get_object() for f in page["/Resources"]["/Font"].get_object().values()]
        assert fonts
        assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts)


def test_small_sheets_lie_beside_each_other_on_the_roll():
    with pdfplumber.open(
        BytesIO(roll_pdf([square(200.0, f"s{k}") for k in range(3)], title="t"))
    ) as pdf:
        (page,) = pdf.pages
        assert page.height * 25.4 / 72.0 == pytest.approx(914.4, abs=0.01)
        boxes = [r for r in [*page.rects, *page.curves] if r["width"] > 500.0]
        assert len(boxes) == 3
        tops = sorted((box["top"], box["bottom"]) for box in boxes)
        assert all(a[1] < b[0] for a, b in pairwise(tops))


def test_pieces_of_a_large_sheet_name_what_they_are_laid_on():
    with pdfplumber.open(BytesIO(roll_pdf([square(1500.0)], title="t"))) as pdf:
        text = "".join(page.extract_text() for page in pdf.pages)
        assert len(pdf.pages) == 2
    assert "match line: lay on piece A2" in text
    assert "match line: lay on piece A1" in text


def test_tiles_name_themselves_and_their_neighbours_and_empty_ones_are_left_out():
    data = tiled_pdf([square(1000.0)], paper="A4", title="t")
    with pdfplumber.open(BytesIO(data)) as pdf:
        index, *tiles = [page.extract_text() for page in pdf.pages]
    names = {text.split()[0] for text in tiles}
    assert len(names) == len(tiles)
    assert f"{len(tiles)} tiles" in index
    assert "Wear gloves." in index
    assert len(tiles) < 6 * 4
    for text in tiles:
        for word in [line.split("to ")[1] for line in text.splitlines() if line.startswith("to ")]:
            assert word.split()[0] in names


def test_every_word_of_a_sheet_can_be_found_in_the_roll(sheets):
    with pdfplumber.open(
        BytesIO(roll_pdf([s for s in sheets if s.kind == "gauge"], title="t"))
    ) as pdf:
        text = "".join(page.extract_text() for page in pdf.pages)
    assert "front wing x 1200" in text
    assert "ANSI/ISEA 105" in text


def test_words_are_as_wide_as_their_lettering():
    label = Label(at=(20.0, 50.0), text="middle section 1611.3", height=10.0)
    book = PdfBook("t")
    book.begin_page(400.0, 100.0)
    book.words([label])
    with pdfplumber.open(BytesIO(book.finish())) as pdf:
        letters = pdf.pages[0].chars
    width = (letters[-1]["x1"] - letters[0]["x0"]) * 25.4 / 72.0
    assert width == pytest.approx(np.ptp(label.corners()[:, 0]), abs=0.1)


def test_a_page_beyond_the_standards_limit_is_refused():
    with pytest.raises(ValueError, match="longer than 5080"):
        PdfBook("t").begin_page(5081.0, 900.0)


def test_unknown_paper_and_a_narrow_roll_are_refused():
    with pytest.raises(ValueError, match="paper must be one of"):
        tiled_pdf([square(100.0)], paper="B5", title="t")
    with pytest.raises(ValueError, match="at least 300"):
        roll_pdf([square(100.0)], roll_width=200.0, title="t")


@pytest.mark.parametrize("paper", PAPERS)
def test_the_index_prints_title_notes_and_tile_names_on_every_paper(paper):
    with pdfplumber.open(BytesIO(tiled_pdf([square(500.0)], paper=paper, title="t"))) as pdf:
        text = pdf.pages[0].extract_text()
    assert "Sheet square" in text
    assert "A1" in text


def test_the_index_shows_narrow_slots_as_slots():
    comb = np.array(
        [[0, 0], [400, 0], [400, 300], [203, 300], [203, 100], [200, 100], [200, 300], [0, 300]],
        dtype=float,
    )
    arc = np.linspace(0.0, np.pi, 400)
    profile = np.column_stack([200.0 + 200.0 * np.cos(arc), 500.0 * np.sin(-arc)])
    cut = Stroke(ink="cut", points=np.vstack([comb[2:], profile[::-1]]), closed=True)
    sheet = Sheet(name="comb", title="Comb", strokes=(cut,))
    with pdfplumber.open(BytesIO(tiled_pdf([sheet], paper="A4", title="t"))) as pdf:
        drawn = max(pdf.pages[0].curves, key=lambda curve: len(curve["pts"]))
    xs, ys = np.array(drawn["pts"]).T
    # The floor of the slot: two corners side by side, a third of the height down.
    scale = float(np.ptp(xs)) / 400.0
    floor = np.abs(ys - ys.min() - 200.0 * scale) < 0.5
    assert floor.sum() == 2
    assert np.ptp(xs[floor]) == pytest.approx(3.0 * scale, abs=0.3)


def picture(kind):
    out = BytesIO()
    Image.new("RGB", (64, 48), (200, 180, 40)).save(out, kind)
    return out.getvalue()


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_the_cover_shows_picture_revision_figures_doubts_cautions_and_sheets(sheets, kind):
    data = cover_pdf(
        small_job.job(),
        small_job.products(),
        sheets=sheets,
        findings=[("lines", small_job.FIND)],
        cautions=every_caution(),
        picture=picture(kind),
    )
    with pdfplumber.open(BytesIO(data)) as pdf:
        text = " ".join(" ".join(page.extract_text().split()) for page in pdf.pages)
        assert len(pdf.pages[0].images) == 1
        assert pdf.pages[0].width == pytest.approx(210.0 / 25.4 * 72.0, abs=0.1)
    for words in (
        "Revision B",
        "2300 mm (7' 6 9/16\")",
        "6 wires (1 sprung)",
        "longer load floor",
        "Only 3 pictures show it.",
        "Take two more from the left.",
        "ANSI Z49.1",
        "does not show that the vehicle is safe or legal",
        "wire-helix",
    ):
        assert words in text


def test_a_cover_for_a_job_with_nothing_computed_still_comes():
    data = cover_pdf(Job(name="Bare & <new>"), Products(), sheets=())
    with pdfplumber.open(BytesIO(data)) as pdf:
        assert "Bare & <new>" in pdf.pages[0].extract_text()


def test_many_findings_run_over_pages_and_none_is_lost():
    findings = [
        (
            "buck",
            Finding(code=f"x-{k}", where=f"wire {k}", message="Short. " * 20, remedy="Mend it."),
        )
        for k in range(60)
    ]
    data = cover_pdf(small_job.job(), Products(), sheets=(), findings=findings)
    with pdfplumber.open(BytesIO(data)) as pdf:
        text = " ".join(" ".join(page.extract_text().split()) for page in pdf.pages)
    assert all(f"wire {k}" in text for k in range(60))


def test_a_broken_picture_is_told_in_plain_words():
    with pytest.raises(FileError, match="cannot be read"):
        cover_pdf(small_job.job(), Products(), sheets=(), picture=b"not a picture")
