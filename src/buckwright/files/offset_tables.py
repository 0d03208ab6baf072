"""The table of offsets and the table of what the views say, as CSV; offsets are read back.

    line,station_mm,half_breadth_mm,height_mm
    belt left,600.0,652.4,1004.1

The head names the unit of each column: _mm, _cm, _m, _in or _ft, or the same in brackets. A table
with decimal commas stands with semicolons between its cells, as spreadsheets write it.
"""

import csv
import re
from collections.abc import Sequence
from io import StringIO
from pathlib import Path
from typing import Literal

from buckwright.errors import FileError, JobError
from buckwright.model.finding import Finding
from buckwright.model.offsets import Disagreement, Offset, OffsetRow
from buckwright.units import parse_length

__all__ = ["OffsetUnit", "offset_table_csv", "read_offsets", "table_figure", "views_csv"]

OffsetUnit = Literal["mm", "in"]

COLUMNS = ("station", "half_breadth", "height")
UNITS = ("mm", "cm", "m", "in", "ft")
LARGEST = 4_000_000
"""Bytes: a table of offsets of a whole body has less than a twentieth of that."""

_HEAD = re.compile(r"(?P<name>[a-z]+(?:[ _-][a-z]+)??)[ _]*[\[(]?(?P<unit>mm|cm|m|in|ft)[\])]?")


def offset_table_csv(offsets: Sequence[Offset], *, unit: OffsetUnit = "mm") -> str:
    """The table, as `read_offsets` reads it; thousandths of a mm, or of a thousandth of an inch."""
    size, places = (1.0, 3) if unit == "mm" else (25.4, 5)
    rows: list[Sequence[str]] = [("line", *(f"{name}_{unit}" for name in COLUMNS))]
    for one in offsets:
        figures = (one.station, one.half_breadth, one.height)
        rows.append((one.line, *(f"{value / size:.{places}f}" for value in figures)))
    return _written(rows)


def views_csv(found: Sequence[Disagreement]) -> str:
    """What the views say of each place where they can be compared, worst first."""
    rows: list[Sequence[str]] = [
        (
            "line",
            "other",
            "quantity",
            "view",
            "says_mm",
            "other_view",
            "other_says_mm",
            "apart_mm",
            "doubt_mm",
            "station_mm",
            "half_breadth_mm",
            "height_mm",
            "side",
        )
    ]
    for one in found:
        x, y, z = (float(value) for value in one.point)
        side = "middle" if abs(y) < 1e-6 else "left" if y < 0.0 else "right"
        figures = (f"{x:.1f}", f"{abs(y):.1f}", f"{z:.1f}", side)
        views = (one.views[0], f"{one.says[0]:.1f}", one.views[1], f"{one.says[1]:.1f}")
        apart = (f"{one.by:.2f}", f"{one.doubt:.2f}")
        rows.append((one.line, one.other, one.quantity, *views, *apart, *figures))
    return _written(rows)


def read_offsets(path: Path) -> tuple[tuple[OffsetRow, ...], tuple[Finding, ...]]:
    """The rows that can be read, and a doubt for each that cannot, with its number.

    Raises FileError where the head lacks a column or a unit, or the file is no table.
    """
    try:
        if path.stat().st_size > LARGEST:
            raise FileError(f"{path.name} is too large for a table of offsets.", "Split it.")
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise FileError(f"{path} cannot be read as text.", "Save it as a CSV file.") from error
    first = text.partition("\n")[0]
    between = max(";\t,", key=first.count)
    table = list(csv.reader(StringIO(text), delimiter=between))
    if not table:
        raise FileError(f"{path.name} is empty.", _asked())
    places = _places(table[0], path.name)
    rows: list[OffsetRow] = []
    doubts: list[Finding] = []
    for number, cells in enumerate(table[1:], start=2):
        if not any(cell.strip() for cell in cells):
            continue
        try:
            rows.append(_row(number, cells, places))
        except JobError as error:
            name = cells[places["line"][0]].strip() if places["line"][0] < len(cells) else ""
            doubts.append(
                Finding(
                    code="unreadable-row",
                    where=name or path.name,
                    message=f"Row {number} of {path.name} was left out: {error.problem}",
                    remedy=error.remedy,
                )
            )
    return tuple(rows), tuple(doubts)


def _places(head: Sequence[str], name: str) -> dict[str, tuple[int, str]]:
    """Which cell each column stands in, and in what unit."""
    found: dict[str, tuple[int, str]] = {}
    for place, cell in enumerate(head):
        text = cell.strip().lower().replace("-", "_").replace(" ", "_")
        if text == "line":
            found["line"] = (place, "")
            continue
        told = _HEAD.fullmatch(text)
        if told is not None and told["name"] in COLUMNS:
            found[told["name"]] = (place, told["unit"])
        elif text in COLUMNS:
            raise FileError(
                f"The column '{cell.strip()}' of {name} does not say its unit.",
                f"Write it as {text}_mm or {text}_in.",
            )
    missing = [column for column in ("line", *COLUMNS) if column not in found]
    if missing:
        raise FileError(f"{name} has no column '{missing[0]}'.", _asked())
    return found


def _asked() -> str:
    return "Begin it with line,station_mm,half_breadth_mm,height_mm (or _cm, _m, _in, _ft)."


def _row(number: int, cells: Sequence[str], places: dict[str, tuple[int, str]]) -> OffsetRow:
    if len(cells) <= max(place for place, _ in places.values()):
        raise JobError(
            f"it has {len(cells)} cells, fewer than the head.", "Mend that row, or delete it."
        )
    line = cells[places["line"][0]].strip()
    if not line:
        raise JobError("it names no line.", "Write the line's name into it.")
    figures = {
        name: table_figure(cells[place], unit) for name, (place, unit) in places.items() if unit
    }
    station = figures["station"]
    if station is None:
        raise JobError("it gives no station.", "Write the station into it.")
    return OffsetRow(
        row=number,
        line=line,
        station=station,
        half_breadth=figures["half_breadth"],
        height=figures["height"],
    )


def table_figure(cell: str, unit: str) -> float | None:
    """The mm that a cell of a column in that unit says, None of an empty one; JobError if none."""
    text = cell.strip()
    if not text:
        return None
    try:
        # A figure that brings its own unit keeps it.
        bare = text.lstrip("+-").replace(" ", "").replace("/", "").replace(",", "").replace(".", "")
        return parse_length(f"{text} {unit}" if bare.isdigit() else text)
    except JobError as error:
        raise JobError(error.problem.rstrip(".") + ".", error.remedy) from error


def _written(rows: Sequence[Sequence[str]]) -> str:
    out = StringIO()
    csv.writer(out, lineterminator="\r\n").writerows(rows)
    return out.getvalue()
