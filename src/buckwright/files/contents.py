"""What lies in the packet, by what a person does with it: print, cut, read."""

from collections.abc import Sequence
from typing import Literal

from buckwright.model.drawings import Sheet

__all__ = ["CONTENTS_HEAD", "contents_rows"]

Row = tuple[str, str, str]

CONTENTS_HEAD: Row = ("what to do", "file", "what it is")

_KINDS = {
    "elevation": "Elevations",
    "opening": "Doors, windows, screens and lids",
    "wire": "Wires",
    "frame": "Inner frame and cut lists",
    "board": "Boards",
    "blank": "Blanks, how to work them, grids",
    "gauge": "Gauges, stands, sweeps, strips and paper patterns",
    "check": "Checks of what was built",
}
_TABLES = {
    "bays": "how much the metal bends between the wires, bay by bay",
    "bends": "the bend table of each wire",
    "blanks": "each blank: size, mass, stretch and shrink, verdict",
    "cut-list": "what is sawn from which bar",
    "dimensions": "dimensions on the reference, what each departure adds, and now",
    "findings": "every doubt and every note in full",
    "frame": "members of the inner frame, with their saw cuts",
    "gauges": "each card: plane, length, marks",
    "grids": "what each square's sides must measure on the finished panel",
    "left-over": "what is left of the bars",
    "offsets": "heights and half-breadths at stations",
    "openings": "each opening: hinge axis, swing, clearances, glass",
    "panel-edges": "turned edges: allowances and bend lines",
    "panel-metals": "what another sheet or another seam would do",
    "panel-work": "what to do to each blank, in order",
    "paper-patterns": "gaps and overlaps of the paper strips",
    "posts": "posts: length, ends, where they stand",
    "sprung-wires": "how hard sprung wires push, and where",
    "sweeps": "radius of each arc gauge",
    "tasks": "who does what in which session",
    "views": "where side elevation, plan, sections and both sides disagree, worst first",
    "wire-changes": "wires added, moved or left out",
    "wires": "each wire: cut length, layer, tacks",
}
_MODELS = {
    "glb": "the body and its wires in 3D, for any viewer",
    "step": "the skin as surfaces, for a drawing program",
}


def contents_rows(
    sheets: Sequence[Sheet],
    tables: Sequence[str],
    models: Sequence[str],
    *,
    paper: Literal["A4", "A3", "Letter"] = "A4",
) -> list[Row]:
    """(what to do, file, what it is) for all of the packet, what goes together in one row."""
    rows: list[Row] = []
    if sheets:
        count = _count(len(sheets), "sheet")
        rows.append(("Print", "roll.pdf", f"{count} at full size, for a roll 914 mm (36 in) wide"))
        rows.append(
            (
                "Print",
                f"tiles-{paper}/",
                f"the same on {paper}: one book for each sheet, to tape up",
            )
        )
        rows += [("", "", _kind_words(kind, sheets)) for kind in _KINDS if _of(kind, sheets)]
    cut = [sheet for sheet in sheets if sheet.cut_file]
    if cut:
        rows.append(("Cut", "dxf/", f"{_count(len(cut), 'outline')} for laser, plasma or router"))
    if sheets:
        rows.append(("Look at", "svg/", "each sheet as a picture that any browser shows"))
    if tables:
        told = (f"{name} ({_TABLES[name]})" if name in _TABLES else name for name in tables)
        rows.append(("Read", "tables/*.csv", "; ".join(told)))
    rows += [
        ("Look at", name, _MODELS.get(name.rpartition(".")[2], "the body in 3D")) for name in models
    ]
    return [_unrepeated(row, rows[k - 1] if k else None) for k, row in enumerate(rows)]


def _unrepeated(row: Row, above: Row | None) -> Row:
    return ("", *row[1:]) if above is not None and row[0] == above[0] else row


def _of(kind: str, sheets: Sequence[Sheet]) -> list[Sheet]:
    return [sheet for sheet in sheets if sheet.kind == kind]


def _kind_words(kind: str, sheets: Sequence[Sheet]) -> str:
    """The kind, how many, and their names, those of left and right once."""
    some = _of(kind, sheets)
    names: dict[str, int] = {}
    for sheet in some:
        base = sheet.name.removesuffix("-left").removesuffix("-right")
        names[base] = names.get(base, 0) + 1
    told = [f"{name} (left, right)" if count > 1 else name for name, count in names.items()]
    return f"{_KINDS[kind]}, {_count(len(some), 'sheet')}: {', '.join(told)}"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
