"""Doubts about a blank that leave it standing."""

import numpy as np
from numpy.typing import NDArray

from buckwright.model.finding import Finding
from buckwright.model.panels import Panel, SheetStock
from buckwright.panels.outline import overlaps, smallest_box
from buckwright.tables.alloys import find_alloy, sheet_sizes

__all__ = ["blank_findings"]

Array = NDArray[np.float64]

_SMALLEST, _LARGEST = 120.0, 6000.0
"""mm over all between which a body panel lies."""


def blank_findings(
    panel: Panel, sheet: SheetStock, net: Array, outline: Array, *, settled: bool
) -> tuple[Finding, ...]:
    """What is in doubt about a blank: its units, its size, its outline, its strain."""
    found = [
        _unlikely_size(panel),
        _larger_than_sheet(panel.name, sheet, outline),
        _overlap(panel.name, net),
        None if settled else _unsettled(panel.name),
    ]
    return tuple(finding for finding in found if finding is not None)


def _unlikely_size(panel: Panel) -> Finding | None:
    size = float(np.ptp(panel.vertices, axis=0).max())
    if _SMALLEST <= size <= _LARGEST:
        return None
    small = size < _SMALLEST
    factor = 25.4 if small and size * 25.4 >= _SMALLEST else 1000.0 if small else 1.0 / 25.4
    unit = {25.4: "inches", 1000.0: "metres"}.get(factor, "")
    guess = f"are its units {unit}?" if small else "was it scaled from inches twice?"
    return Finding(
        code="likely-wrong-units",
        where=panel.name,
        message=f"The panel measures {size:.4g} mm over all: {guess}",
        remedy=f"If so, multiply its mesh by {factor:.4g} ({size * factor:.0f} mm).",
    )


def _larger_than_sheet(name: str, sheet: SheetStock, outline: Array) -> Finding | None:
    short, long = smallest_box(outline)
    width, length = sorted(sheet.size)
    lying = np.ptp(outline, axis=0)
    if (short <= width and long <= length) or (lying[0] <= length and lying[1] <= width):
        return None
    alloy = find_alloy(sheet.alloy)
    sold = {size.size: size.name for size in sheet_sizes(alloy.family)} if alloy else {}
    larger = [name for (w, h), name in sold.items() if short <= w and long <= h]
    remedy = f"Buy {larger[0]}." if larger else "No sheet as sold holds it: divide it by a seam."
    return Finding(
        code="larger-than-sheet",
        where=name,
        message=f"The blank is {long:.0f} x {short:.0f} mm; the sheet is "
        f"{length:.0f} x {width:.0f} mm.",
        remedy=remedy,
    )


def _overlap(name: str, net: Array) -> Finding | None:
    if not overlaps(net):
        return None
    return Finding(
        code="blank-overlaps",
        where=name,
        message="Laid flat, the panel lies over itself: one piece of sheet cannot give it.",
        remedy="Divide it by a seam.",
    )


def _unsettled(name: str) -> Finding:
    return Finding(
        code="strain-not-settled",
        where=name,
        message="The least strain was not found: the map shows more than need be.",
        remedy="Divide the panel by a seam, or mesh it more evenly.",
    )
