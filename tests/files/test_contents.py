"""What lies in the packet, and what a person does with it."""

import csv
from io import BytesIO, StringIO

import pdfplumber
import pytest

from buckwright.drawings import every_caution, packet_sheets
from buckwright.files.contents import contents_rows
from buckwright.files.finding_tables import findings_csv
from buckwright.files.packet import packet_files
from buckwright.files.pdf import cover_pdf
from buckwright.model.finding import Finding
from buckwright.model.job import Products
from drawings import small_job

DOUBT = Finding(code="tyre-guessed", where="rim", message="It is 330 mm.", remedy="Measure it.")
NOTE = Finding(code="own", where="plan", message="Hours.", remedy="Write them.", kind="note")


def test_every_file_of_a_packet_has_its_place_in_the_list():
    job, products = small_job.job(), small_job.products()
    sheets = packet_sheets(job, products)
    models = {"model/body.glb": b"glTF", "model/body.step": b"STEP"}
    names = [name for name, _ in packet_files(job, products, sheets, models=models)]
    tables = [n.removeprefix("tables/")[:-4] for n in names if n.startswith("tables/")]
    rows = contents_rows(sheets, tables, tuple(models))
    told = {file for _, file, _ in rows if file}
    for name in names:
        folder = name.partition("/")[0] + "/"
        assert name in told or folder in told or f"{folder}*.csv" in told or name == "cover.pdf"
    said = " ".join(words for _, _, words in rows)
    for sheet in sheets:
        assert sheet.name.removesuffix("-left").removesuffix("-right") in said
    assert all(table in said for table in tables)


def test_what_to_do_stands_once_above_its_files():
    sheets = packet_sheets(small_job.job(), small_job.products())
    doings = [what for what, _, _ in contents_rows(sheets, ("wires", "tasks"), ()) if what]
    assert doings == ["Print", "Cut", "Look at", "Read"]


def test_a_packet_without_sheets_prints_and_cuts_nothing():
    assert contents_rows((), ("tasks",), ()) == [
        ("Read", "tables/*.csv", "tasks (who does what in which session)")
    ]


def test_doubts_come_before_notes_in_the_table_and_on_the_cover():
    found = [("plan", NOTE), ("buck", DOUBT)]
    rows = list(csv.DictReader(StringIO(findings_csv(found))))
    assert [(row["kind"], row["where"]) for row in rows] == [("doubt", "rim"), ("note", "plan")]
    with pdfplumber.open(
        BytesIO(cover_pdf(small_job.job(), Products(), sheets=(), findings=found))
    ) as pdf:
        text = " ".join(" ".join(page.extract_text().split()) for page in pdf.pages)
    doubts, _, notes = text.partition("Decided on the way")
    assert "It is 330 mm." in doubts.partition("look into these first")[2]
    assert "Hours. Write them." in notes
    assert "Hours." not in doubts


def test_alike_doubts_stand_in_one_row_with_all_their_names():
    found = [
        ("buck", DOUBT.model_copy(update={"where": f"rim {k}", "message": f"It is {300 + k} mm."}))
        for k in range(5)
    ]
    with pdfplumber.open(
        BytesIO(cover_pdf(small_job.job(), Products(), sheets=(), findings=found))
    ) as pdf:
        text = " ".join(pdf.pages[0].extract_text().split())
    assert text.count("Measure it.") == 1
    assert all(f"rim {k}" in text for k in range(5))


def test_only_notes_leave_no_doubt():
    with pdfplumber.open(
        BytesIO(cover_pdf(small_job.job(), Products(), sheets=(), findings=[("plan", NOTE)]))
    ) as pdf:
        assert "Nothing was found that is in doubt." in pdf.pages[0].extract_text()


@pytest.mark.parametrize("count", [115, 400])
def test_many_sheets_do_not_make_the_cover_long(count):
    sheets = [
        sheet.model_copy(update={"name": f"wire-section-at-{k}-left"})
        for k, sheet in zip(
            range(count),
            packet_sheets(small_job.job(), small_job.products()) * count,
            strict=False,
        )
    ]
    data = cover_pdf(small_job.job(), small_job.products(), sheets=sheets, cautions=every_caution())
    with pdfplumber.open(BytesIO(data)) as pdf:
        assert len(pdf.pages) <= 3
