"""Tables of lines that are read, and those that are refused, each in one sentence."""

import pytest

from buckwright.errors import BuckwrightError
from buckwright.files.line_tables import read_line_table

ROWS = "belt,600,652.4,1004.1\nbelt,800,655.0,1005.0\n"


def test_units_stand_in_the_head_or_are_said() -> None:
    read = read_line_table(
        b"line,station_in,half_breadth_in,height_in\nbelt,10,20 1/2,30\n", "a.csv"
    )
    assert read.half
    assert (read.rows[0].x, read.rows[0].y) == (254.0, pytest.approx(20.5 * 25.4))
    said = read_line_table(f"line,x,y,z\n{ROWS}".encode(), "a.csv", unit="cm")
    assert not said.half
    assert said.rows[0].x == 6000.0
    assert [row.row for row in said.rows] == [2, 3]


def test_decimal_commas_stand_between_semicolons() -> None:
    read = read_line_table(
        b"Line;Station (mm);Half-breadth (mm);Height (mm)\nbelt;600,5;652,4;1\n", "a"
    )
    assert (read.rows[0].x, read.rows[0].y) == (600.5, 652.4)


def test_a_row_that_cannot_be_read_is_told_and_the_others_stand() -> None:
    wrong = "belt,nan,1,2\nbelt,1,,2\n,1,2,3\nbelt,1\nbelt,600,5,652,4,1\n\n"
    text = f"line,x_mm,y_mm,z_mm\n{ROWS}{wrong}"
    read = read_line_table(text.encode(), "a.csv")
    assert len(read.rows) == 2
    told = " ".join(one.message for one in read.findings)
    assert [one.code for one in read.findings] == ["unreadable-row"] * 5
    for words in ("Row 4", "'nan", "y is empty", "names no line", "fewer than", "cells where"):
        assert words in told


@pytest.mark.parametrize(
    ("text", "unit", "said"),
    [
        (b"", "", "is empty"),
        (b"line,station_mm,height_mm\n" + ROWS.encode(), "", "no column 'half_breadth'"),
        (b"name,x_mm,y_mm,z_mm\n" + ROWS.encode(), "", "no column 'line'"),
        (b"line,x,y,z\n" + ROWS.encode(), "", "does not say its unit"),
        (b"line,x,y,z\n" + ROWS.encode(), "yards", "'yards' is no unit"),
        (b"line,x_mm,y_mm,z_mm\n", "", "no row"),
        (b"line,x_mm,y_mm,z_mm\na,nan,nan,nan\n", "", "Row 2"),
        (b"line,x_mm,y_mm,z_mm\nbelt,600,5,652,4,1004,1\n", "", "cells where"),
        (b"\xff\xfe\x00line", "", "cannot be read as text"),
        (b"x" * 4_000_001, "", "too large"),
    ],
)
def test_what_is_no_table_is_refused_in_one_sentence(text: bytes, unit: str, said: str) -> None:
    with pytest.raises(BuckwrightError) as refusal:
        read_line_table(text, "a.csv", unit=unit)
    assert said in refusal.value.problem
    assert refusal.value.remedy.endswith(".")
