"""Decisions about sheet metal that can be changed on the page: alloy, sizes, rack; see `edits`."""

import math
from collections.abc import Callable
from typing import Any

from buckwright.errors import JobError
from buckwright.model.job import Job
from buckwright.model.panels import Offcut, SheetStock
from buckwright.tables.alloys import find_alloy
from buckwright.units import format_length, parse_length
from buckwright.web.typed import Edited, Typed

__all__ = ["STOCK_EDITS"]

_THIN, _THICK = 0.3, 6.0
"""mm of sheet that hands can form."""
_SMALL, _LARGE = 50.0, 12000.0
"""mm, sides of sheets and offcuts."""


def _changed(job: Job, words: str, **changes: Any) -> Edited:
    stock = job.sheet or SheetStock(alloy="3003-H14", thickness=1.27)
    return job.model_copy(update={"sheet": stock.model_copy(update=changes)}), words


def _set_alloy(job: Job, typed: Typed) -> Edited:
    alloy = find_alloy(str(typed.get("text", "")))
    if alloy is None:
        raise JobError(
            f"The tables have no alloy '{typed.get('text')}'.", "Choose one from the list."
        )
    # A mill sheet's r belongs to the metal that it came with.
    return _changed(job, f"sheet is now {alloy.name}", alloy=alloy.name, r_value=None)


def _set_thickness(job: Job, typed: Typed) -> Edited:
    thickness = _side(typed, "length", _THIN, _THICK, "A sheet's thickness")
    words = f"sheet is now {format_length(thickness, system='mm')} thick"
    return _changed(job, words, thickness=thickness)


def _set_size(job: Job, typed: Typed) -> Edited:
    size = _size(typed)
    across, along = sorted(size)
    words = f"sheets are now {across:.0f} x {along:.0f} mm"
    return _changed(job, words, size=(across, along))


def _set_r_value(job: Job, typed: Typed) -> Edited:
    value = _number(typed, 0.2, 4.0, "r-value", "Type that of the mill sheet, like 1.6.")
    words = "r-value as in the tables" if value is None else f"r-value is now {value:g}"
    return _changed(job, words, r_value=value)


def _set_price(job: Job, typed: Typed) -> Edited:
    value = _number(typed, 0.0, 1e6, "price", "Type what one sheet costs, like 84.50.")
    return _changed(job, "price of a sheet changed", price=value, price_per_kg=None)


def _set_gap(job: Job, typed: Typed) -> Edited:
    gap = _side(typed, "length", 0.0, 100.0, "The gap between blanks")
    return _changed(job, f"gap between blanks is now {gap:g} mm", gap=gap)


def _set_margin(job: Job, typed: Typed) -> Edited:
    margin = _side(typed, "length", 0.0, 200.0, "The margin of a sheet")
    return _changed(job, f"margin of sheets is now {margin:g} mm", margin=margin)


def _add_offcut(job: Job, typed: Typed) -> Edited:
    if job.sheet is None:
        raise JobError("The job has no sheet yet.", "Choose alloy and thickness first.")
    count = typed.get("count", 1)
    if not isinstance(count, int) or not 1 <= count <= 99:
        raise JobError("That is no number of offcuts.", "Type how many there are, like 2.")
    size = _size(typed)
    offcut = Offcut(
        alloy=job.sheet.alloy, thickness=job.sheet.thickness, size=(size[0], size[1]), count=count
    )
    words = f"offcut of {size[0]:.0f} x {size[1]:.0f} mm put into the rack"
    return job.model_copy(update={"offcuts": (*job.offcuts, offcut)}), words


def _drop_offcut(job: Job, typed: Typed) -> Edited:
    place = typed.get("place")
    if not isinstance(place, int) or not 0 <= place < len(job.offcuts):
        raise JobError("There is no such offcut in the rack.", "Reload the page and try again.")
    gone = job.offcuts[place]
    words = f"offcut of {gone.size[0]:.0f} x {gone.size[1]:.0f} mm taken out of the rack"
    kept = (*job.offcuts[:place], *job.offcuts[place + 1 :])
    return job.model_copy(update={"offcuts": kept}), words


def _size(typed: Typed) -> tuple[float, float]:
    first = _side(typed, "along", _SMALL, _LARGE, "A sheet's length along the grain")
    return first, _side(typed, "across", _SMALL, _LARGE, "A sheet's width across the grain")


def _side(typed: Typed, key: str, least: float, most: float, what: str) -> float:
    length = parse_length(str(typed.get(key, "")))
    if not least <= length <= most:
        raise JobError(
            f"{what} must lie between {least:g} mm and {most:g} mm.",
            "Type it with its unit, like 1.27 mm or 4 ft.",
        )
    return length


def _number(typed: Typed, least: float, most: float, what: str, remedy: str) -> float | None:
    """A typed number, None for nothing."""
    text = str(typed.get("text", "")).strip().replace(",", ".")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not least <= value <= most:
        raise JobError(f"'{text}' is no {what} between {least:g} and {most:g}.", remedy)
    return value


STOCK_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "sheet alloy": _set_alloy,
    "sheet thickness": _set_thickness,
    "sheet size": _set_size,
    "sheet r-value": _set_r_value,
    "sheet price": _set_price,
    "sheet gap": _set_gap,
    "sheet margin": _set_margin,
    "add offcut": _add_offcut,
    "drop offcut": _drop_offcut,
}
"""By the name that the page sends."""
