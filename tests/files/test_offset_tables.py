from pathlib import Path

import pytest

from buckwright.errors import FileError
from buckwright.files.offset_tables import offset_table_csv, read_offsets, views_csv
from buckwright.model.offsets import Disagreement, Offset

BELT = Offset(line="belt, left", station=600.0, half_breadth=652.375, height=1004.125, share=0.1)
SILL = Offset(line="sill left", station=-200.0, half_breadth=600.0, height=330.5, share=0.2)


def read(folder: Path, text: str):
    path = folder / "offsets.csv"
    path.write_text(text, encoding="utf-8")
    return read_offsets(path)


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_table_comes_back_as_it_went(tmp_path: Path, unit) -> None:
    rows, doubts = read(tmp_path, offset_table_csv((BELT, SILL), unit=unit))
    assert doubts == ()
    for number, (row, one) in enumerate(zip(rows, (BELT, SILL), strict=True), start=2):
        assert (row.row, row.line) == (number, one.line)
        figures = (row.station, row.half_breadth, row.height)
        # Half the last place of an inch is 0.00013 mm.
        assert figures == pytest.approx((one.station, one.half_breadth, one.height), abs=5e-4)


def test_decimal_commas_stand_between_semicolons(tmp_path: Path) -> None:
    text = "Line;Station (mm);Half-breadth (mm);Height (cm)\nbelt;600;652,4;100,41\n"
    rows, doubts = read(tmp_path, text)
    assert doubts == ()
    figures = (rows[0].station, rows[0].half_breadth, rows[0].height)
    assert figures == pytest.approx((600.0, 652.4, 1004.1))


def test_inches_may_be_fractions_and_a_figure_keeps_the_unit_it_brings(tmp_path: Path) -> None:
    text = "line,station_in,half breadth [in],height_in\nbelt,24,25 11/16,1004 mm\n"
    rows, doubts = read(tmp_path, text)
    assert doubts == ()
    figures = (rows[0].station, rows[0].half_breadth, rows[0].height)
    assert figures == pytest.approx((609.6, 652.4625, 1004.0))


def test_bad_rows_are_told_by_number_and_good_ones_are_kept(tmp_path: Path) -> None:
    text = (
        "line,station_mm,half_breadth_mm,height_mm\nbelt,600,652,\n,600,1,1\nbelt,abc,1,1\n"
        'sill,800,"1,200",330\nsill,800\n\nsill,,1,1\nroof,900,,1600\n'
    )
    rows, doubts = read(tmp_path, text)
    assert [(row.row, row.line) for row in rows] == [(2, "belt"), (9, "roof")]
    assert (rows[0].height, rows[1].half_breadth) == (None, None)
    for number, doubt in zip((3, 4, 5, 6, 8), doubts, strict=True):
        assert doubt.code == "unreadable-row"
        assert doubt.message.startswith(f"Row {number} of offsets.csv was left out:")


@pytest.mark.parametrize(
    ("head", "problem"),
    [
        ("line,station_mm,height_mm", "no column 'half_breadth'"),
        ("station_mm,half_breadth_mm,height_mm", "no column 'line'"),
        ("line,station,half_breadth_mm,height_mm", "does not say its unit"),
        ("", "no column 'line'"),
    ],
)
def test_a_head_that_lacks_something_is_refused(tmp_path: Path, head: str, problem: str) -> None:
    with pytest.raises(FileError, match=problem):
        read(tmp_path, f"{head}\nbelt,1,2,3\n")


def test_what_is_no_table_at_all_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="is empty"):
        read(tmp_path, "")
    (tmp_path / "photo.csv").write_bytes(b"\xff\xd8\xff\xe0")
    with pytest.raises(FileError, match="cannot be read"):
        read_offsets(tmp_path / "photo.csv")


def test_views_are_written_with_what_each_says_and_where() -> None:
    one = Disagreement(
        line="roof centre line",
        other="middle section",
        quantity="height",
        views=("side elevation", "section"),
        says=(1492.0, 1497.0),
        by=5.1,
        doubt=0.8,
        point=(1200.0, 0.0, 1495.0),
    )
    head, row, _ = views_csv((one,)).split("\r\n")
    assert len(head.split(",")) == len(row.split(","))
    assert row == (
        "roof centre line,middle section,height,side elevation,1492.0,section,1497.0,5.10,0.80,"
        "1200.0,0.0,1495.0,middle"
    )
