"""Tables that whole lines are made from, as CSV.

    line,station_mm,half_breadth_mm,height_mm        or        line,x_mm,y_mm,z_mm
    belt,600.0,652.4,1004.1                                    belt left,600.0,-652.4,1004.1

Rows of a line stand in order along it. A column whose head names no unit is in the one that was
said with the file. A table with decimal commas has semicolons between its cells.
"""

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from io import StringIO

from buckwright.errors import FileError, JobError
from buckwright.files.offset_tables import table_figure
from buckwright.model.finding import Finding
from buckwright.model.tabled import PlaceRow

__all__ = ["ReadTable", "read_line_table"]

LARGEST = 4_000_000
"""Bytes: a table of a whole body has less than a twentieth of that."""
MOST_ROWS = 20_000
MOST_NAME = 60
SHOWN = 12
"""Rows that are told one by one."""

OFFSETS = ("station", "half_breadth", "height")
PLACES = ("x", "y", "z")
UNITS = ("mm", "cm", "m", "in", "ft")

_HEAD = re.compile(r"(?P<name>[a-z]+(?:_[a-z]+)??)_*[\[(]?(?P<unit>mm|cm|m|in|ft)[\])]?")


@dataclass(frozen=True, slots=True)
class ReadTable:
    """The rows that could be read, whether they give half-breadths, and what is in doubt."""

    rows: tuple[PlaceRow, ...]
    half: bool
    findings: tuple[Finding, ...]


def read_line_table(data: bytes, name: str, *, unit: str = "") -> ReadTable:
    """The table in a file of that name. `unit` holds where a column's head names none.

    Raises FileError where the file is no table, a column or its unit is missing, or no row can
    be read; a row that cannot be is told with its number, and the others stand.
    """
    table = _cells(data, name)
    places, half = _columns(table[0], name, unit)
    rows: list[PlaceRow] = []
    doubts: list[Finding] = []
    for number, cells in enumerate(table[1:], start=2):
        if not any(cell.strip() for cell in cells):
            continue
        try:
            rows.append(_row(number, cells, places, len(table[0])))
        except JobError as error:
            message = f"Row {number} of {name} was left out: {error.problem}"
            doubts.append(
                Finding(code="unreadable-row", where=name, message=message, remedy=error.remedy)
            )
    if not rows:
        first = doubts[0] if doubts else None
        raise FileError(
            f"{name} has no row that can be read." if first is None else first.message,
            "Write the figures below its head." if first is None else first.remedy,
        )
    return ReadTable(tuple(rows), half, _few(doubts, name))


def _cells(data: bytes, name: str) -> list[list[str]]:
    if len(data) > LARGEST:
        raise FileError(f"{name} is too large for a table of lines.", "Split it.")
    try:
        text = data.decode("utf-8-sig")
        first = text.partition("\n")[0]
        table = list(csv.reader(StringIO(text), delimiter=max(";\t,", key=first.count)))
    except (UnicodeDecodeError, csv.Error) as error:
        raise FileError(f"{name} cannot be read as text.", "Save it as a CSV file.") from error
    if not table or not any(cell.strip() for cell in table[0]):
        raise FileError(f"{name} is empty.", _asked())
    if len(table) > MOST_ROWS:
        raise FileError(f"{name} has more than {MOST_ROWS} rows.", "Split it.")
    return table


def _columns(head: Sequence[str], name: str, unit: str) -> tuple[dict[str, tuple[int, str]], bool]:
    """Which cell each column stands in and in what unit, and whether it gives half-breadths."""
    if unit and unit not in UNITS:
        raise JobError(f"'{unit}' is no unit of a table.", f"Say one of {', '.join(UNITS)}.")
    found: dict[str, tuple[int, str]] = {}
    for place, cell in enumerate(head):
        text = re.sub(r"[ _-]+", "_", cell.strip().lower())
        told = _HEAD.fullmatch(text)
        if text == "line":
            found["line"] = (place, "")
        elif text in (*OFFSETS, *PLACES):
            found[text] = (place, unit)
        elif told is not None and told["name"] in (*OFFSETS, *PLACES):
            found[told["name"]] = (place, told["unit"])
    half = any(column in found for column in OFFSETS)
    wanted = OFFSETS if half else PLACES
    missing = [column for column in ("line", *wanted) if column not in found]
    if missing:
        raise FileError(f"{name} has no column '{missing[0]}'.", _asked())
    bare = [column for column in wanted if not found[column][1]]
    if bare:
        raise FileError(
            f"The column '{bare[0]}' of {name} does not say its unit.",
            f"Write it as {bare[0]}_mm or {bare[0]}_in, or say the unit of the whole table.",
        )
    return {column: found[column] for column in ("line", *wanted)}, half


def _asked() -> str:
    return (
        "Begin it with line,station_mm,half_breadth_mm,height_mm or line,x_mm,y_mm,z_mm "
        "(or _cm, _m, _in, _ft)."
    )


def _row(
    number: int, cells: Sequence[str], places: dict[str, tuple[int, str]], width: int
) -> PlaceRow:
    if len([cell for cell in cells[width:] if cell.strip()]):
        raise JobError(
            f"it has {len(cells)} cells where the head has {width}.",
            "Where figures have decimal commas, put semicolons between the cells.",
        )
    if len(cells) <= max(place for place, _ in places.values()):
        raise JobError(
            f"it has {len(cells)} cells, fewer than the head.", "Mend that row, or delete it."
        )
    line = cells[places["line"][0]].strip()
    if not line or len(line) > MOST_NAME:
        raise JobError("it names no line.", "Write the line's name into it, in few words.")
    figures = []
    for column, (place, unit) in places.items():
        if column == "line":
            continue
        figure = table_figure(cells[place], unit)
        if figure is None:
            raise JobError(f"its {column.replace('_', '-')} is empty.", "Write the figure into it.")
        figures.append(figure)
    return PlaceRow(row=number, line=line, x=figures[0], y=figures[1], z=figures[2])


def _few(doubts: Sequence[Finding], name: str) -> tuple[Finding, ...]:
    """The first doubts one by one, and the rest in one."""
    if len(doubts) <= SHOWN:
        return tuple(doubts)
    rest = Finding(
        code="unreadable-row",
        where=name,
        message=f"{len(doubts) - SHOWN} more rows of {name} were left out.",
        remedy="Mend the first ones; the others are likely wrong in the same way.",
    )
    return (*doubts[:SHOWN], rest)
